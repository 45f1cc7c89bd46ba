// test_path_read.c - path data as our files have it, read to the micrometre; what is none is refused.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "job/path_read.h"

static bool is_path(const char *text, bool open, Arena *keep, Path *out)
{
    Error err = {0};
    bool fine;
    assert_true(path_read(text, open, keep, out, &fine, &err));
    return fine;
}

static void path_read__reads_rings_of_lines_and_curves(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Path path;
    assert_true(is_path("M0.001 -2 L10 0 C11 1 12.5 2 10 10 L0.001 -2 Z M3 3 L4 3 L4 4 L3 3 Z", false, &keep, &path));
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

static void path_read__refuses_what_is_no_closed_outline(void **state)
{
    (void)state;
    static const char *const wrong[] = {"", "M0 0", "L1 1 Z", "M0 0 L1 0 L1 1 Z", "M0 0 L1 0 L1 1 L0 0", "M0 0 M1 1 L0 0 Z",
        "M0 0 Q1 1 2 2 L0 0 Z", "M0 0 L1 L0 0 Z", "M0 0 L1e9 0 L0 0 Z", "M0 0 L999999 0 L0 0 Z", "M0 0 L--1 0 L0 0 Z", "Z", "M 0 0 L 1.2.3 0 L 0 0 Z"};
    Arena keep = arena_make(0);
    Path path;
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) assert_false(is_path(wrong[i], false, &keep, &path));
    assert_false(is_path(NULL, false, &keep, &path));
    arena_free(&keep);
}

static void path_read__reads_open_strokes_one_after_the_other(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Path path;
    assert_true(is_path("M0 0 L1 0 L1 1 M5 5 C6 5 7 6 7 7", true, &keep, &path));
    assert_true(path.open);
    assert_int_equal(path.part_count, 2);
    assert_int_equal(path.first[1], 2);
    assert_int_equal(path.first[2], 3);
    assert_int_equal(path.curves[2].p3.y, 7000);
    assert_false(is_path("M0 0 L1 0 L1 1 L0 0 Z", true, &keep, &path)); // a ring is no stroke
    assert_false(is_path("L1 0", true, &keep, &path));
    arena_free(&keep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(path_read__reads_rings_of_lines_and_curves),
        cmocka_unit_test(path_read__refuses_what_is_no_closed_outline),
        cmocka_unit_test(path_read__reads_open_strokes_one_after_the_other),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
