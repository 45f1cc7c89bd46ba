// What to buy of a paper, and how boards are cut down.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "paper/stock.h"

#include <math.h>

#define INCHES(w, h) (w) * 25.4, (h) * 25.4

static Paper sheet_of_board(double width_in, double height_in, double board_width_in, double board_height_in)
{
    return (Paper){.id = "sheet", .width_mm = width_in * 25.4, .height_mm = height_in * 25.4,
                   .board_mm = {INCHES(board_width_in, board_height_in)}};
}

static void assert_near(double found, double expected)
{
    if (fabs(found - expected) > 1e-9) fail_msg("found %.9f, expected %.9f", found, expected);
}

static void trim__22_by_28_gives_two_11_by_24_and_an_offcut(void **state)
{
    (void)state;
    Paper paper = sheet_of_board(11, 24, 22, 28);
    StockTrim trim = stock_trim(&paper);
    assert_int_equal(trim.sheets, 2);
    assert_int_equal(trim.across, 2);
    assert_int_equal(trim.down, 1);
    assert_false(trim.turned);
    assert_true(trim.has_offcut);
    const double offcut[4] = {0, 24 * 25.4, INCHES(22, 4)};
    for (int i = 0; i < 4; i++) assert_near(trim.offcut_mm[i], offcut[i]);
}

static void trim__the_way_that_gives_more_is_taken(void **state)
{
    (void)state;
    Paper paper = sheet_of_board(8.5, 11, 22, 28); // upright 2 x 2, turned 2 x 3
    StockTrim trim = stock_trim(&paper);
    assert_int_equal(trim.sheets, 6);
    assert_true(trim.turned);
    assert_int_equal(trim.across, 2);
    assert_int_equal(trim.down, 3);
    assert_near(trim.offcut_mm[3], 2.5 * 25.4);
}

static void trim__the_wider_rest_of_full_length_is_the_offcut(void **state)
{
    (void)state;
    Paper paper = sheet_of_board(10, 10, 18, 12); // right: 8 x 12, below: 18 x 2
    StockTrim trim = stock_trim(&paper);
    assert_int_equal(trim.sheets, 1);
    const double offcut[4] = {10 * 25.4, 0, INCHES(8, 12)};
    for (int i = 0; i < 4; i++) assert_near(trim.offcut_mm[i], offcut[i]);
}

static void trim__a_rest_under_an_inch_is_no_offcut(void **state)
{
    (void)state;
    Paper paper = sheet_of_board(11, 14, 22.9, 28.9);
    StockTrim trim = stock_trim(&paper);
    assert_int_equal(trim.sheets, 4);
    assert_false(trim.has_offcut);
}

static void trim__a_board_that_is_too_small_gives_nothing(void **state)
{
    (void)state;
    Paper paper = sheet_of_board(11, 24, 22, 23);
    assert_int_equal(stock_trim(&paper).sheets, 0); // 23 x 22 turned would need 24 as well
    paper = sheet_of_board(11, 24, 24, 11);
    assert_int_equal(stock_trim(&paper).sheets, 1);
    assert_true(stock_trim(&paper).turned);
    assert_false(stock_trim(&paper).has_offcut);
}

// Every size that divides a board without rest is found, though inches are no binary fractions of a millimetre.
static void trim__exact_parts_are_all_there(void **state)
{
    (void)state;
    for (int across = 1; across < 40; across++)
        for (int down = 1; down < 40; down += 3) {
            double w = 0.37 * 25.4 * 10 + across, h = 8.5 * 25.4;
            Paper paper = {.width_mm = w, .height_mm = h, .board_mm = {w * across, h * down}};
            StockTrim trim = stock_trim(&paper);
            if (trim.sheets < across * down) fail_msg("%d x %d: %d", across, down, trim.sheets);
        }
}

static void spares__one_or_one_for_every_ten_begun(void **state)
{
    (void)state;
    const int used[] = {0, 1, 9, 10, 11, 20, 21, 100, 101}, spares[] = {0, 1, 1, 1, 2, 2, 3, 10, 11};
    for (size_t i = 0; i < sizeof used / sizeof used[0]; i++) assert_int_equal(stock_spares(used[i]), spares[i]);
}

static void order__nothing_known_is_sheets_alone(void **state)
{
    (void)state;
    Paper paper = {.width_mm = 100, .height_mm = 100};
    StockOrder order = stock_order(&paper, 27);
    assert_int_equal(order.spares, 3);
    assert_int_equal(order.sheets, 30);
    assert_int_equal(order.boards, 0);
    assert_int_equal(order.packs, 0);
    assert_false(order.has_cost);
    double price;
    assert_false(stock_sheet_price(&paper, &price));
}

static void order__packs_are_whole(void **state)
{
    (void)state;
    Paper paper = {.width_mm = 100, .height_mm = 100, .pack_count = 25, .pack_price = 8.99};
    StockOrder order = stock_order(&paper, 22); // 25 with its spares
    assert_int_equal(order.packs, 1);
    assert_near(order.cost, 8.99);
    order = stock_order(&paper, 23); // 26
    assert_int_equal(order.packs, 2);
    assert_near(order.cost, 17.98);
    double price;
    assert_true(stock_sheet_price(&paper, &price));
    assert_near(price, 8.99 / 25);
}

static void order__boards_are_whole_and_come_in_packs(void **state)
{
    (void)state;
    Paper paper = sheet_of_board(11, 24, 22, 28);
    paper.pack_count = 1;
    paper.pack_price = 1.5;
    StockOrder order = stock_order(&paper, 4); // 5 sheets: 3 boards
    assert_int_equal(order.boards, 3);
    assert_int_equal(order.packs, 0);
    assert_near(order.cost, 4.5);
    double price;
    assert_true(stock_sheet_price(&paper, &price));
    assert_near(price, 0.75);
    paper.pack_count = 5;
    paper.pack_price = 6;
    order = stock_order(&paper, 10); // 11 sheets: 6 boards: 2 packs
    assert_int_equal(order.boards, 6);
    assert_int_equal(order.packs, 2);
    assert_near(order.cost, 12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(trim__22_by_28_gives_two_11_by_24_and_an_offcut),
        cmocka_unit_test(trim__the_way_that_gives_more_is_taken),
        cmocka_unit_test(trim__the_wider_rest_of_full_length_is_the_offcut),
        cmocka_unit_test(trim__a_rest_under_an_inch_is_no_offcut),
        cmocka_unit_test(trim__a_board_that_is_too_small_gives_nothing),
        cmocka_unit_test(trim__exact_parts_are_all_there),
        cmocka_unit_test(spares__one_or_one_for_every_ten_begun),
        cmocka_unit_test(order__nothing_known_is_sheets_alone),
        cmocka_unit_test(order__packs_are_whole),
        cmocka_unit_test(order__boards_are_whole_and_come_in_packs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
