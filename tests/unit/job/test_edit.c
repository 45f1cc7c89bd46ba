// test_edit.c - the list of edits as text: every kind there and back, and what is refused, with its number.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "job/edit.h"

#include <string.h>

// One edit of each kind, as edits_write writes them.
static const char EVERY_KIND[] =
    "[{\"edit\": \"ground\", \"at\": [0.1, 0.2]}, {\"edit\": \"paper\", \"at\": [-0.5, 1.123456789]},"
    "{\"edit\": \"same\", \"colour\": \"#1d2f5a\", \"as\": \"#22346b\"}, {\"edit\": \"leave-out\", \"colour\": \"#FFBE00\"},"
    "{\"edit\": \"name\", \"colour\": \"#1d2f5a\", \"name\": \"night sky\"},"
    "{\"edit\": \"sheet\", \"colour\": \"#1d2f5a\", \"paper\": \"11x24\"},"
    "{\"edit\": \"offcut\", \"colour\": \"#1d2f5a\", \"paper\": \"6x9\", \"count\": 2},"
    "{\"edit\": \"over\", \"colour\": \"#1d2f5a\", \"other\": \"#c81e28\"},"
    "{\"edit\": \"smallest\", \"part_mm\": 6, \"hole_mm\": 3.5}, {\"edit\": \"smallest\", \"hole_mm\": 2},"
    "{\"edit\": \"tiny\", \"at\": [0.3, 0.4], \"fate\": \"enlarge\"}, {\"edit\": \"base\", \"colour\": \"#1d2f5a\"},"
    "{\"edit\": \"border\", \"mm\": 6}, {\"edit\": \"underlap\", \"mm\": 0}, {\"edit\": \"stack\", \"way\": \"inlay\"},"
    "{\"edit\": \"lines\", \"where\": \"both\"},"
    "{\"edit\": \"seam\", \"colour\": \"#1d2f5a\", \"points\": [[0.1, 0.5], [0.9, 0.5]]},"
    "{\"edit\": \"move-seam\", \"colour\": \"#1d2f5a\", \"from\": [[0.1, 0.5], [0.9, 0.5]], \"points\": [[0.1, 0.6], [0.5, 0.61], [0.9, 0.6]]},"
    "{\"edit\": \"no-seam\", \"colour\": \"#1d2f5a\", \"points\": [[0, 0], [1, 1]]},"
    "{\"edit\": \"keep-clear\", \"points\": [[0.2, 0.2], [0.4, 0.2], [0.3, 0.4]]},"
    "{\"edit\": \"seam-form\", \"colour\": \"#1d2f5a\", \"form\": \"lap\"},"
    "{\"edit\": \"place\", \"colour\": \"#1d2f5a\", \"piece\": \"A7\", \"sheet\": 2, \"to_sheet\": [0.6, 0.8, -0.8, 0.6, 12.123456789, -40]},"
    "{\"edit\": \"frozen\", \"colour\": \"#1d2f5a\", \"piece\": \"A2\", \"height_mm\": 812.8, \"outline\": \"M0 0 L2 0 L1 1 L0 0 Z\", "
    "\"face\": \"M0 0 L1 0 L1 1 L0 0 Z\", \"paper\": \"letter\"},"
    "{\"edit\": \"frozen\", \"colour\": \"#1d2f5a\", \"piece\": \"A1\", \"height_mm\": 812.8, \"outline\": \"M0 0 L1 0 L1 1 L0 0 Z\"},"
    "{\"edit\": \"fewer\", \"of\": \"seams\"}, {\"edit\": \"inlay\", \"colour\": \"#1d2f5a\", \"other\": \"#c81e28\"},"
    "{\"edit\": \"keep-clear\", \"at\": [0.25, 0.75]}, {\"edit\": \"raised\", \"colour\": \"#1d2f5a\"},"
    "{\"edit\": \"match\", \"colours\": [{\"colour\": \"#1d2f5a\", \"name\": \"navy\"}, {\"colour\": \"#f4ead2\", \"name\": \"old cream\"}]}]";

static EditList parsed(const char *json, Arena *keep)
{
    EditList edits;
    Error err = {0};
    if (!edits_parse(json, strlen(json), keep, &edits, &err)) print_error("%s\n", err.text);
    assert_int_equal(err.kind, ERROR_NONE);
    return edits;
}

static const char *written(const EditList *edits, Arena *keep)
{
    Text text = text_make(keep);
    Error err = {0};
    edits_write(edits, &text);
    assert_true(text_is_whole(&text, &err));
    return text.bytes;
}

static void edits_write__what_is_read_again_is_written_again_byte_for_byte(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    EditList edits = parsed(EVERY_KIND, &keep);
    bool seen[EDIT_KIND_COUNT] = {0};
    assert_int_equal(edits.count, EDIT_KIND_COUNT + 3); // smallest, keep-clear and frozen come twice
    for (size_t i = 0; i < edits.count; i++) seen[edits.items[i].kind] = true;
    for (int i = 0; i < EDIT_KIND_COUNT; i++) assert_true(seen[i]);
    const char *once = written(&edits, &keep);
    EditList again = parsed(once, &keep);
    assert_string_equal(written(&again, &keep), once);
    assert_true(again.items[1].at.y == 1.123456789);
    assert_int_equal(again.items[3].colour.r, 0xff);
    assert_true(again.items[9].mm == 0.0 && again.items[9].hole_mm == 2.0);
    assert_int_equal(again.items[17].point_count, 3);
    const Edit *match = &again.items[again.count - 1];
    assert_int_equal(match->paper_count, 2);
    assert_string_equal(match->papers[1].name, "old cream");
    assert_int_equal(match->papers[1].colour.b, 0xd2);
    arena_free(&keep);
}

static void edits_add__copies_all_that_an_edit_points_to(void **state)
{
    (void)state;
    Arena keep = arena_make(0), own = arena_make(0);
    Error err = {0};
    EditList from = parsed(EVERY_KIND, &keep), to = {0};
    for (size_t i = 0; i < from.count; i++) assert_true(edits_add(&to, &from.items[i], &own, &err));
    arena_free(&keep);
    keep = arena_make(0);
    EditList again = parsed(EVERY_KIND, &keep);
    assert_string_equal(written(&to, &own), written(&again, &keep));
    arena_free(&keep);
    arena_free(&own);
}

static void assert_refused(const char *json, const char *part_of_text)
{
    Arena keep = arena_make(0);
    EditList edits;
    Error err = {0};
    assert_false(edits_parse(json, strlen(json), &keep, &edits, &err));
    assert_int_equal(err.kind, ERROR_INPUT);
    if (!strstr(err.text, part_of_text)) print_error("%s\n", err.text);
    assert_non_null(strstr(err.text, part_of_text));
    assert_int_equal(edits.count, 0);
    arena_free(&keep);
}

static void edits_parse__says_which_edit_is_wrong_and_why(void **state)
{
    (void)state;
    assert_refused("", "JSON");
    assert_refused("{\"edit\": \"border\", \"mm\": 6}", "list");
    assert_refused("[{\"edit\": \"border\", \"mm\": 6}, 7]", "edit 2:");
    assert_refused("[{\"mm\": 6}]", "\"edit\" is missing");
    assert_refused("[{\"edit\": \"paint\"}]", "no kind of edit \"paint\"");
    assert_refused("[{\"edit\": \"border\", \"mm\": 6, \"colour\": \"#000000\"}]", "no \"colour\"");
    assert_refused("[{\"edit\": \"border\", \"mm\": 6, \"mm\": 7}]", "JSON");
    assert_refused("[{\"edit\": \"border\", \"mm\": \"6\"}]", "number of millimetres");
    assert_refused("[{\"edit\": \"border\", \"mm\": -1}]", "from 0 to");
    assert_refused("[{\"edit\": \"border\", \"mm\": 1e99}]", "from 0 to");
    assert_refused("[{\"edit\": \"border\", \"mm\": 1e999}]", "JSON");
    assert_refused("[{\"edit\": \"smallest\"}]", "missing");
    assert_refused("[{\"edit\": \"lines\", \"where\": \"under\"}]", "base, top or both");
    assert_refused("[{\"edit\": \"base\", \"colour\": \"navy\"}]", "\"#1d2f5a\"");
    assert_refused("[{\"edit\": \"base\", \"colour\": \"#12345g\"}]", "\"#1d2f5a\"");
    assert_refused("[{\"edit\": \"ground\", \"at\": [0.1]}]", "places");
    assert_refused("[{\"edit\": \"ground\", \"at\": [0.1, 2000]}]", "heights away");
    assert_refused("[{\"edit\": \"seam\", \"colour\": \"#000000\", \"points\": [[0, 0]]}]", "list of 2");
    assert_refused("[{\"edit\": \"keep-clear\", \"at\": [0, 0], \"points\": [[0, 0], [1, 1], [0, 1]]}]", "not both");
    assert_refused("[{\"edit\": \"keep-clear\", \"points\": [[0, 0], [1, 1]]}]", "list of 3");
    assert_refused("[{\"edit\": \"tiny\", \"at\": [0, 0], \"fate\": \"eat\"}]", "keep, enlarge or pen");
    assert_refused("[{\"edit\": \"stack\", \"way\": \"full\"}]", "inlay or underlap");
    assert_refused("[{\"edit\": \"fewer\", \"of\": \"sheets\"}]", "pieces, seams or neither");
    assert_refused("[{\"edit\": \"fewer\"}]", "\"of\" is missing");
    assert_refused("[{\"edit\": \"sheet\", \"colour\": \"#000000\", \"paper\": \"bedsheet\"}]", "bedsheet");
    assert_refused("[{\"edit\": \"name\", \"colour\": \"#000000\", \"name\": \"\"}]", "name");
    assert_refused("[{\"edit\": \"name\", \"colour\": \"#000000\", \"name\": \" sea\"}]", "blanks");
    assert_refused("[{\"edit\": \"name\", \"colour\": \"#000000\", \"name\": \"a\\u001bb\"}]", "plain text");
    assert_refused("[{\"edit\": \"name\", \"colour\": \"#000000\", \"name\": \"a\\u0000b\"}]", "JSON");
    assert_refused("[{\"edit\": \"place\", \"colour\": \"#000000\", \"piece\": \"A1\", \"to_sheet\": [1, 0, 0, 1, 0, 0]}]", "\"sheet\" is missing");
    assert_refused("[{\"edit\": \"place\", \"colour\": \"#000000\", \"piece\": \"A1\", \"sheet\": 0, \"to_sheet\": [1, 0, 0, 1, 0, 0]}]", "from 1");
    assert_refused("[{\"edit\": \"place\", \"colour\": \"#000000\", \"piece\": \"A1\", \"sheet\": 1, \"to_sheet\": [1, 0, 0, 1, 0]}]", "six numbers");
    assert_refused("[{\"edit\": \"place\", \"colour\": \"#000000\", \"piece\": \"A1\", \"sheet\": 1, \"to_sheet\": [1, 0, 0, 1, 0, 1e9]}]", "six numbers");
    assert_refused("[{\"edit\": \"offcut\", \"colour\": \"#000000\", \"paper\": \"6x9\"}]", "\"count\" is missing");
    assert_refused("[{\"edit\": \"offcut\", \"colour\": \"#000000\", \"paper\": \"6x9\", \"count\": 1.5}]", "from 0 to");
    assert_refused("[{\"edit\": \"match\"}]", "\"colours\" is missing");
    assert_refused("[{\"edit\": \"match\", \"colours\": []}]", "1 to 64");
    assert_refused("[{\"edit\": \"match\", \"colours\": [\"#000000\"]}]", "should hold papers");
    assert_refused("[{\"edit\": \"match\", \"colours\": [{\"colour\": \"#000000\"}]}]", "should hold papers");
    assert_refused("[{\"edit\": \"match\", \"colours\": [{\"colour\": \"black\", \"name\": \"black\"}]}]", "\"#1d2f5a\"");
    assert_refused("[{\"edit\": \"match\", \"colours\": [{\"colour\": \"#000000\", \"name\": \"\"}]}]", "name");
    assert_refused("[{\"edit\": \"match\", \"colours\": [{\"colour\": \"#000000\", \"name\": \"a\"}, {\"colour\": \"#000000\", \"name\": \"b\"}]}]", "same colour");
    assert_refused("[{\"edit\": \"match\", \"colours\": [{\"colour\": \"#000000\", \"name\": \"a\"}, {\"colour\": \"#000001\", \"name\": \"a\"}]}]", "have the name");
    assert_refused("[{\"edit\": \"a\\u001b[2J\"}]", "no kind of edit \"a?[2J\"");
}

static void edit_parse_papers__takes_what_a_maker_types(void **state)
{
    (void)state;
    NamedColour papers[EDIT_MOST_PAPERS];
    Error err = {0};
    int count;
    assert_true(edit_parse_papers("  old navy   #1d2f5a ,#FFFFFF", papers, &count, &err));
    assert_int_equal(count, 2);
    assert_string_equal(papers[0].name, "old navy");
    assert_int_equal(papers[0].colour.g, 0x2f);
    assert_string_equal(papers[1].name, "white"); // its colour's
    const char *const wrong[] = {"", ",", "navy", "navy#1d2f5a", "navy #1d2f5", "navy #1d2f5a,", "navy #1d2f5a, navy #000000", "a #1d2f5a, b #1d2f5a",
                                 "a name of more than thirty-one bytes #1d2f5a", "na\tvy\x01 #1d2f5a"};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) assert_false(edit_parse_papers(wrong[i], papers, &count, &err));
}

static void edits_parse__refuses_a_list_that_is_too_long(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Text text = text_make(&keep);
    text_add(&text, "[");
    for (int i = 0; i <= EDITS_MOST; i++) text_printf(&text, "%s{\"edit\": \"border\", \"mm\": 6}", i ? "," : "");
    text_add(&text, "]");
    assert_refused(text.bytes, "more than");
    arena_free(&keep);
}

static void edits_parse__an_empty_list_is_fine(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    EditList edits = parsed("[]", &keep);
    assert_int_equal(edits.count, 0);
    Error err = {0};
    Edit edit = {.kind = EDIT_BORDER, .mm = 6.0};
    assert_true(edits_add(&edits, &edit, &keep, &err));
    assert_int_equal(edits.count, 1);
    arena_free(&keep);
}

static void edit_say__tells_what_was_asked(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    EditList edits = parsed(EVERY_KIND, &keep);
    Text text = text_make(&keep);
    edit_say(&edits.items[16], "navy", "red", &text);
    assert_string_equal(text.bytes, "the fixed seam of navy from 10 %, 50 % to 90 %, 50 %");
    for (size_t i = 0; i < edits.count; i++) {
        size_t before = text.size_bytes;
        edit_say(&edits.items[i], "navy", "red", &text);
        assert_true(text.size_bytes > before);
    }
    arena_free(&keep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(edits_write__what_is_read_again_is_written_again_byte_for_byte),
        cmocka_unit_test(edits_add__copies_all_that_an_edit_points_to),
        cmocka_unit_test(edits_parse__says_which_edit_is_wrong_and_why),
        cmocka_unit_test(edit_parse_papers__takes_what_a_maker_types),
        cmocka_unit_test(edits_parse__refuses_a_list_that_is_too_long),
        cmocka_unit_test(edits_parse__an_empty_list_is_fine),
        cmocka_unit_test(edit_say__tells_what_was_asked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
