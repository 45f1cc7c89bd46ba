// test_freeze.c - frozen pieces found again or missed, by name.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "job/freeze.h"

#include <string.h>

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
        cmocka_unit_test(freeze_capture__takes_down_colour_name_outline_and_height),
        cmocka_unit_test(freeze_check__names_the_pieces_that_would_change),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
