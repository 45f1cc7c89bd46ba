// test_reseam.c - two pieces parted anew by a minimum cut; the best course is known from a drawing. Letter: a piece is at most
// 7.96 x 10.46 in.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/seam_parted.h"

static const double bar[][2] = {{0, 0}, {14, 0}, {14, 7}, {0, 7}};
static const double band[][2] = {{4.03, -1}, {5.13, -1}, {7.15, 3.5}, {5.62, 8}, {4.56, 8}, {6.05, 3.5}};

// A bar of 14 x 7 in, covered along a bent band an inch wide in directions that no family of lines has: from (5, 0) to
// (6.6, 3.5) and on to (5.4, 7). With 3 mm of cover asked for, the hidden band is 0.76 in wide, and a seam in it is at
// least as long as the bar is high, and no longer than the band's middle line: 3.85 + 3.7 in.
static void reseam__follows_a_covered_band(void **state)
{
    (void)state;
    SeamParted p = {.found = false};
    seam_case_open(&p.b.c, "letter");
    Ring ring = seam_case_ring_in(&p.b.c, bar, 4, false);
    SEAM_CASE_COVER(&p.b.c, band);
    seam_parted_anew(&p, &ring, 1, 8.0);
    assert_float_equal(p.before.visible_in, 7.0, 0.001);
    assert_true(p.found);
    assert_true(p.after.visible_in < 0.001);
    assert_true(p.after.hidden_in > 7.0 && p.after.hidden_in < 7.55);
    assert_true(p.anew.segment_count >= 2 && p.anew.segment_count <= 4);
    seam_case_close(&p.b.c);
}

// The same bar with a window of 1.2 x 5 in, an inch from both edges. No chord leads through the window; two seams of an
// inch each, above and below it, are the least.
static void reseam__goes_through_a_hole(void **state)
{
    (void)state;
    static const double window[][2] = {{5.2, 1}, {6.4, 1}, {6.4, 6}, {5.2, 6}};
    SeamParted p = {.found = false};
    seam_case_open(&p.b.c, "letter");
    Ring rings[2] = {seam_case_ring_in(&p.b.c, bar, 4, false), seam_case_ring_in(&p.b.c, window, 4, true)};
    seam_parted_anew(&p, rings, 2, 8.0);
    assert_true(p.found);
    assert_int_equal(p.anew.segment_count, 2);
    assert_float_equal(p.after.visible_in, 2.0, 0.001);
    assert_float_equal(p.after.penalty_in, 0.0, 1e-9); // both lie square or in corners
    seam_case_close(&p.b.c);
}

// The seam lies where both sheets reach, whatever is covered beyond: 20.5 in are two pieces of at most 10.46 in.
static void reseam__stays_under_both_sheets(void **state)
{
    (void)state;
    static const double long_bar[][2] = {{0, 0}, {20.5, 0}, {20.5, 7}, {0, 7}};
    static const double beyond[][2] = {{12, -1}, {14, -1}, {14, 8}, {12, 8}};
    SeamParted p = {.found = false};
    seam_case_open(&p.b.c, "letter");
    Ring ring = seam_case_ring_in(&p.b.c, long_bar, 4, false);
    SEAM_CASE_COVER(&p.b.c, beyond);
    seam_parted_anew(&p, &ring, 1, 10.2);
    assert_false(p.found);
    seam_case_close(&p.b.c);
}

// A plain bar cut square at any place is cut as short as can be.
static void reseam__leaves_the_shortest_seam_alone(void **state)
{
    (void)state;
    SeamParted p = {.found = false};
    seam_case_open(&p.b.c, "letter");
    Ring ring = seam_case_ring_in(&p.b.c, bar, 4, false);
    seam_parted_anew(&p, &ring, 1, 7.3);
    assert_false(p.found);
    seam_case_close(&p.b.c);
}

// The whole search ends there, too.
static void divide__a_seam_bends_under_cover(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, bar);
    SEAM_CASE_COVER(&c, band);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 2);
    assert_true(seam_case_length_mm(&c.pieces, true) < 0.05);
    assert_true(seam_case_length_mm(&c.pieces, false) < 7.55 * 25.4);
    seam_case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reseam__follows_a_covered_band),
        cmocka_unit_test(reseam__goes_through_a_hole),
        cmocka_unit_test(reseam__stays_under_both_sheets),
        cmocka_unit_test(reseam__leaves_the_shortest_seam_alone),
        cmocka_unit_test(divide__a_seam_bends_under_cover),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
