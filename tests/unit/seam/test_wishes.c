// What the maker wants of seams: they run where they are fixed, keep clear of areas and lines, and what cannot be kept
// is told.
// Letter: 8.5 x 11 in, usable 8 x 10.5 in, less 1 mm of spare: a piece is at most 7.96 x 10.46 in.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/seam_case.h"
#include "support/seam_wish.h"

static const double bar[][2] = {{0, 0}, {18, 0}, {18, 7}, {0, 7}};
static const double square[][2] = {{0, 0}, {14, 0}, {14, 14}, {0, 14}};

static void fixed__bar_is_cut_where_the_seam_is_wanted(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, bar);
    static const double line[][2] = {{8, 0}, {9, 7}};
    SEAM_WISH_FIXED(&c, line);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 2);
    assert_int_equal(c.pieces.seam_count, 1);
    assert_true(seam_wish_covered_mm(&c, 0) < 1e-3);
    assert_int_equal(c.pieces.findings.count, 0);
    seam_case_close(&c);
}

static void fixed__part_that_fits_whole_is_divided_all_the_same(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double box[][2] = {{0, 0}, {6, 0}, {6, 8}, {0, 8}};
    SEAM_CASE_LAYER(&c, box);
    static const double line[][2] = {{-1, 3}, {7, 5}}; // what lies outside is left out
    SEAM_WISH_FIXED(&c, line);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 2);
    assert_true(seam_wish_covered_mm(&c, 0) < 0.01);
    seam_case_close(&c);
}

static void fixed__what_it_leaves_is_divided_further(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double long_bar[][2] = {{0, 0}, {36, 0}, {36, 7}, {0, 7}};
    SEAM_CASE_LAYER(&c, long_bar);
    static const double line[][2] = {{3, 0}, {3, 7}};
    SEAM_WISH_FIXED(&c, line);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 5); // 3 in, and 33 in in four
    assert_true(seam_wish_covered_mm(&c, 0) < 1e-3);
    seam_case_close(&c);
}

static void fixed__bent_seam_keeps_its_bends(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, square);
    static const double line[][2] = {{5, 0}, {5, 6}, {8, 7}, {8, 14}};
    SEAM_WISH_FIXED(&c, line);
    seam_case_divide(&c);
    assert_true(c.pieces.piece_count >= 4);
    assert_true(seam_wish_covered_mm(&c, 0) < 0.01);
    seam_case_close(&c);
}

static void fixed__ends_inside_are_led_to_the_outline(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, bar);
    static const double line[][2] = {{9, 2}, {9, 6.8}}; // far from one edge, near the other
    SEAM_WISH_FIXED(&c, line);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 2);
    assert_true(fabs(seam_case_length_mm(&c.pieces, false) - 7 * 25.4) < 0.01);
    seam_case_close(&c);
}

static void fixed__end_near_a_slanting_edge_takes_the_shortest_way(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, bar);
    static const double line[][2] = {{9, 0}, {9, 6}, {12, 6.8}}; // straight on it would run another 3/4 in
    SEAM_WISH_FIXED(&c, line);
    seam_case_divide(&c);
    assert_true(seam_wish_covered_mm(&c, 0) < 0.01);
    assert_int_equal(c.pieces.findings.count, 0);
    seam_case_close(&c);
}

static void fixed__seam_across_a_ring_cuts_it_twice(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double outer[][2] = {{0, 0}, {7, 0}, {7, 7}, {0, 7}}, inner[][2] = {{1, 1}, {6, 1}, {6, 6}, {1, 6}};
    Ring rings[] = {seam_case_ring_in(&c, outer, 4, false), seam_case_ring_in(&c, inner, 4, true)};
    seam_case_set_layer(&c, rings, 2);
    static const double line[][2] = {{0, 3}, {7, 3}};
    SEAM_WISH_FIXED(&c, line);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 2);
    assert_int_equal(c.pieces.seam_count, 2);
    assert_true(fabs(seam_case_length_mm(&c.pieces, false) - 2 * 25.4) < 0.01);
    seam_case_close(&c);
}

// 15 in outside, 1 in wide: cut in one place by the wish, in others by the search.
static void fixed__one_cut_through_a_large_ring_is_kept(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double outer[][2] = {{0, 0}, {15, 0}, {15, 15}, {0, 15}},
                        inner[][2] = {{1, 1}, {14, 1}, {14, 14}, {1, 14}};
    Ring rings[] = {seam_case_ring_in(&c, outer, 4, false), seam_case_ring_in(&c, inner, 4, true)};
    seam_case_set_layer(&c, rings, 2);
    static const double line[][2] = {{4, 0}, {4.5, 1}};
    SEAM_WISH_FIXED(&c, line);
    seam_case_divide(&c);
    assert_true(c.pieces.piece_count <= 5);
    assert_int_equal(c.pieces.seam_count, c.pieces.piece_count);
    assert_true(seam_wish_covered_mm(&c, 0) < 1e-3);
    assert_int_equal(c.pieces.findings.count, 0);
    seam_case_close(&c);
}

static void fixed__one_cut_through_a_ring_that_fits_is_told_and_left_out(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double outer[][2] = {{0, 0}, {7, 0}, {7, 7}, {0, 7}}, inner[][2] = {{1, 1}, {6, 1}, {6, 6}, {1, 6}};
    Ring rings[] = {seam_case_ring_in(&c, outer, 4, false), seam_case_ring_in(&c, inner, 4, true)};
    seam_case_set_layer(&c, rings, 2);
    static const double line[][2] = {{-1, 3}, {3, 3}};
    SEAM_WISH_FIXED(&c, line);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 1);
    seam_wish_check_finding(&c, 0, "edit-not-kept", "the fixed seam of layer A from ");
    assert_int_equal(c.pieces.findings.count, 1);
    seam_case_close(&c);
}

static void fixed__two_seams_may_cross(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, square);
    static const double a[][2] = {{6.5, 0}, {7.5, 14}}, b[][2] = {{0, 6}, {14, 8}};
    SEAM_WISH_FIXED(&c, a);
    SEAM_WISH_FIXED(&c, b);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 4);
    assert_int_equal(c.pieces.seam_count, 4);
    assert_true(seam_wish_covered_mm(&c, 0) < 0.002 && seam_wish_covered_mm(&c, 1) < 0.002);
    seam_case_close(&c);
}

static void fixed__seam_may_end_on_another_whatever_their_order(void **state)
{
    (void)state;
    for (int order = 0; order < 2; order++) {
        SeamCase c;
        seam_case_open(&c, "letter");
        SEAM_CASE_LAYER(&c, square);
        static const double a[][2] = {{7, 0}, {7, 14}}, b[][2] = {{0, 6}, {6.9, 6}};
        if (order) SEAM_WISH_FIXED(&c, a);
        SEAM_WISH_FIXED(&c, b);
        if (!order) SEAM_WISH_FIXED(&c, a);
        seam_case_divide(&c);
        assert_true(c.pieces.piece_count >= 4);
        assert_true(seam_wish_covered_mm(&c, 0) < 0.01 && seam_wish_covered_mm(&c, 1) < 0.01);
        int stems = 0; // the seam that ends on the other goes no further
        for (int i = 0; i < c.pieces.seam_count; i++)
            for (int k = 0; k < link_point_count(&c.pieces.seams[i].links[0]); k++)
                stems += link_point(&c.pieces.chains, &c.pieces.seams[i].links[0], k).x > 7.5 * 25400 &&
                         link_point(&c.pieces.chains, &c.pieces.seams[i].links[0], k).y == 6 * 25400;
        assert_int_equal(stems, 0);
        seam_case_close(&c);
    }
}

static void fixed__seam_that_misses_the_layer_is_told(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, bar);
    static const double line[][2] = {{20, 0}, {20, 7}};
    SEAM_WISH_FIXED(&c, line);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 2);
    seam_wish_check_finding(&c, 0, "edit-without-target", "the fixed seam of layer A from ");
    seam_case_close(&c);
}

static void fixed__hairline_is_told_and_left_out(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, bar);
    static const double line[][2] = {{0.02, -1}, {0.02, 8}};
    SEAM_WISH_FIXED(&c, line);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 2);
    seam_wish_check_finding(&c, 0, "edit-not-kept", "the fixed seam of layer A from ");
    seam_case_close(&c);
}

static void fixed__lines_of_no_use_are_told(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, bar);
    static const double point[][2] = {{5, 5}}, again[][2] = {{5, 5}, {5, 5}},
                        loop[][2] = {{5, -1}, {5, 5}, {8, 5}, {8, 3}, {3, 3}, {3, -1}};
    SEAM_WISH_FIXED(&c, point);
    SEAM_WISH_FIXED(&c, again);
    SEAM_WISH_FIXED(&c, loop);
    c.options.wishes.fixed_count++; // and one without any point
    seam_case_divide(&c);
    assert_int_equal(c.pieces.findings.count, 4);
    assert_string_equal(c.pieces.findings.items[2].kind, "edit-not-kept");
    seam_case_close(&c);
}

static void keep_clear__middle_of_a_bar_sends_the_seam_aside(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, bar);
    static const double area[][2] = {{8.2, 2}, {10, 2}, {10, 5}, {8.2, 5}};
    SEAM_WISH_KEEP_CLEAR(&c, area);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.findings.count, 0);
    assert_true(c.pieces.piece_count <= 3);
    assert_true(seam_wish_seen_in_box_mm(&c, 8.2, 2, 10, 5) < 0.5);
    seam_case_close(&c);
}

static void keep_clear__cover_makes_seams_in_the_area_harmless(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double cover[][2] = {{1, 1}, {13, 1}, {13, 13}, {1, 13}}, area[][2] = {{5, 5}, {9, 5}, {9, 9}, {5, 9}};
    SEAM_CASE_LAYER(&c, square);
    SEAM_CASE_COVER(&c, cover);
    SEAM_WISH_KEEP_CLEAR(&c, area);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 4); // hidden seams may cross it
    assert_int_equal(c.pieces.findings.count, 0);
    seam_case_close(&c);
}

static void keep_clear__middle_of_a_plain_square_is_kept(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double area[][2] = {{6, 6}, {8, 6}, {8, 8}, {6, 8}};
    SEAM_CASE_LAYER(&c, square);
    SEAM_WISH_KEEP_CLEAR(&c, area);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.findings.count, 0);
    assert_true(c.pieces.piece_count <= 6);
    seam_case_close(&c);
}

static void keep_clear__area_larger_than_a_sheet_is_told_with_the_length_that_remains(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double area[][2] = {{0, 0}, {18, 0}, {18, 7}, {0, 7}};
    SEAM_CASE_LAYER(&c, bar);
    SEAM_WISH_KEEP_CLEAR(&c, area);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.findings.count, 1);
    seam_wish_check_finding(&c, 0, "edit-not-kept", "the area to keep clear at ");
    char length[32];
    snprintf(length, sizeof length, " %.0f mm of seam", seam_case_length_mm(&c.pieces, true));
    assert_non_null(strstr(c.pieces.findings.items[0].text, length));
    seam_case_close(&c);
}

static void forbidden__seam_moves_away_from_the_line(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, bar);
    seam_case_divide(&c);
    Point p = link_start(&c.pieces.chains, &c.pieces.seams[0].links[0]);
    double x = p.x / 25400.0, line[][2] = {{x, 0}, {x, 7}};
    SEAM_WISH_FORBIDDEN(&c, line);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 2);
    Point q = link_start(&c.pieces.chains, &c.pieces.seams[0].links[0]);
    assert_true(abs(q.x - p.x) >= 5000);
    assert_int_equal(c.pieces.findings.count, 0);
    seam_case_close(&c);
}

static void forbidden__fixed_seam_on_the_line_is_told(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, bar);
    static const double line[][2] = {{9, 0}, {9, 7}};
    SEAM_WISH_FIXED(&c, line);
    SEAM_WISH_FORBIDDEN(&c, line);
    seam_case_divide(&c);
    seam_wish_check_finding(&c, 0, "edit-not-kept", "the line without seam of layer A from ");
    seam_case_close(&c);
}

static void frozen__piece_stays_when_everything_else_changes(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double long_bar[][2] = {{0, 0}, {36, 0}, {36, 7}, {0, 7}};
    SEAM_CASE_LAYER(&c, long_bar);
    seam_case_divide(&c);
    LayerPieces was = c.pieces;
    assert_int_equal(was.piece_count, 4);
    seam_wish_freeze(&c, &was, 1); // A2
    static const double line[][2] = {{2, 0}, {3, 7}}, area[][2] = {{26, 1}, {28, 1}, {28, 6}, {26, 6}};
    SEAM_WISH_FIXED(&c, line);
    SEAM_WISH_KEEP_CLEAR(&c, area);
    seam_case_divide(&c);
    seam_wish_check_unaltered(&c, &was, 1);
    seam_wish_check_written(&c);
    assert_true(seam_wish_covered_mm(&c, 0) < 0.01);
    for (int i = 0; i < c.pieces.piece_count; i++)
        for (int k = 0; k < i; k++) assert_string_not_equal(c.pieces.pieces[i].id, c.pieces.pieces[k].id);
    seam_case_close(&c);
}

static void frozen__seam_through_it_is_told_with_its_name(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, bar);
    seam_case_divide(&c);
    LayerPieces was = c.pieces;
    seam_wish_freeze(&c, &was, 0);
    static const double line[][2] = {{4, 0}, {4, 7}};
    SEAM_WISH_FIXED(&c, line);
    seam_case_divide(&c);
    seam_wish_check_unaltered(&c, &was, 0);
    assert_int_equal(c.pieces.findings.count, 1);
    seam_wish_check_finding(&c, 0, "edit-not-kept", "the fixed seam of layer A from ");
    assert_non_null(strstr(c.pieces.findings.items[0].text, "A1"));
    seam_case_close(&c);
}

static void frozen__changed_layer_is_refused_with_the_names(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, bar);
    seam_case_divide(&c);
    LayerPieces was = c.pieces;
    seam_wish_freeze(&c, &was, 0);
    static const double larger[][2] = {{0, 0}, {18, 0}, {18, 7.1}, {0, 7.1}},
                        smaller[][2] = {{0, 0}, {18, 0}, {18, 6.9}, {0, 6.9}};
    SEAM_CASE_LAYER(&c, larger);
    assert_false(seam_divide(&c.stack, 0, &c.options, &c.keep, &c.work, &c.pieces, &c.err));
    assert_int_equal(c.err.kind, ERROR_JOB);
    assert_string_equal(c.err.text, "piece A1 is cut already; this change would alter it");
    SEAM_CASE_LAYER(&c, smaller);
    assert_false(seam_divide(&c.stack, 0, &c.options, &c.keep, &c.work, &c.pieces, &c.err));
    assert_int_equal(c.err.kind, ERROR_JOB);
    seam_case_close(&c);
}

static void frozen__outline_that_is_none_is_refused(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, bar);
    Point p = {0, 0}, q = {100000, 0};
    Curve curves[2] = {curve_line(p, q), curve_line(p, q)};
    int first[] = {0, 2};
    Path path = {curves, 2, first, 1, false};
    FrozenPiece frozen = {.id = "A9", .outline = &path};
    c.options.wishes.frozen = &frozen;
    c.options.wishes.frozen_count = 1;
    assert_false(seam_divide(&c.stack, 0, &c.options, &c.keep, &c.work, &c.pieces, &c.err));
    assert_int_equal(c.err.kind, ERROR_JOB);
    assert_non_null(strstr(c.err.text, "A9"));
    seam_case_close(&c);
}

static void tries__none_gives_the_first_answer_and_it_is_sound(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, square);
    c.options.tries = 0;
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 4);
    seam_case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fixed__bar_is_cut_where_the_seam_is_wanted),
        cmocka_unit_test(fixed__part_that_fits_whole_is_divided_all_the_same),
        cmocka_unit_test(fixed__what_it_leaves_is_divided_further),
        cmocka_unit_test(fixed__bent_seam_keeps_its_bends),
        cmocka_unit_test(fixed__ends_inside_are_led_to_the_outline),
        cmocka_unit_test(fixed__end_near_a_slanting_edge_takes_the_shortest_way),
        cmocka_unit_test(fixed__seam_across_a_ring_cuts_it_twice),
        cmocka_unit_test(fixed__one_cut_through_a_large_ring_is_kept),
        cmocka_unit_test(fixed__one_cut_through_a_ring_that_fits_is_told_and_left_out),
        cmocka_unit_test(fixed__two_seams_may_cross),
        cmocka_unit_test(fixed__seam_may_end_on_another_whatever_their_order),
        cmocka_unit_test(fixed__seam_that_misses_the_layer_is_told),
        cmocka_unit_test(fixed__hairline_is_told_and_left_out),
        cmocka_unit_test(fixed__lines_of_no_use_are_told),
        cmocka_unit_test(keep_clear__middle_of_a_bar_sends_the_seam_aside),
        cmocka_unit_test(keep_clear__cover_makes_seams_in_the_area_harmless),
        cmocka_unit_test(keep_clear__middle_of_a_plain_square_is_kept),
        cmocka_unit_test(keep_clear__area_larger_than_a_sheet_is_told_with_the_length_that_remains),
        cmocka_unit_test(forbidden__seam_moves_away_from_the_line),
        cmocka_unit_test(forbidden__fixed_seam_on_the_line_is_told),
        cmocka_unit_test(frozen__piece_stays_when_everything_else_changes),
        cmocka_unit_test(frozen__seam_through_it_is_told_with_its_name),
        cmocka_unit_test(frozen__changed_layer_is_refused_with_the_names),
        cmocka_unit_test(frozen__outline_that_is_none_is_refused),
        cmocka_unit_test(tries__none_gives_the_first_answer_and_it_is_sound),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
