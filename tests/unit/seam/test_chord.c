// Seams between two neighbours that are shorter or tidier than any line of a family; the best is known from a drawing.
// Letter: a piece is at most 7.96 x 10.46 in.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support/seam_case.h"

static Point seam_end(const SeamCase *c, int seam, int end)
{
    const Link *link = &c->pieces.seams[seam].links[0];
    return end ? link_end(&c->pieces.chains, link) : link_start(&c->pieces.chains, link);
}

// A plate of 14 x 7 in with a notch 2 in deep at 6.2 in. It needs one seam, and nowhere is it less high than at the
// notch: 5 in, straight down from its corner.
static void chord__ends_in_the_corner_of_a_notch(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double plate[][2] = {{0, 0}, {5.7, 0}, {6.2, 2}, {6.7, 0}, {14, 0}, {14, 7}, {0, 7}};
    SEAM_CASE_LAYER(&c, plate);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.seam_count, 1);
    assert_true(fabs(c.pieces.seams[0].length_mm - 5 * 25.4) < 0.01);
    Point tip = point_from_mm(6.2 * 25.4, 2 * 25.4);
    assert_true(point_equal(seam_end(&c, 0, 0), tip) || point_equal(seam_end(&c, 0, 1), tip));
    seam_case_check_laws(&c, &c.pieces);
    seam_case_close(&c);
}

// A chevron: two arms 2 in wide and 20 in long, along (4, 3) and (4, -3), no direction that families of lines have. A bar
// of 2 in fits up to 11.2 in, so four pieces and three seams are needed; none can be shorter than the arm is wide.
static void chord__lies_straight_across_a_slanting_arm(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double chevron[][2] = {{0, 2}, {1.2, 0.4}, {16, 11.5}, {30.8, 0.4}, {32, 2}, {16, 14}};
    SEAM_CASE_LAYER(&c, chevron);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 4);
    assert_int_equal(c.pieces.seam_count, 3);
    assert_true(seam_case_length_mm(&c.pieces, true) >= 3 * 2 * 25.4 - 0.1);
    assert_true(seam_case_length_mm(&c.pieces, true) <= 3 * 2 * 25.4 + 0.1);
    seam_case_check_laws(&c, &c.pieces);
    seam_case_close(&c);
}

// A network of seams is shortest when three meet at 120 degrees; on a panel in plain sight all run along its sides
// (but for a tenth of an inch where two lines meet that were laid apart), bends and all.
static void chord__seams_of_a_plain_panel_run_along_its_sides(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double panel[][2] = {{0, 0}, {25, 0}, {25, 19}, {0, 19}};
    SEAM_CASE_LAYER(&c, panel);
    seam_case_divide(&c);
    assert_true(c.pieces.seam_count > 6);
    for (int s = 0; s < c.pieces.seam_count; s++) {
        const Link *link = &c.pieces.seams[s].links[0];
        Point a = seam_end(&c, s, 0);
        int most_x = 0, most_y = 0;
        for (int k = 1; k < link_point_count(link); k++) {
            Point p = link_point(&c.pieces.chains, link, k);
            if (abs(p.x - a.x) > most_x) most_x = abs(p.x - a.x);
            if (abs(p.y - a.y) > most_y) most_y = abs(p.y - a.y);
        }
        assert_true(most_x <= 2540 || most_y <= 2540);
    }
    seam_case_check_laws(&c, &c.pieces);
    seam_case_close(&c);
}

// ---- seams of higher layers ----

static double least_apart_mm(const SeamCase *c, const LayerPieces *pieces, const SeamLine *lines, int count)
{
    double least = 1e9;
    for (int s = 0; s < pieces->seam_count; s++)
        for (int i = 0; i < link_point_count(&pieces->seams[s].links[0]); i++)
            for (int k = 0; k < count; k++)
                least = fmin(least, point_segment_distance_mm(link_point(&pieces->chains, &pieces->seams[s].links[0], i),
                                                              lines[k].points[0], lines[k].points[1]));
    (void)c;
    return least;
}

static void open_bar(SeamCase *c)
{
    static const double bar[][2] = {{0, 0}, {27, 0}, {27, 7}, {0, 7}};
    seam_case_open(c, "letter");
    SEAM_CASE_LAYER(c, bar);
    seam_case_divide(c);
    assert_int_equal(c->pieces.seam_count, 2);
}

// A bar of 27 x 7 in has room for its two seams to go an inch and more to the side.
static void settle__seams_move_from_under_those_above(void **state)
{
    (void)state;
    SeamCase c;
    open_bar(&c);
    Point points[2][2];
    SeamLine lines[2];
    for (int s = 0; s < 2; s++) {
        points[s][0] = seam_end(&c, s, 0);
        points[s][1] = seam_end(&c, s, 1);
        lines[s] = (SeamLine){points[s], 2};
    }
    SeamOptions options = c.options;
    options.above = lines;
    options.above_count = 2;
    LayerPieces settled;
    bool changed;
    assert_true(seam_settle(&c.stack, 0, &options, &c.pieces, &c.keep, &c.work, &settled, &changed, &c.err));
    assert_true(changed);
    assert_int_equal(settled.piece_count, 3);
    assert_true(least_apart_mm(&c, &settled, lines, 2) >= 12.7);
    assert_true(fabs(seam_case_length_mm(&settled, true) - 2 * 7 * 25.4) < 0.1);
    seam_case_check_laws(&c, &settled);
    seam_case_close(&c);
}

static void settle__seams_that_only_cross_those_above_stay(void **state)
{
    (void)state;
    SeamCase c;
    open_bar(&c);
    Point points[2] = {point_from_mm(0, 80), point_from_mm(27 * 25.4, 80)};
    SeamLine line = {points, 2};
    SeamOptions options = c.options;
    LayerPieces settled;
    bool changed = true;
    options.above = &line;
    options.above_count = 1;
    assert_true(seam_settle(&c.stack, 0, &options, &c.pieces, &c.keep, &c.work, &settled, &changed, &c.err));
    assert_false(changed);
    seam_case_close(&c);
}

// A bar of 20.7 in in two pieces of at most 10.46 in has no room: its seam stays where it must be.
static void settle__a_seam_without_room_stays(void **state)
{
    (void)state;
    SeamCase c;
    static const double bar[][2] = {{0, 0}, {20.7, 0}, {20.7, 7}, {0, 7}};
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, bar);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.seam_count, 1);
    Point points[2] = {seam_end(&c, 0, 0), seam_end(&c, 0, 1)};
    SeamLine line = {points, 2};
    SeamOptions options = c.options;
    LayerPieces settled;
    bool changed = true;
    options.above = &line;
    options.above_count = 1;
    assert_true(seam_settle(&c.stack, 0, &options, &c.pieces, &c.keep, &c.work, &settled, &changed, &c.err));
    assert_true(!changed || settled.piece_count == 2);
    seam_case_close(&c);
}

static void seam_lines__has_every_seam_with_its_points(void **state)
{
    (void)state;
    SeamCase c;
    const SeamLine *lines;
    int count;
    open_bar(&c);
    assert_true(seam_lines(&c.pieces, 1, &c.keep, &lines, &count, &c.err));
    assert_int_equal(count, 2);
    for (int s = 0; s < 2; s++) {
        assert_int_equal(lines[s].count, 2);
        assert_true(point_equal(lines[s].points[0], seam_end(&c, s, 0)));
    }
    seam_case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(chord__ends_in_the_corner_of_a_notch),
        cmocka_unit_test(chord__lies_straight_across_a_slanting_arm),
        cmocka_unit_test(chord__seams_of_a_plain_panel_run_along_its_sides),
        cmocka_unit_test(settle__seams_move_from_under_those_above),
        cmocka_unit_test(settle__seams_that_only_cross_those_above_stay),
        cmocka_unit_test(settle__a_seam_without_room_stays),
        cmocka_unit_test(seam_lines__has_every_seam_with_its_points),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
