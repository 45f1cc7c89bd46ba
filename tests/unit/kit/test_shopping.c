// What to buy, what it weighs and how it hangs: the kit made by hand, and boards with known divisions.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/small_kit.h"

#include "kit/hang.h"
#include "kit/shopping.h"

#include <math.h>
#include <stdlib.h>

typedef struct Made {
    Arena keep;
    Work work;
    SmallKit kit;
    Draft draft;
    GuideBelow *below;
    Error err;
} Made;

static Made *make(void)
{
    Made *made = calloc(1, sizeof *made);
    assert_non_null(made);
    made->keep = arena_make(0);
    made->work = (Work){.scratch = arena_make(0)};
    assert_true(small_kit_make(&made->kit, &made->keep));
    assert_true(draft_make(&made->kit.input, &made->keep, &made->work, &made->draft, &made->err));
    assert_true(guide_below(&made->draft, &made->keep, &made->work, &made->below, &made->err));
    return made;
}

static void drop(Made *made)
{
    arena_free(&made->keep);
    arena_free(&made->work.scratch);
    free(made);
}

static void spare__is_one_or_one_in_ten_rounded_up(void **state)
{
    (void)state;
    assert_int_equal(stock_spares(1), 1);
    assert_int_equal(stock_spares(10), 1);
    assert_int_equal(stock_spares(11), 2);
    assert_int_equal(stock_spares(28), 3);
}

static void trim__takes_the_way_that_gives_more_sheets(void **state)
{
    (void)state;
    Paper paper = {.width_mm = 8.5 * 25.4, .height_mm = 11 * 25.4, .board_mm = {24 * 25.4, 36 * 25.4}};
    ShoppingTrim trim;
    assert_true(shopping_trim(&paper, &trim)); // 2 x 3 upright, 4 x 2 turned: 36 / 8.5 = 4, 24 / 11 = 2
    assert_int_equal(trim.columns, 4);
    assert_int_equal(trim.rows, 2);
    assert_float_equal(trim.below_mm, 2 * 25.4, 1e-9);
    assert_float_equal(trim.right_mm, 2 * 25.4, 1e-9);
    paper.direction = PAPER_GRAINED; // all sheets are turned alike, so their grain runs alike
    assert_true(shopping_trim(&paper, &trim));
    assert_int_equal(trim.columns * trim.rows, 8);
}

static void trim__a_board_of_exactly_four_sheets_has_no_rest(void **state)
{
    (void)state;
    Paper paper = {.width_mm = 152.4, .height_mm = 228.6, .board_mm = {304.8, 457.2}};
    ShoppingTrim trim;
    assert_true(shopping_trim(&paper, &trim));
    assert_int_equal(trim.columns * trim.rows, 4);
    assert_float_equal(trim.below_mm + trim.right_mm, 0, 1e-9);
}

static void trim__a_board_that_is_too_small_is_said(void **state)
{
    (void)state;
    Paper paper = {.width_mm = 200, .height_mm = 300, .board_mm = {190, 400}};
    ShoppingTrim trim;
    assert_false(shopping_trim(&paper, &trim));
}

static void packs_and_cost__are_rounded_up_to_whole_packs(void **state)
{
    (void)state;
    Made *made = make();
    Paper *paper = &made->kit.papers[0].paper; // 2 sheets and a spare one
    Shopping s = shopping_of(&made->draft, 0);
    assert_int_equal(s.together, 3);
    assert_int_equal(s.packs, 0);
    assert_true(s.cost < 0);
    paper->pack_price = 0.5, paper->pack_count = 1; // one by one
    assert_float_equal(shopping_of(&made->draft, 0).cost, 1.5, 1e-9);
    paper->pack_count = 2;
    s = shopping_of(&made->draft, 0);
    assert_int_equal(s.packs, 2);
    assert_float_equal(s.cost, 1.0, 1e-9);
    paper->board_mm[0] = 2 * paper->width_mm, paper->board_mm[1] = paper->height_mm;
    s = shopping_of(&made->draft, 0); // 2 boards, one pack of two
    assert_int_equal(s.boards, 2);
    assert_int_equal(s.packs, 1);
    drop(made);
}

static void grams__are_area_by_weight(void **state)
{
    (void)state;
    Made *made = make();
    double area = made->draft.pieces[0].area_mm2 + made->draft.pieces[1].area_mm2;
    assert_float_equal(shopping_of(&made->draft, 0).grams, area * SHOPPING_GSM / 1e6, 1e-9);
    made->kit.papers[0].paper.gsm = 300;
    assert_float_equal(shopping_of(&made->draft, 0).grams, area * 300 / 1e6, 1e-9);
    drop(made);
}

static void ink__counts_both_sides_of_seams_in_sight_and_open_edges_of_dark_white_core_papers(void **state)
{
    (void)state;
    Made *made = make();
    assert_float_equal(shopping_of(&made->draft, 0).ink_mm, 0, 1e-9);
    made->kit.papers[0].paper.white_core = true; // but white: no thread shows
    assert_float_equal(shopping_of(&made->draft, 0).ink_mm, 0, 1e-9);
    made->kit.papers[0].colour = (Srgb8){20, 30, 60};
    double outer = shopping_of(&made->draft, 0).ink_mm - 2 * 110.3;
    assert_true(outer > 2 * (200 + 300) && outer < 2 * (200 + 300) + 10); // one side is bent a little
    drop(made);
}

static void middle__of_a_square_with_a_hole_is_pulled_away_from_it(void **state)
{
    (void)state;
    Point outer[4] = {point_from_mm(0, 0), point_from_mm(10, 0), point_from_mm(10, 10), point_from_mm(0, 10)};
    Point hole[4] = {point_from_mm(5, 0), point_from_mm(5, 10), point_from_mm(10, 10), point_from_mm(10, 0)}; // the right half
    Ring rings[2] = {{outer, 4}, {hole, 4}};
    double middle[2];
    hang_piece_middle(&(Rings){rings, 1}, middle);
    assert_float_equal(middle[0], 5, 1e-9);
    assert_float_equal(middle[1], 5, 1e-9);
    hang_piece_middle(&(Rings){rings, 2}, middle);
    assert_float_equal(middle[0], 2.5, 1e-9);
    assert_float_equal(middle[1], 5, 1e-9);
}

static void hang__the_points_lie_above_the_middle_and_at_one_distance(void **state)
{
    (void)state;
    Made *made = make();
    Hang hang;
    assert_true(hang_find(&made->draft, made->below, &made->keep, &made->work, &hang, &made->err));
    assert_int_equal(hang.body_count, 1);
    assert_false(hang.gsm_known);
    assert_float_equal(hang.grams, hang.all_grams, 1e-9);
    assert_true(fabs(hang.centre_mm[0] - 98) < 3 && fabs(hang.centre_mm[1] - 151) < 3);
    assert_true(hang.has_points && hang.is_level);
    assert_true(hang.points_mm[0][1] < hang.centre_mm[1]);
    assert_float_equal(hang.centre_mm[0] - hang.points_mm[0][0], hang.points_mm[1][0] - hang.centre_mm[0], 1e-9);
    assert_float_equal(hang.stands_mm[0], 0, 1e-9);
    assert_float_equal(hang.stands_mm[1], 200, 1e-9);
    drop(made);
}

static void hang__without_seam_and_piece_across_there_are_two_bodies(void **state)
{
    (void)state;
    Made *made = make();
    Hang hang;
    made->draft.seam_count = 0;
    made->below[2].count = 1;
    assert_true(hang_find(&made->draft, made->below, &made->keep, &made->work, &hang, &made->err));
    assert_int_equal(hang.body_count, 2);
    assert_true(hang.grams < hang.all_grams);
    drop(made);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(spare__is_one_or_one_in_ten_rounded_up),
        cmocka_unit_test(trim__takes_the_way_that_gives_more_sheets),
        cmocka_unit_test(trim__a_board_of_exactly_four_sheets_has_no_rest),
        cmocka_unit_test(trim__a_board_that_is_too_small_is_said),
        cmocka_unit_test(packs_and_cost__are_rounded_up_to_whole_packs),
        cmocka_unit_test(grams__are_area_by_weight),
        cmocka_unit_test(ink__counts_both_sides_of_seams_in_sight_and_open_edges_of_dark_white_core_papers),
        cmocka_unit_test(middle__of_a_square_with_a_hole_is_pulled_away_from_it),
        cmocka_unit_test(hang__the_points_lie_above_the_middle_and_at_one_distance),
        cmocka_unit_test(hang__without_seam_and_piece_across_there_are_two_bodies),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
