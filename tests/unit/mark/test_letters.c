// test_letters.c - text as strokes.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "mark/mark.h"

#include <stdlib.h>

static Path text_path(Arena *keep, const char *text, double height_mm, Box *box)
{
    Path path;
    Error err = {0};
    assert_true(mark_text(text, height_mm, keep, &path, box, &err));
    assert_true(path.open);
    return path;
}

static void letters__capitals_have_the_height_asked(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Box box;
    text_path(&keep, "AEHLT1", 10.0, &box);
    assert_int_equal(box.min.y, -10000);
    assert_int_equal(box.max.y, 0); // the baseline
    assert_true(box.min.x >= 0);
    Box half;
    text_path(&keep, "AEHLT1", 5.0, &half);
    assert_true(abs(half.max.x * 2 - box.max.x) <= 2);
    arena_free(&keep);
}

static void letters__strokes_are_lines_that_follow_each_other(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Box box;
    Path path = text_path(&keep, "A17", 10.0, &box);
    assert_int_equal(path.part_count, 3 + 1 + 2); // A has three strokes, 1 one, 7 two
    assert_int_equal(path.first[path.part_count], path.curve_count);
    for (int i = 0; i < path.part_count; i++) {
        assert_true(path.first[i] < path.first[i + 1]);
        for (int k = path.first[i]; k < path.first[i + 1]; k++) {
            assert_true(path.curves[k].is_line);
            assert_false(point_equal(path.curves[k].p0, path.curves[k].p3));
            if (k > path.first[i]) assert_true(point_equal(path.curves[k - 1].p3, path.curves[k].p0));
        }
    }
    arena_free(&keep);
}

static int parts(const char *text)
{
    Arena keep = arena_make(0);
    Box box;
    int count = text_path(&keep, text, 10.0, &box).part_count;
    arena_free(&keep);
    return count;
}

static void letters__six_and_nine_are_underlined_when_ambiguous(void **state)
{
    (void)state;
    assert_int_equal(parts("6"), 2);
    assert_int_equal(parts("H9"), 3 + 2);
    assert_int_equal(parts("69"), 4);
    assert_int_equal(parts("A6"), 3 + 1); // no A stands on its head
    assert_int_equal(parts("62"), 2);
    assert_int_equal(parts("8"), 1);
}

static void letters__other_bytes_are_skipped(void **state)
{
    (void)state;
    assert_int_equal(parts("\xc3\xa4"), 0);
    assert_int_equal(parts(""), 0);
    assert_int_equal(parts("\t1\x7f"), 1);
}

static void letters__lack_of_memory_is_an_error(void **state)
{
    (void)state;
    for (int64_t after = 0; after < 2; after++) {
        Arena keep = arena_make(0);
        keep.fail_after = after;
        Path path;
        Box box;
        Error err = {0};
        assert_false(mark_text("A1", 10.0, &keep, &path, &box, &err));
        assert_int_equal(err.kind, ERROR_SYSTEM);
        arena_free(&keep);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(letters__capitals_have_the_height_asked),
        cmocka_unit_test(letters__strokes_are_lines_that_follow_each_other),
        cmocka_unit_test(letters__six_and_nine_are_underlined_when_ambiguous),
        cmocka_unit_test(letters__other_bytes_are_skipped),
        cmocka_unit_test(letters__lack_of_memory_is_an_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
