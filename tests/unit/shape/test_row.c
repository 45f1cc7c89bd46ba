// test_row.c - where outlines cross a horizontal line.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "shape/row.h"

static void row__a_hole_parts_the_inside(void **state)
{
    (void)state;
    Point outer[] = {{0, 0}, {100, 0}, {100, 100}, {0, 100}}, hole[] = {{40, 40}, {40, 60}, {80, 60}, {60, 40}};
    Ring items[] = {{outer, 4}, {hole, 4}};
    Rings rings = {items, 2};
    double x[8];
    RowCrossings row = {.y = 50, .x = x};
    assert_int_equal(rings_point_count(&rings), 8);
    row_cross_rings(&row, &rings, 1.0);
    row_sort(&row);
    assert_int_equal(row.count, 4);
    const double expected[4] = {0, 40, 70, 100};
    for (int i = 0; i < 4; i++) assert_true(x[i] == expected[i]);
    row = (RowCrossings){.y = 25, .x = x};
    row_cross_rings(&row, &rings, 0.5); // the same place, half as large
    row_sort(&row);
    assert_int_equal(row.count, 4);
    for (int i = 0; i < 4; i++) assert_true(x[i] == expected[i] / 2);
}

static void row__level_edges_and_corners_count_once_or_twice(void **state)
{
    (void)state;
    Point points[] = {{0, 0}, {50, 50}, {100, 0}, {100, 100}, {0, 100}};
    Ring ring = {points, 5};
    Rings rings = {&ring, 1};
    double x[5];
    RowCrossings low = {.y = 100, .x = x}, corner = {.y = 50, .x = x};
    row_cross_rings(&low, &rings, 1.0); // along the lowest edge, which counts as above
    assert_int_equal(low.count, 0);
    row_cross_rings(&corner, &rings, 1.0); // the dent's tip touches the line from above
    row_sort(&corner);
    assert_int_equal(corner.count, 2);
    assert_true(x[0] == 0 && x[1] == 100);
}

static void row__inside_is_what_the_rings_contain(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 200; seed++) {
        Rng rng = rng_make(seed);
        Point points[20];
        for (int i = 0; i < 20; i++) points[i] = (Point){(int32_t)rng_below(&rng, 50) * 2, (int32_t)rng_below(&rng, 50) * 2};
        Ring ring = {points, 20};
        Rings rings = {&ring, 1};
        double x[20];
        RowCrossings row = {.y = 2.0 * rng_below(&rng, 50) + 1.0, .x = x}; // no corner lies on it
        row_cross_rings(&row, &rings, 1.0);
        row_sort(&row);
        assert_int_equal(row.count % 2, 0);
        for (int32_t px = 0; px < 100; px++) {
            int before = 0;
            bool on_edge = false;
            for (int i = 0; i < row.count; i++) before += x[i] < px, on_edge |= x[i] > px - 1e-9 && x[i] < px + 1e-9;
            if (!on_edge) assert_int_equal(before % 2 == 1, rings_contain(&rings, (Point){px, (int32_t)row.y}));
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(row__a_hole_parts_the_inside),
        cmocka_unit_test(row__level_edges_and_corners_count_once_or_twice),
        cmocka_unit_test(row__inside_is_what_the_rings_contain),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
