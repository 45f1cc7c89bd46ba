// test_order.c - the base colour and what lies on what.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "stack/order.h"
#include "support/grid_map.h"

typedef struct Found {
    int base;
    bool is_line;
    int order[9], count;
} Found;

static Found order_of(const char *const *lines, int line_count)
{
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    Error err = {0};
    Outlines outlines = grid_map(lines, line_count, 10.0, 0.0, &keep);
    Found found = {0};
    assert_true(order_base_colour(&outlines, &work, &found.base, &found.is_line, &err));
    assert_true(order_colours(&outlines, found.base, &work, found.order, &found.count, &err));
    arena_free(&keep);
    arena_free(&work.scratch);
    return found;
}
#define ORDER(...)                                                                                                     \
    order_of((const char *const[]){__VA_ARGS__}, (int)(sizeof((const char *const[]){__VA_ARGS__}) / sizeof(char *)))

static void order_base__line_colour_round_everything(void **state)
{
    (void)state;
    Found found = ORDER("11111111", "12222231", "12222231", "12222231", "11111111");
    assert_int_equal(found.base, 0);
    assert_true(found.is_line);
}

static void order_base__holes_count_as_outline(void **state)
{
    (void)state;
    // Colour 1 borders the outside alone, but the large hole is bordered by colour 2.
    Found found = ORDER("111111111", "122222221", "12.....21", "12.....21", "12.....21", "122222221", "111111111");
    assert_false(found.is_line);
}

static void order_base__else_largest_area(void **state)
{
    (void)state;
    Found found = ORDER("11112222222", "11112222222");
    assert_int_equal(found.base, 1);
    assert_false(found.is_line);
    assert_int_equal(found.count, 1);
    assert_int_equal(found.order[0], 0);
}

static void order__enclosing_lies_below_enclosed(void **state)
{
    (void)state;
    // 1 is the base; 4 encloses 3 encloses 2, although 2 is larger than 3.
    Found found = ORDER("1111111111111", "1444444444441", "1433333333341", "1432222222341", "1432222222341",
                        "1433333333341", "1444444444441", "1111111111111");
    assert_int_equal(found.base, 0);
    assert_int_equal(found.count, 3);
    assert_int_equal(found.order[0], 3);
    assert_int_equal(found.order[1], 2);
    assert_int_equal(found.order[2], 1);
}

static void order__without_enclosure_larger_lies_below(void **state)
{
    (void)state;
    Found found = ORDER("111111111111", "122333114441", "111333114411", "111111111111");
    assert_int_equal(found.count, 3);
    assert_int_equal(found.order[0], 2); // 6 cells
    assert_int_equal(found.order[1], 3); // 5
    assert_int_equal(found.order[2], 1); // 2
}

static void order__equal_colours_go_by_value(void **state)
{
    (void)state;
    Found found = ORDER("1111111111", "1333114441", "1333114441", "1111111111");
    assert_int_equal(found.count, 2);
    assert_int_equal(found.order[0], 3); // 70,150,90 is less than 240,200,60
    assert_int_equal(found.order[1], 2);
}

static void order__two_parts_may_enclose_together(void **state)
{
    (void)state;
    // The ring of 2 round 3 is open at two corners, where its halves touch at points only.
    Found found = ORDER("1111111111", "1122222111", "1123332111", "1123332111", "1123332111", "1122222111",
                        "1111111111", "1333333331", "1333333331", "1111111111");
    assert_int_equal(found.order[0], 1); // encloses 9 cells of 3, though 3 is larger
    assert_int_equal(found.order[1], 2);
}

static void order__mutual_enclosure_goes_by_summed_area(void **state)
{
    (void)state;
    // 2 encloses one cell of 3; 3 encloses six cells of 2.
    Found found = ORDER("111111111111111", "122213333333331", "123213222222331", "122213333333331", "111111111111111");
    assert_int_equal(found.order[0], 2);
    assert_int_equal(found.order[1], 1);
}

static void order__a_circle_of_colours_still_gives_a_total_order(void **state)
{
    (void)state;
    // 2 encloses 3, 3 encloses 4, 4 encloses 2.
    Found found = ORDER("1111111111111", "1222133314441", "1232134314241", "1222133314441", "1111111111111");
    assert_int_equal(found.count, 3);
    assert_int_equal(found.order[0] + found.order[1] + found.order[2], 1 + 2 + 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(order_base__line_colour_round_everything),
        cmocka_unit_test(order_base__holes_count_as_outline),
        cmocka_unit_test(order_base__else_largest_area),
        cmocka_unit_test(order__enclosing_lies_below_enclosed),
        cmocka_unit_test(order__without_enclosure_larger_lies_below),
        cmocka_unit_test(order__equal_colours_go_by_value),
        cmocka_unit_test(order__two_parts_may_enclose_together),
        cmocka_unit_test(order__mutual_enclosure_goes_by_summed_area),
        cmocka_unit_test(order__a_circle_of_colours_still_gives_a_total_order),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
