// Divisions whose best answer is known from a drawing on paper.
// Letter: 8.5 x 11 in, usable 8 x 10.5 in, less 1 mm of spare: a piece is at most 7.96 x 10.46 in.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/seam_case.h"

static void divide__part_of_6_9_by_8_8_in_stays_whole_on_letter(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double box[][2] = {{0, 0}, {6.9, 0}, {6.9, 8.8}, {0, 8.8}};
    SEAM_CASE_LAYER(&c, box);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 1);
    assert_int_equal(c.pieces.seam_count, 0);
    assert_string_equal(c.pieces.pieces[0].id, "A1");
    seam_case_close(&c);
}

static void divide__three_parts_that_each_fit_need_no_seam(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    Ring rings[3];
    for (int i = 0; i < 3; i++) { // together 19 x 3 in
        double x = 6.5 * i, box[4][2] = {{x, 0}, {x + 6, 0}, {x + 6, 3}, {x, 3}};
        rings[i] = seam_case_ring_in(&c, (const double(*)[2])box, 4, false);
    }
    seam_case_set_layer(&c, rings, 3);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 3);
    assert_int_equal(c.pieces.seam_count, 0);
    for (int i = 0; i < 3; i++) assert_int_equal(c.pieces.pieces[i].part, i);
    seam_case_close(&c);
}

// 11.5 x 1 in does not lie along either side; its diagonal direction on letter (13.1 in) has room.
static void divide__part_that_fits_only_turned_stays_whole(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double bar[][2] = {{0, 0}, {11.5, 0}, {11.5, 1}, {0, 1}};
    SEAM_CASE_LAYER(&c, bar);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 1);
    assert_true(fabs(c.pieces.pieces[0].fit.sin) > 0.1 && fabs(c.pieces.pieces[0].fit.cos) > 0.1);
    seam_case_close(&c);
}

// 30 x 7 in: at least 3 pieces of 10.46 in, two seams straight across of 7 in each.
static void divide__bar_of_three_sheets_has_two_seams_straight_across(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double bar[][2] = {{0, 0}, {30, 0}, {30, 7}, {0, 7}};
    SEAM_CASE_LAYER(&c, bar);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 3);
    assert_int_equal(c.pieces.seam_count, 2);
    assert_true(fabs(seam_case_length_mm(&c.pieces, true) - 2 * 7 * 25.4) < 0.1);
    assert_string_equal(c.pieces.pieces[2].id, "A3");
    assert_string_equal(c.pieces.seams[1].id, "A-s2");
    seam_case_close(&c);
}

// An L of two arms 3 in wide and 16 in long. Two pieces could only be cut at the inner corner, and an arm of 13 in
// fits nowhere; three pieces need two seams of 3 in.
static void divide__l_is_cut_across_its_arms(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double l[][2] = {{0, 0}, {3, 0}, {3, 13}, {16, 13}, {16, 16}, {0, 16}};
    SEAM_CASE_LAYER(&c, l);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 3);
    assert_int_equal(c.pieces.seam_count, 2);
    assert_true(fabs(seam_case_length_mm(&c.pieces, true) - 2 * 3 * 25.4) < 1.0);
    seam_case_close(&c);
}

// A square ring, 15 in outside, 1 in wide. A bar of 1 in fits up to 12 in long, so each corner with up to two arms of
// less than a sheet is a piece: four are never needed, two U of 15 x 7.5 in do not fit, three do with seams of 1 in.
static void divide__ring_is_cut_across_its_stroke(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double outer[][2] = {{0, 0}, {15, 0}, {15, 15}, {0, 15}},
                        inner[][2] = {{1, 1}, {14, 1}, {14, 14}, {1, 14}};
    Ring rings[] = {seam_case_ring_in(&c, outer, 4, false), seam_case_ring_in(&c, inner, 4, true)};
    seam_case_set_layer(&c, rings, 2);
    seam_case_divide(&c);
    assert_true(c.pieces.piece_count <= 4);
    assert_int_equal(c.pieces.seam_count, c.pieces.piece_count);
    assert_true(seam_case_length_mm(&c.pieces, true) < c.pieces.piece_count * 1.02 * 25.4);
    seam_case_close(&c);
}

// Two squares of 7 in joined by a neck of 1 x 4 in: one seam through the neck, 1 in long.
static void divide__dumbbell_is_cut_through_its_neck(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double d[][2] = {{0, 0},  {7, 0},  {7, 3},  {11, 3}, {11, 0}, {18, 0},
                                  {18, 7}, {11, 7}, {11, 4}, {7, 4},  {7, 7},  {0, 7}};
    SEAM_CASE_LAYER(&c, d);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 2);
    assert_int_equal(c.pieces.seam_count, 1);
    assert_true(fabs(c.pieces.seams[0].length_mm - 25.4) < 0.1);
    seam_case_close(&c);
}

// A comb: a back of 19 x 2 in with seven teeth of 1 x 4 in. Two pieces, cut through the back only: 2 in.
static void divide__comb_is_cut_between_its_teeth(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    double comb[32][2];
    int n = 0;
    comb[n][0] = 0, comb[n++][1] = 0;
    comb[n][0] = 19, comb[n++][1] = 0;
    for (int i = 6; i >= 0; i--) {
        double x = 3.0 * i;
        comb[n][0] = x + 1, comb[n++][1] = 2;
        comb[n][0] = x + 1, comb[n++][1] = 6;
        comb[n][0] = x, comb[n++][1] = 6;
        comb[n][0] = x, comb[n++][1] = 2;
    }
    // The first and the last tooth end flush with the back: their outer upper corners are no corners.
    double cleaned[32][2];
    int m = 0;
    for (int i = 0; i < n; i++)
        if (!((comb[i][0] == 0 || comb[i][0] == 19) && comb[i][1] == 2))
            cleaned[m][0] = comb[i][0], cleaned[m++][1] = comb[i][1];
    Ring ring = seam_case_ring_in(&c, (const double(*)[2])cleaned, m, false);
    seam_case_set_layer(&c, &ring, 1);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 2);
    assert_int_equal(c.pieces.seam_count, 1);
    assert_true(fabs(c.pieces.seams[0].length_mm - 2 * 25.4) < 0.1);
    seam_case_close(&c);
}

// A plus of arms 4 in wide and 20 in long: the middle bar in two or three parts, the other arms apart.
static void divide__plus_is_cut_across_its_arms(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double plus[][2] = {{8, 0},   {12, 0}, {12, 8}, {20, 8}, {20, 12}, {12, 12},
                                     {12, 20}, {8, 20}, {8, 12}, {0, 12}, {0, 8},   {8, 8}};
    SEAM_CASE_LAYER(&c, plus);
    seam_case_divide(&c);
    assert_true(c.pieces.piece_count <= 5);
    assert_true(seam_case_length_mm(&c.pieces, true) <= 4 * 4 * 25.4 + 1.0);
    seam_case_close(&c);
}

// All of a square of 14 in but a rim of 1 in is covered: a seam is seen for 1 in at each of its ends on the outline.
static void divide__covered_square_hides_its_seams(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double box[][2] = {{0, 0}, {14, 0}, {14, 14}, {0, 14}},
                        cover[][2] = {{1, 1}, {13, 1}, {13, 13}, {1, 13}};
    SEAM_CASE_LAYER(&c, box);
    SEAM_CASE_COVER(&c, cover);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 4);
    double visible = seam_case_length_mm(&c.pieces, true);
    assert_true(visible <= 4 * (25.4 + 3.0) + 0.1); // hidden begins 3 mm inside the cover
    // A piece has at most 83.3 sq in, and no shape less edge than a disc: two such discs and one of the rest have 84 in
    // of edge, of which 56 are the outline; half of what is left is seam. A cross has 28 in.
    double all = seam_case_length_mm(&c.pieces, false);
    assert_true(all > 14 * 25.4 && all < 28.1 * 25.4);
    seam_case_close(&c);
}

// A seam of 7 in whose middle 4 in are covered: 4 in less 3 mm at each end are hidden.
static void divide__visible_length_is_what_the_cover_leaves(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double bar[][2] = {{0, 0}, {18, 0}, {18, 7}, {0, 7}},
                        cover[][2] = {{0, 1.5}, {18, 1.5}, {18, 5.5}, {0, 5.5}};
    SEAM_CASE_LAYER(&c, bar);
    SEAM_CASE_COVER(&c, cover);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.seam_count, 1);
    assert_true(fabs(c.pieces.seams[0].length_mm - 7 * 25.4) < 0.05);
    assert_true(fabs(c.pieces.seams[0].visible_mm - (3 * 25.4 + 6.0)) < 0.05);
    seam_case_close(&c);
}

static void divide__seam_ends_lie_on_the_curve(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    // A disc of 7 in radius: four quarter arcs, control points at 0.5523 of the radius (the usual quarter-circle
    // cubic).
    double r = 7 * 25.4, k = 0.5522847498 * r;
    Point e = point_from_mm(2 * r, r), s = point_from_mm(r, 2 * r), w = point_from_mm(0, r), n = point_from_mm(r, 0);
    Curve curves[4] = {
        {e, point_from_mm(2 * r, r + k), point_from_mm(r + k, 2 * r), s, false},
        {s, point_from_mm(r - k, 2 * r), point_from_mm(0, r + k), w, false},
        {w, point_from_mm(0, r - k), point_from_mm(r - k, 0), n, false},
        {n, point_from_mm(r + k, 0), point_from_mm(2 * r, r - k), e, false},
    };
    Chain chain;
    int index;
    assert_true(chain_make(curves, 4, true, &c.keep, &chain, &c.err));
    assert_true(chains_add(&c.stack.chains, &chain, &c.keep, &index, &c.err));
    Link link = {index, 0, chain.point_count - 1};
    assert_true(area_from_links(&c.stack.chains, &link, 1, &c.keep, &c.layer.area, &c.err));
    assert_true(area_rings(&c.stack.chains, &c.layer.area, &c.keep, &c.layer.rings, &c.err));
    seam_case_divide(&c);
    assert_true(c.pieces.piece_count >= 3);
    int ends = 0;
    for (int i = 0; i < c.pieces.seam_count; i++) {
        Point p[2] = {link_start(&c.pieces.chains, &c.pieces.seams[i].links[0]),
                      link_end(&c.pieces.chains, &c.pieces.seams[i].links[0])};
        for (int j = 0; j < 2; j++) {
            double away = fabs(point_distance_mm(p[j], point_from_mm(r, r)) - r);
            if (away > 1.0) continue; // ends inside, at another seam
            ends++;
            assert_true(away < 0.06); // the cubic is off the circle by up to 0.027 % of the radius
        }
    }
    assert_true(ends >= 3);
    seam_case_close(&c);
}

static void divide__paper_that_leaves_almost_nothing_is_refused_with_a_reason(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "35x200mm");
    static const double box[][2] = {{0, 0}, {14, 0}, {14, 14}, {0, 14}};
    SEAM_CASE_LAYER(&c, box);
    assert_false(seam_divide(&c.stack, 0, &c.options, &c.keep, &c.work, &c.pieces, &c.err));
    assert_int_equal(c.err.kind, ERROR_JOB);
    assert_non_null(strstr(c.err.text, "letter"));
    assert_int_equal(c.pieces.piece_count, 0);
    seam_case_close(&c);
}

static void divide__is_never_dearer_than_the_grid(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "12x12");
    static const double star[][2] = {{15, 0},  {19, 11}, {30, 11}, {21, 18}, {25, 29},
                                     {15, 22}, {5, 29},  {9, 18},  {0, 11},  {11, 11}};
    SEAM_CASE_LAYER(&c, star);
    LayerPieces grid;
    assert_true(seam_divide_grid(&c.stack, 0, &c.options, &c.keep, &c.work, &grid, &c.err));
    seam_case_check_laws(&c, &grid);
    seam_case_divide(&c);
    assert_true(c.pieces.piece_count <= grid.piece_count);
    assert_true(seam_case_length_mm(&c.pieces, true) <= seam_case_length_mm(&grid, true));
    seam_case_close(&c);
}

// How many seams end in this point.
static int ends_at(const LayerPieces *pieces, Point p)
{
    int count = 0;
    for (int i = 0; i < pieces->seam_count; i++) {
        const Seam *seam = &pieces->seams[i];
        count += point_equal(link_start(&pieces->chains, &seam->links[0]), p);
        count += point_equal(link_end(&pieces->chains, &seam->links[seam->link_count - 1]), p);
    }
    return count;
}

// 46 x 61 in: six rows of six, with 1.7 in left in each row: enough for every other row to be cut an inch beside its
// neighbours.
static void divide__rows_of_a_plain_panel_lie_as_in_brickwork(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double panel[][2] = {{0, 0}, {46, 0}, {46, 61}, {0, 61}};
    SEAM_CASE_LAYER(&c, panel);
    seam_case_divide(&c);
    assert_true(c.pieces.piece_count <= 36);
    for (int i = 0; i < c.pieces.seam_count; i++) {
        const Seam *seam = &c.pieces.seams[i];
        assert_true(ends_at(&c.pieces, link_start(&c.pieces.chains, &seam->links[0])) < 4);
        assert_true(ends_at(&c.pieces, link_end(&c.pieces.chains, &seam->links[seam->link_count - 1])) < 4);
    }
    seam_case_close(&c);
}

static void layer_letter__skips_i_and_o_and_goes_on_with_two_letters(void **state)
{
    (void)state;
    static const struct {
        int layer;
        const char *letter;
    } expected[] = {{0, "A"}, {7, "H"}, {8, "J"}, {12, "N"}, {13, "P"}, {23, "Z"}, {24, "AA"}, {47, "AZ"}, {48, "BA"}};
    for (size_t i = 0; i < sizeof expected / sizeof *expected; i++) {
        char out[8];
        layer_letter(expected[i].layer, out);
        assert_string_equal(out, expected[i].letter);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(divide__part_of_6_9_by_8_8_in_stays_whole_on_letter),
        cmocka_unit_test(divide__three_parts_that_each_fit_need_no_seam),
        cmocka_unit_test(divide__part_that_fits_only_turned_stays_whole),
        cmocka_unit_test(divide__bar_of_three_sheets_has_two_seams_straight_across),
        cmocka_unit_test(divide__l_is_cut_across_its_arms),
        cmocka_unit_test(divide__ring_is_cut_across_its_stroke),
        cmocka_unit_test(divide__dumbbell_is_cut_through_its_neck),
        cmocka_unit_test(divide__comb_is_cut_between_its_teeth),
        cmocka_unit_test(divide__plus_is_cut_across_its_arms),
        cmocka_unit_test(divide__covered_square_hides_its_seams),
        cmocka_unit_test(divide__visible_length_is_what_the_cover_leaves),
        cmocka_unit_test(divide__seam_ends_lie_on_the_curve),
        cmocka_unit_test(divide__paper_that_leaves_almost_nothing_is_refused_with_a_reason),
        cmocka_unit_test(divide__is_never_dearer_than_the_grid),
        cmocka_unit_test(divide__rows_of_a_plain_panel_lie_as_in_brickwork),
        cmocka_unit_test(layer_letter__skips_i_and_o_and_goes_on_with_two_letters),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
