// test_freeze.c - outlines as they are written, read back; frozen pieces found again or missed, by name.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "job/freeze.h"

#include <string.h>

static bool is_path(const char *text, Arena *keep, Path *out)
{
    Error err = {0};
    bool fine;
    assert_true(freeze_path(text, keep, out, &fine, &err));
    return fine;
}

static void freeze_path__reads_rings_of_lines_and_curves(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Path path;
    assert_true(is_path("M0.001 -2 L10 0 C11 1 12.5 2 10 10 L0.001 -2 Z M3 3 L4 3 L4 4 L3 3 Z", &keep, &path));
    assert_int_equal(path.part_count, 2);
    assert_int_equal(path.curve_count, 6);
    assert_int_equal(path.first[1], 3);
    assert_int_equal(path.first[2], 6);
    assert_true(path.curves[0].is_line && !path.curves[1].is_line);
    assert_int_equal(path.curves[0].p0.x, 1);
    assert_int_equal(path.curves[0].p0.y, -2000);
    assert_int_equal(path.curves[1].p2.x, 12500);
    arena_free(&keep);
}

static void freeze_path__refuses_what_is_no_closed_outline(void **state)
{
    (void)state;
    static const char *const wrong[] = {"", "M0 0", "L1 1 Z", "M0 0 L1 0 L1 1 Z", "M0 0 L1 0 L1 1 L0 0", "M0 0 M1 1 L0 0 Z",
        "M0 0 Q1 1 2 2 L0 0 Z", "M0 0 L1 L0 0 Z", "M0 0 L1e9 0 L0 0 Z", "M0 0 L999999 0 L0 0 Z", "M0 0 L--1 0 L0 0 Z", "Z", "M 0 0 L 1.2.3 0 L 0 0 Z"};
    Arena keep = arena_make(0);
    Path path;
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) assert_false(is_path(wrong[i], &keep, &path));
    assert_false(is_path(NULL, &keep, &path));
    arena_free(&keep);
}

static const char KIT[] =
    "{\"layers\": [{\"id\": \"A\", \"colour\": \"#1d2f5a\"}],"
    " \"pieces\": [{\"id\": \"A1\", \"layer\": \"A\", \"outline\": \"M0 0 L9 0 L9 9 L0 0 Z\"},"
    "              {\"id\": \"A2\", \"layer\": \"A\", \"outline\": \"M0 0 L8 0 L8 8 L0 0 Z\","
    "               \"face\": \"M0 0 L7 0 L7 7 L0 0 Z\"}]}";

static FileSet kit_of(const char *json, FileBytes *file)
{
    *file = (FileBytes){"kit.json", json, strlen(json)};
    return (FileSet){file, 1};
}

static void freeze_capture__takes_down_colour_name_outline_and_height(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    FileBytes file;
    FileSet kit = kit_of(KIT, &file);
    EditList edits = {0};
    Error err = {0};
    const char *ids[] = {"A2"};
    assert_true(freeze_capture(&kit, 812.8, ids, 1, &keep, &edits, &err));
    assert_int_equal(edits.count, 1);
    assert_int_equal(edits.items[0].kind, EDIT_FROZEN);
    assert_int_equal(edits.items[0].colour.b, 0x5a);
    assert_string_equal(edits.items[0].text, "A2");
    assert_string_equal(edits.items[0].path, "M0 0 L8 0 L8 8 L0 0 Z");
    assert_string_equal(edits.items[0].face, "M0 0 L7 0 L7 7 L0 0 Z"); // it has laps
    assert_true(freeze_check(&edits, 812.8, &kit, &err));
    const char *two[] = {"A1", "B7"};
    assert_false(freeze_capture(&kit, 812.8, two, 2, &keep, &edits, &err));
    assert_non_null(strstr(err.text, "B7"));
    assert_int_equal(edits.count, 1); // all or none
    arena_free(&keep);
}

static void freeze_check__names_the_pieces_that_would_change(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    FileBytes file, other_file;
    FileSet kit = kit_of(KIT, &file);
    FileSet other = kit_of("{\"pieces\": [{\"id\": \"A1\", \"outline\": \"M0 0 L9 0 L9 9 L0 0 Z\"}]}", &other_file);
    EditList edits = {0};
    Error err = {0};
    const char *ids[] = {"A1", "A2"};
    assert_true(freeze_capture(&kit, 500.0, ids, 2, &keep, &edits, &err));
    assert_false(freeze_check(&edits, 500.0, &other, &err));
    assert_int_equal(err.kind, ERROR_JOB);
    assert_non_null(strstr(err.text, "A2"));
    assert_null(strstr(err.text, "A1"));
    assert_false(freeze_check(&edits, 501.0, NULL, &err));
    assert_non_null(strstr(err.text, "A1, A2"));
    assert_true(freeze_check(&edits, 500.0, NULL, &err));
    arena_free(&keep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(freeze_path__reads_rings_of_lines_and_curves),
        cmocka_unit_test(freeze_path__refuses_what_is_no_closed_outline),
        cmocka_unit_test(freeze_capture__takes_down_colour_name_outline_and_height),
        cmocka_unit_test(freeze_check__names_the_pieces_that_would_change),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
