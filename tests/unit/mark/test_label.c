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

// Looks for a place as a piece's own marks would: faces less a rim of 0.5 mm.
static bool found_with(PaperCase *test, const char *text, const Rings *face, const Rings *safe, const Stroke *lines,
                       int line_count, Label *out)
{
    MarkOptions options = mark_defaults(MARK_SCORE);
    Piece piece = {.rings = *face};
    Cover inside, hidden;
    LineIndex index;
    Strokes strokes = {(Stroke *)lines, (size_t)line_count, 0};
    LabelPlace place = {face, safe, lines, line_count, {0}};
    must(test, clip_face(&piece, &test->keep, &test->work, &inside, &test->err));
    must(test, cover_make(safe, &test->keep, &hidden, &test->err));
    place.room = (Room){.face = &inside, .safe = &hidden, .scratch = &test->work.scratch};
    must(test, line_index_make(&strokes, 1, &test->keep, &index, &test->err));
    must(test, line_index_of(&index, 0, &place.room.lines, &test->err));
    must(test, label_find(text, &place, &options, &test->keep, &test->work, out, &test->err));
    return out->found;
}

static bool found_in(PaperCase *test, const Rings *face, const Rings *safe, Path *out)
{
    Label label;
    bool found = found_with(test, "B12", face, safe, NULL, 0, &label);
    *out = label.path;
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
        Rings face = bar(60.0, 4.5, cos(angle), sin(angle), &test.keep);
        Path path;
        assert_false(found_in(&test, &face, &face, &path));
        assert_int_equal(path.curve_count, 0);
        paper_case_close(&test);
    }
}

static double across_mm(const Path *path, double cosine, double sine)
{
    double least = INFINITY, most = -INFINITY;
    for (int i = 0; i < path->curve_count; i++) {
        double at = -sine * path->curves[i].p0.x + cosine * path->curves[i].p0.y;
        least = fmin(least, at);
        most = fmax(most, at);
    }
    return (most - least) / UM_PER_MM;
}

// 7 mm leave 6 between the rims: no row with a millimetre to spare, but a letter of 6 mm is 4.6 mm wide.
static void label__goes_letter_below_letter_in_a_narrow_bar(void **state)
{
    (void)state;
    for (int degrees = 0; degrees < 180; degrees += 7) {
        PaperCase test = paper_case_open();
        double angle = degrees * 3.14159265358979 / 180.0;
        Rings face = bar(60.0, 7.0, cos(angle), sin(angle), &test.keep);
        Path path;
        assert_true(found_in(&test, &face, &face, &path));
        must_be_whole_inside(&test, &path, &face, 0.5);
        assert_true(across_mm(&path, cos(angle), sin(angle)) < 4.7);
        paper_case_close(&test);
    }
}

// A quarter of a ring, 7 mm wide.
static Rings bend(Arena *keep)
{
    Rings rings = {arena_new(keep, Ring, 1), 1};
    rings.items[0] = (Ring){arena_new(keep, Point, 62), 62};
    for (int i = 0; i <= 30; i++) {
        double turn = i / 30.0 * 1.570796326794897;
        rings.items[0].points[i] = point_from_mm(100.0 + 40.0 * cos(turn), 100.0 + 40.0 * sin(turn));
        rings.items[0].points[61 - i] = point_from_mm(100.0 + 33.0 * cos(turn), 100.0 + 33.0 * sin(turn));
    }
    return rings;
}

static void label__follows_a_bend(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    Rings face = bend(&test.keep);
    Path path;
    assert_true(found_in(&test, &face, &face, &path));
    must_be_whole_inside(&test, &path, &face, 0.5);
    assert_false(found_in(&test, &face, &(Rings){NULL, 0}, &path)); // nothing is hidden
    paper_case_close(&test);
}

static void label__lines_give_way_only_where_there_is_no_other_place(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    Label label;
    Point ends[2] = {point_from_mm(70.0, 98.5), point_from_mm(130.0, 98.5)};
    Stroke line = {0, ends, 2};
    Rings narrow = bar(60.0, 7.0, 1.0, 0.0, &test.keep), wide = bar(60.0, 12.0, 1.0, 0.0, &test.keep);
    assert_true(found_with(&test, "B12", &narrow, &narrow, &line, 1, &label));
    assert_true(label.across);
    assert_int_equal(label.letter_count, 3);
    for (int i = 0; i < label.path.curve_count; i++) { // each stroke lies in its letter's box
        bool inside = false;
        for (int k = 0; k < 3; k++) {
            Ring box = {label.letters[k].corners, 4};
            Rings boxes = {&box, 1};
            inside = inside || rings_contain(&boxes, label.path.curves[i].p0);
        }
        assert_true(inside);
    }
    ends[0].y = ends[1].y = 95500; // 1.5 mm from the edge: 7.4 mm are left between
    assert_true(found_with(&test, "B12", &wide, &wide, &line, 1, &label));
    assert_false(label.across);
    paper_case_close(&test);
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
        cmocka_unit_test(label__goes_letter_below_letter_in_a_narrow_bar),
        cmocka_unit_test(label__follows_a_bend),
        cmocka_unit_test(label__lines_give_way_only_where_there_is_no_other_place),
        cmocka_unit_test(label__stays_in_what_is_hidden),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
