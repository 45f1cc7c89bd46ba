// test_docket.c - lines are checked, replayed in order, struck out, and said in words.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "store/docket.h"

#include <math.h>
#include <string.h>

static const char *canonical(const char *json, Arena *keep)
{
    const char *out;
    Error err = {0};
    if (!docket_check(json, strlen(json), keep, &out, &err)) fail_msg("%s: %s", json, err.text);
    return out;
}

static void docket_check__writes_what_it_read_and_reads_that_again(void **state)
{
    (void)state;
    static const char *const lines[] = {
        "{\"set\":\"height\",\"to\":\"4ft\"}", "{\"layer\":\"B\",\"to\":\"a4,250gsm\",\"set\":\"paper\"}", "{\"set\":\"cutter\",\"to\":\"12x24,score\"}",
        "{\"set\":\"thicken\",\"to\":\"0\"}", "{\"set\":\"colours\",\"to\":\"0\"}", "{\"edit\":\"border\",\"mm\":6}",
        "{\"edit\":\"seam\",\"colour\":\"#1d2f5a\",\"points\":[[0.1,0.2],[0.30000000001,0.4]]}",
    };
    Arena keep = arena_make(0);
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        const char *once = canonical(lines[i], &keep);
        assert_string_equal(canonical(once, &keep), once);
    }
    assert_string_equal(canonical(lines[0], &keep), "{\n  \"set\": \"height\",\n  \"to\": \"4ft\"\n}");
    arena_free(&keep);
}

static void docket_check__refuses_what_is_no_line(void **state)
{
    (void)state;
    static const char *const lines[] = {
        "", "[]", "3", "{", "{}", "{\"set\":\"height\"}", "{\"set\":\"height\",\"to\":4}", "{\"set\":\"height\",\"to\":\"tall\"}", "{\"set\":\"colour\",\"to\":\"3\"}",
        "{\"set\":\"paper\",\"to\":\"letter\",\"layer\":\"b\"}", "{\"set\":\"height\",\"to\":\"4ft\",\"layer\":\"B\"}", "{\"set\":\"height\",\"to\":\"4ft\",\"when\":\"now\"}",
        "{\"set\":\"height\",\"to\":\"4ft\",\"to\":\"5ft\"}", "{\"edit\":\"border\"}", "{\"edit\":\"border\",\"mm\":6},{\"edit\":\"border\",\"mm\":7}",
        "{\"edit\":\"border\",\"mm\":6,\"set\":\"height\"}", "{\"set\":\"height\",\"to\":\"4ft\\u0000\"}", "{\"set\":\"colours\",\"to\":\"65\"}", "{\"set\":\"colours\",\"to\":\"-1\"}",
    };
    Arena keep = arena_make(0);
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        const char *out = "";
        Error err = {0};
        if (docket_check(lines[i], strlen(lines[i]), &keep, &out, &err)) fail_msg("taken: %s", lines[i]);
        assert_null(out);
        assert_true(err.kind == ERROR_INPUT || err.kind == ERROR_USAGE);
        assert_true(strlen(err.text) > 20);
    }
    arena_free(&keep);
}

static Docket docket_of(const char *const *lines, size_t count, Arena *keep)
{
    Docket docket = {arena_new(keep, DocketLine, count), count, count};
    for (size_t i = 0; i < count; i++) docket.lines[i] = (DocketLine){(int64_t)i + 1, canonical(lines[i], keep), false};
    return docket;
}

static void docket_replay__the_later_line_counts_and_a_struck_one_does_not(void **state)
{
    (void)state;
    static const char *const lines[] = {"{\"set\":\"height\",\"to\":\"1m\"}", "{\"set\":\"paper\",\"to\":\"letter\"}", "{\"edit\":\"border\",\"mm\":6}",
        "{\"set\":\"height\",\"to\":\"2m\"}", "{\"set\":\"paper\",\"to\":\"a4\",\"layer\":\"B\"}", "{\"edit\":\"border\",\"mm\":9}"};
    Arena keep = arena_make(0);
    Docket docket = docket_of(lines, 6, &keep);
    Settings settings;
    EditList edits;
    int64_t wrong;
    Error err = {0};
    assert_true(docket_replay(&docket, &keep, &settings, &edits, &wrong, &err));
    assert_true(fabs(settings.height_mm - 2000.0) < 1e-9);
    assert_true(fabs(settings_paper(&settings, 1)->width_mm - 210.0) < 1e-9);
    assert_int_equal(edits.count, 2);
    docket.lines[3].struck = docket.lines[5].struck = docket.lines[4].struck = true;
    assert_true(docket_replay(&docket, &keep, &settings, &edits, &wrong, &err));
    assert_true(fabs(settings.height_mm - 1000.0) < 1e-9);
    assert_true(fabs(settings_paper(&settings, 1)->width_mm - 215.9) < 1e-9);
    assert_int_equal(edits.count, 1);
    assert_true(edits.items[0].mm == 6.0);
    assert_true(docket_says(&docket, "height"));
    docket.lines[0].struck = true;
    assert_false(docket_says(&docket, "height"));
    arena_free(&keep);
}

static void docket_say__is_a_sentence_that_a_maker_reads(void **state)
{
    (void)state;
    static const struct { const char *json, *says; } CASES[] = {
        {"{\"set\":\"height\",\"to\":\"54in\"}", "It stands 4 ft 6 in tall"}, {"{\"set\":\"height\",\"to\":\"137cm\"}", "It stands 137cm tall"},
        {"{\"set\":\"paper\",\"to\":\"letter\"}", "It is cut from letter"}, {"{\"set\":\"paper\",\"to\":\"a4\",\"layer\":\"B\"}", "Layer B is cut from a4"},
        {"{\"set\":\"colours\",\"to\":\"0\"}", "All colours of the picture count"}, {"{\"set\":\"colours\",\"to\":\"1\"}", "No more than 1 colour"},
        {"{\"set\":\"cutter\",\"to\":\"12x24,score,pen\"}", "It is cut on a cutter of 12x24in that scores and draws"},
        {"{\"set\":\"cutter\",\"to\":\"roll 12in, loss 6mm, pen\"}", "It is cut on a cutter for a roll of 12in that draws, loss 6mm"},
        {"{\"edit\":\"base\",\"colour\":\"#1d2f5a\"}", "Navy as the base"}, {"{\"edit\":\"base\",\"colour\":\"#ffffff\"}", "#ffffff as the base"},
    };
    SeparationColour navy = {.colour = {0x1d, 0x2f, 0x5a}, .name = "navy"};
    Arena keep = arena_make(0);
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        Text text = text_make(&keep);
        Error err = {0};
        DocketLine line = {1, CASES[i].json, false};
        assert_true(docket_say(&line, &navy, 1, &text, &err));
        assert_string_equal(text.bytes, CASES[i].says);
    }
    arena_free(&keep);
}

static void docket_cut_last__while_nothing_that_alters_was_decided_since(void **state)
{
    (void)state;
    const char *cut = "{\"edit\":\"frozen\",\"colour\":\"#1d2f5a\",\"piece\":\"A1\",\"height_mm\":300,\"outline\":\"M0 0 L9 0 L9 9 Z\"}";
    DocketLine lines[] = {{1, "{\"set\":\"height\",\"to\":\"4ft\"}", false}, {2, cut, false}, {3, "{\"set\":\"for\",\"to\":\"line\"}", false},
                          {4, "{\"edit\":\"name\",\"colour\":\"#1d2f5a\",\"name\":\"sea\"}", false}, {5, "{\"edit\":\"border\",\"mm\":6}", true}};
    Docket docket = {lines, 1, 1};
    assert_false(docket_cut_last(&docket)); // nothing is cut
    docket.count = 5;
    assert_true(docket_cut_last(&docket));
    lines[4].struck = false;
    assert_false(docket_cut_last(&docket));
    lines[1].struck = true;
    assert_false(docket_cut_last(&docket));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(docket_cut_last__while_nothing_that_alters_was_decided_since),
        cmocka_unit_test(docket_check__writes_what_it_read_and_reads_that_again), cmocka_unit_test(docket_check__refuses_what_is_no_line),
        cmocka_unit_test(docket_replay__the_later_line_counts_and_a_struck_one_does_not), cmocka_unit_test(docket_say__is_a_sentence_that_a_maker_reads),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
