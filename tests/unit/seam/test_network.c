// test_network.c - strokes divided along their axes: known optima, square cuts, junctions and corners left alone.
// 6x9 paper leaves 5.46 x 8.46 in for a piece (half an inch for the cutter, a millimetre to spare): its diagonal is 10.07 in.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/seam_case.h"

#define STROKE_IN 0.4
#define CLEAR_MM 12.7

static double seen_in(const SeamCase *c)
{
    return seam_case_length_mm(&c->pieces, true) / 25.4;
}

// Every cut is as long as the stroke is wide.
static void cuts_are_square(const SeamCase *c)
{
    for (int i = 0; i < c->pieces.seam_count; i++) {
        double length = c->pieces.seams[i].length_mm;
        assert_true(length >= STROKE_IN * 25.4 - 0.02 && length <= STROKE_IN * 25.4 / 0.9962); // 5 degrees
        assert_int_equal(link_point_count(&c->pieces.seams[i].links[0]), 2);
    }
}

static void cuts_keep_off_corners(const SeamCase *c)
{
    for (int i = 0; i < c->pieces.seam_count; i++)
        for (int end = 0; end < 2; end++)
            for (int r = 0; r < c->layer.rings.count; r++)
                for (int k = 0; k < c->layer.rings.items[r].count; k++) {
                    Point p = link_point(&c->pieces.chains, &c->pieces.seams[i].links[0], end);
                    assert_true(point_distance_mm(p, c->layer.rings.items[r].points[k]) >= CLEAR_MM);
                }
}

// 3 pieces of 9.17 in lie aslant on the sheet; along its sides, 8.46 in a piece, there would be 4.
static void network__bar_is_cut_for_sheets_turned_as_fits(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "6x9");
    const double bar[][2] = {{0, 0}, {27.5, 0}, {27.5, STROKE_IN}, {0, STROKE_IN}};
    SEAM_CASE_LAYER(&c, bar);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 3);
    assert_true(fabs(seen_in(&c) - 2.0 * STROKE_IN) < 0.001);
    cuts_are_square(&c);
    cuts_keep_off_corners(&c);
    seam_case_close(&c);
}

// A textured paper is never turned: 5 times 5.46 in are less than 28 in.
static void network__bar_on_a_paper_with_a_direction(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "6x9,textured");
    const double bar[][2] = {{0, 0}, {28, 0}, {28, STROKE_IN}, {0, STROKE_IN}};
    SEAM_CASE_LAYER(&c, bar);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 6);
    cuts_are_square(&c);
    seam_case_close(&c);
}

// Two corners of a frame are 12 in apart, farther than a sheet reaches: each lies in a piece of its own. Four such pieces
// do, arms of 5.46 and 8.46 in going round like the sails of a mill.
static void network__frame_falls_into_its_corners(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "6x9");
    const double out[][2] = {{0, 0}, {12, 0}, {12, 12}, {0, 12}}, in[][2] = {{.4, .4}, {11.6, .4}, {11.6, 11.6}, {.4, 11.6}};
    Ring rings[2] = {seam_case_ring_in(&c, out, 4, false), seam_case_ring_in(&c, in, 4, true)};
    seam_case_set_layer(&c, rings, 2);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 4);
    assert_int_equal(c.pieces.seam_count, 4);
    assert_true(fabs(seen_in(&c) - 4.0 * STROKE_IN) < 0.001);
    cuts_keep_off_corners(&c);
    seam_case_close(&c);
}

// The four ends are farther apart than the sheet's diagonal (10.6 in): four pieces at least. One of them holds the
// crossing and a whole arm, 8.2 in with what is left of the arm across.
static void network__cross_is_cut_beside_its_junction(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "6x9");
    const double a = 7.3, b = 7.7, e = 15.0;
    const double cross[][2] = {{a, 0}, {b, 0}, {b, a}, {e, a}, {e, b}, {b, b}, {b, e}, {a, e}, {a, b}, {0, b}, {0, a}, {a, a}};
    SEAM_CASE_LAYER(&c, cross);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 4);
    assert_true(fabs(seen_in(&c) - 3.0 * STROKE_IN) < 0.001);
    cuts_are_square(&c);
    cuts_keep_off_corners(&c);
    seam_case_close(&c);
}

// Teeth 7 in long, 3 in apart, on a back of 24.4 in. The ends of two teeth come into one piece only with the back between
// them: 3.4 x 7.4 in fits, 6.4 x 7.4 in for three teeth does not. Nine teeth: five pieces.
static void network__comb_is_cut_between_its_teeth(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "6x9");
    double comb[38][2] = {{0, 0}};
    int n = 1;
    for (int t = 0; t < 9; t++) {
        double x = 3.0 * t, right = x + STROKE_IN;
        const double tooth[4][2] = {{x, 7.4}, {right, 7.4}, {right, STROKE_IN}, {x + 3.0, STROKE_IN}};
        memcpy(comb[n], tooth, sizeof tooth);
        n += 4;
    }
    comb[35][1] = 0.0; // the last tooth stands at the end of the back
    Ring ring = seam_case_ring_in(&c, comb, 36, false);
    seam_case_set_layer(&c, &ring, 1);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 5);
    assert_true(fabs(seen_in(&c) - 4.0 * STROKE_IN) < 0.001);
    cuts_are_square(&c);
    cuts_keep_off_corners(&c);
    seam_case_close(&c);
}

// A round ring, its axis 10 in from the middle, of short straight edges: cuts lie on rays.
static void network__ring_is_cut_along_rays(void **state)
{
    (void)state;
    enum { SIDES = 720 };
    SeamCase c;
    seam_case_open(&c, "6x9");
    static double edges[2][SIDES][2];
    for (int i = 0; i < SIDES; i++)
        for (int k = 0; k < 2; k++) {
            double radius = 10.0 + (k ? -STROKE_IN : STROKE_IN) / 2.0, turn = i * 2.0 * 3.14159265358979324 / SIDES;
            edges[k][i][0] = 11.0 + radius * cos(turn);
            edges[k][i][1] = 11.0 + radius * sin(turn);
        }
    Ring rings[2] = {seam_case_ring_in(&c, edges[0], SIDES, false), seam_case_ring_in(&c, edges[1], SIDES, true)};
    seam_case_set_layer(&c, rings, 2);
    seam_case_divide(&c);
    // 62.8 in of axis; the sheet's diagonal holds an arc of no more than 10.1 in or so: 7 at least.
    assert_int_equal(c.pieces.piece_count, 7);
    cuts_are_square(&c);
    for (int i = 0; i < c.pieces.seam_count; i++) {
        Point p = link_point(&c.pieces.chains, &c.pieces.seams[i].links[0], 0), q = link_point(&c.pieces.chains, &c.pieces.seams[i].links[0], 1);
        Point middle = point_from_mm(11.0 * 25.4, 11.0 * 25.4);
        assert_true(fabs(point_distance_mm(p, middle) - point_distance_mm(q, middle)) > 0.995 * STROKE_IN * 25.4);
    }
    seam_case_close(&c);
}

// A disc too large for a sheet at the end of a stroke: nothing that cuts across strokes alone would do.
static void network__with_a_large_disc_is_divided_as_ever(void **state)
{
    (void)state;
    enum { SIDES = 120 };
    SeamCase c;
    seam_case_open(&c, "6x9");
    static double pan[SIDES + 1][2];
    int n = 0;
    for (int i = 2; i <= SIDES - 2; i++, n++) {
        double turn = i * 2.0 * 3.14159265358979324 / SIDES;
        pan[n][0] = 6.0 + 6.0 * cos(turn);
        pan[n][1] = 6.0 + 6.0 * sin(turn);
    }
    pan[n][0] = 60.0, pan[n++][1] = pan[SIDES - 4][1];
    pan[n][0] = 60.0, pan[n++][1] = pan[0][1];
    Ring ring = seam_case_ring_in(&c, pan, n, false);
    seam_case_set_layer(&c, &ring, 1);
    seam_case_divide(&c);
    LayerPieces grid;
    assert_true(seam_divide_grid(&c.stack, 0, &c.options, &c.keep, &c.work, &grid, &c.err));
    assert_true(c.pieces.piece_count <= grid.piece_count);
    seam_case_close(&c);
}

// Strokes 0.2 in wide, 0.9 in apart: nowhere is half an inch free on both sides, so cuts come nearer to the crossings.
static void network__lattice_is_cut_between_its_crossings(void **state)
{
    (void)state;
    enum { CELLS = 10 };
    SeamCase c;
    seam_case_open(&c, "6x9");
    Ring rings[CELLS * CELLS + 1];
    const double side = 0.9 * CELLS + 0.2, out[][2] = {{0, 0}, {side, 0}, {side, side}, {0, side}};
    rings[0] = seam_case_ring_in(&c, out, 4, false);
    for (int i = 0; i < CELLS * CELLS; i++) {
        double x = 0.2 + 0.9 * (i % CELLS), y = 0.2 + 0.9 * (i / CELLS);
        const double hole[][2] = {{x, y}, {x + 0.7, y}, {x + 0.7, y + 0.7}, {x, y + 0.7}};
        rings[i + 1] = seam_case_ring_in(&c, hole, 4, true);
    }
    seam_case_set_layer(&c, rings, CELLS * CELLS + 1);
    seam_case_divide(&c);
    for (int i = 0; i < c.pieces.seam_count; i++) {
        assert_true(c.pieces.seams[i].length_mm < 0.2 * 25.4 * 1.004);
        for (int r = 0; r < c.layer.rings.count; r++)
            for (int k = 0; k < 4; k++) {
                Point p = link_point(&c.pieces.chains, &c.pieces.seams[i].links[0], 0);
                assert_true(point_distance_mm(p, c.layer.rings.items[r].points[k]) >= 6.35);
            }
    }
    // 9.2 x 9.2 in need four sheets of 5.46 x 8.46 in.
    assert_int_equal(c.pieces.piece_count, 4);
    seam_case_close(&c);
}

static void network__short_of_memory_ends_cleanly(void **state)
{
    (void)state;
    int failed = 0;
    bool fine = false;
    for (double budget = 20000.0; !fine; budget *= 1.25) {
        SeamCase c;
        seam_case_open(&c, "6x9");
        const double out[][2] = {{0, 0}, {12, 0}, {12, 12}, {0, 12}}, in[][2] = {{.4, .4}, {11.6, .4}, {11.6, 11.6}, {.4, 11.6}};
        Ring rings[2] = {seam_case_ring_in(&c, out, 4, false), seam_case_ring_in(&c, in, 4, true)};
        seam_case_set_layer(&c, rings, 2);
        c.work.scratch.budget_bytes = (size_t)budget;
        fine = seam_divide(&c.stack, 0, &c.options, &c.keep, &c.work, &c.pieces, &c.err);
        if (!fine) assert_int_equal(c.err.kind, ERROR_SYSTEM);
        if (!fine) assert_int_equal(c.pieces.piece_count, 0);
        failed += !fine;
        seam_case_close(&c);
    }
    assert_true(failed > 3);
}

static void network__is_the_same_each_time(void **state)
{
    (void)state;
    double seen[2];
    int count[2];
    for (int i = 0; i < 2; i++) {
        SeamCase c;
        seam_case_open(&c, "5x7");
        const double out[][2] = {{0, 0}, {30, 3}, {28, 25}, {-2, 21}}, in[][2] = {{.4, .4}, {29.5, 3.4}, {27.6, 24.5}, {-1.5, 20.6}};
        Ring rings[2] = {seam_case_ring_in(&c, out, 4, false), seam_case_ring_in(&c, in, 4, true)};
        seam_case_set_layer(&c, rings, 2);
        seam_case_divide(&c);
        seen[i] = seen_in(&c);
        count[i] = c.pieces.piece_count;
        seam_case_close(&c);
    }
    assert_true(seen[0] == seen[1]);
    assert_int_equal(count[0], count[1]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(network__bar_is_cut_for_sheets_turned_as_fits),
        cmocka_unit_test(network__bar_on_a_paper_with_a_direction),
        cmocka_unit_test(network__frame_falls_into_its_corners),
        cmocka_unit_test(network__cross_is_cut_beside_its_junction),
        cmocka_unit_test(network__comb_is_cut_between_its_teeth),
        cmocka_unit_test(network__ring_is_cut_along_rays),
        cmocka_unit_test(network__with_a_large_disc_is_divided_as_ever),
        cmocka_unit_test(network__lattice_is_cut_between_its_crossings),
        cmocka_unit_test(network__short_of_memory_ends_cleanly),
        cmocka_unit_test(network__is_the_same_each_time),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
