// test_kit_rests.c - what a kit leaves of its sheets, read from its kit.json.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "store/kit_rests.h"

#include <string.h>

static bool read_text(const char *text, Arena *keep, ShelfList *out, Error *err)
{
    FileBytes file = {"kit.json", (char *)text, strlen(text)};
    return kit_rests(&file, "my-kit", keep, out, err);
}

static void kit_rests__are_offcuts_of_their_papers_kind(void **state)
{
    (void)state;
    static const char TEXT[] =
        "{\"papers\": [{\"id\": \"a4-navy\", \"name\": \"navy\", \"colour\": \"#1d2f5a\", \"gsm\": 250, \"direction\": \"grained\","
        " \"white_core\": true}, {\"id\": \"a4-red\", \"name\": \"red\", \"colour\": \"#c81e28\", \"direction\": \"plain\"}],"
        " \"sheets\": [{\"paper\": \"a4-navy\"}, {\"paper\": \"a4-navy\", \"rest_mm\": [105, 0, 105, 266.4]},"
        " {\"paper\": \"a4-red\", \"rest_mm\": [0, 200, 210, 97]}, {\"paper\": \"a4-lost\", \"rest_mm\": [0, 0, 90, 90]}]}";
    Arena keep = arena_make(0);
    ShelfList rests;
    Error err = {0};
    assert_true(read_text(TEXT, &keep, &rests, &err));
    assert_int_equal(rests.count, 2); // not of a paper that is not there
    assert_string_equal(rests.items[0].words, "105x266.4mm,250gsm,grained,white-core");
    assert_string_equal(rests.items[0].name, "navy");
    assert_int_equal(rests.items[0].kind, SHELF_OFFCUT);
    assert_int_equal(rests.items[0].count, 1);
    assert_true(rests.items[0].has_colour && rests.items[0].colour.b == 0x5a);
    assert_string_equal(rests.items[1].words, "210x97mm");
    arena_free(&keep);
}

static void kit_rests__what_is_no_kit_gets_a_clear_word(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    ShelfList rests;
    Error err = {0};
    assert_false(read_text("[1, 2", &keep, &rests, &err));
    assert_int_equal(err.kind, ERROR_INPUT);
    assert_non_null(strstr(err.text, "my-kit"));
    err = (Error){0};
    assert_true(read_text("{}", &keep, &rests, &err));
    assert_int_equal(rests.count, 0);
    arena_free(&keep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kit_rests__are_offcuts_of_their_papers_kind),
        cmocka_unit_test(kit_rests__what_is_no_kit_gets_a_clear_word),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
