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

static void row__many_at_once_are_those_of_each(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    Error err = {0};
    for (uint64_t seed = 1; seed <= 200; seed++) {
        Rng rng = rng_make(seed);
        enum { COUNT = 60 };
        double points[COUNT][2];
        const int first[3] = {0, 23, COUNT};
        for (int i = 0; i < COUNT; i++)
            for (int k = 0; k < 2; k++) points[i][k] = 0.5 * rng_below(&rng, 80) - 10.0; // many lie on a row
        RowPlaces places = {0.5 * rng_below(&rng, 9), seed % 2 ? 1.0 : 0.3, (int)rng_below(&rng, 40)};
        RowTable table;
        assert_true(rows_cross((const double (*)[2])points, first, 2, places, &arena, &table, &err));
        for (int row = 0; row < places.count; row++) {
            double x[COUNT];
            RowCrossings one = {.y = places.top + (row + 0.5) * places.step, .x = x};
            for (int r = 0; r < 2; r++)
                for (int i = first[r]; i < first[r + 1]; i++) {
                    const double *a = points[i], *b = points[i + 1 < first[r + 1] ? i + 1 : first[r]];
                    row_cross_edge(&one, a[0], a[1], b[0], b[1]);
                }
            row_sort(&one);
            assert_int_equal(table.first[row + 1] - table.first[row], one.count);
            for (int i = 0; i < one.count; i++) assert_true(table.x[table.first[row] + i] == x[i]);
        }
    }
    arena_free(&arena);
}

static void row__memory_that_runs_out_is_told(void **state)
{
    (void)state;
    const double points[3][2] = {{0.0, 0.0}, {4.0, 0.0}, {2.0, 4.0}};
    const int first[2] = {0, 3};
    for (int n = 0; n < 2; n++) {
        Arena arena = arena_make(0);
        Error err = {0};
        RowTable table;
        arena.fail_after = n;
        assert_false(rows_cross(points, first, 1, (RowPlaces){0.0, 1.0, 4}, &arena, &table, &err));
        assert_int_equal(err.kind, ERROR_SYSTEM);
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(row__a_hole_parts_the_inside),
        cmocka_unit_test(row__level_edges_and_corners_count_once_or_twice),
        cmocka_unit_test(row__inside_is_what_the_rings_contain),
        cmocka_unit_test(row__many_at_once_are_those_of_each),
        cmocka_unit_test(row__memory_that_runs_out_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
