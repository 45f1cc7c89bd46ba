// test_label.c - places for names in bars of a known width and slant.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "mark/label.h"
#include "support/mark_case.h"

#include <math.h>

// A bar about (100, 100) mm, turned by an angle with this cosine and sine.
static Rings bar(double long_mm, double wide_mm, double cosine, double sine, Arena *keep)
{
    static const double corners[4][2] = {{-0.5, -0.5}, {0.5, -0.5}, {0.5, 0.5}, {-0.5, 0.5}};
    Rings rings = {arena_new(keep, Ring, 1), 1};
    rings.items[0] = (Ring){arena_new(keep, Point, 4), 4};
    for (int i = 0; i < 4; i++) {
        double x = corners[i][0] * long_mm, y = corners[i][1] * wide_mm;
        rings.items[0].points[i] = point_from_mm(100.0 + cosine * x - sine * y, 100.0 + sine * x + cosine * y);
    }
    return rings;
}

static bool found_in(PaperCase *test, const Rings *face, const Rings *safe, Path *out)
{
    MarkOptions options = mark_defaults(MARK_SCORE);
    bool found;
    must(test, label_find("B12", face, safe, NULL, 0, &options, &test->keep, &test->work, out, &found, &test->err));
    return found;
}

static void label__lies_aslant_where_it_fits_no_other_way(void **state)
{
    (void)state;
    for (int degrees = -75; degrees <= 75; degrees += 15) {
        PaperCase test = paper_case_open();
        double angle = degrees * 3.14159265358979 / 180.0;
        Rings face = bar(60.0, 10.5, cos(angle), sin(angle), &test.keep);
        Path path;
        assert_true(found_in(&test, &face, &face, &path));
        must_be_whole_inside(&test, &path, &face, 1.0);
        // it reads from left to right, or upwards: strokes begin further left, or lower, than they do at the end
        Point first = path.curves[0].p0, last = path.curves[path.curve_count - 1].p0;
        double along = cos(angle) * ((double)last.x - first.x) + sin(angle) * ((double)last.y - first.y);
        assert_true(along > 0.0);
        paper_case_close(&test);
    }
}

static void label__finds_nothing_in_a_narrow_bar_however_it_lies(void **state)
{
    (void)state;
    for (int degrees = 0; degrees < 180; degrees += 15) {
        PaperCase test = paper_case_open();
        double angle = degrees * 3.14159265358979 / 180.0;
        Rings face = bar(60.0, 7.5, cos(angle), sin(angle), &test.keep);
        Path path;
        assert_false(found_in(&test, &face, &face, &path));
        assert_int_equal(path.curve_count, 0);
        paper_case_close(&test);
    }
}

static void label__stays_in_what_is_hidden(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    Rings face = bar(60.0, 60.0, 1.0, 0.0, &test.keep), safe = bar(60.0, 10.5, 0.8, 0.6, &test.keep);
    Path path;
    assert_true(found_in(&test, &face, &safe, &path));
    must_be_whole_inside(&test, &path, &face, 1.0);
    must_be_whole_inside(&test, &path, &safe, 1.0);
    paper_case_close(&test);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(label__lies_aslant_where_it_fits_no_other_way),
        cmocka_unit_test(label__finds_nothing_in_a_narrow_bar_however_it_lies),
        cmocka_unit_test(label__stays_in_what_is_hidden),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
