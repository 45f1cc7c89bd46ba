#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

#include "shape/hull.h"

static void hull__leaves_out_inner_and_straight_points(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Point points[] = {{4, 4}, {2, 0}, {0, 0}, {1, 3}, {4, 0}, {0, 4}, {4, 2}, {0, 0}};
    int count;
    Point *hull = hull_make(points, 8, &keep, &count);
    const Point want[] = {{0, 0}, {4, 0}, {4, 4}, {0, 4}};
    assert_int_equal(count, 4);
    assert_memory_equal(hull, want, sizeof want);
    arena_free(&keep);
}

static void hull__of_few_points_is_those_points(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Point points[] = {{0, 0}, {5, 5}, {10, 10}, {0, 0}};
    int count;
    Fit fit;
    Point *hull = hull_make(points, 4, &keep, &count);
    assert_int_equal(count, 2);
    assert_true(hull[0].x == 0 && hull[1].x == 10);
    assert_true(hull_width_mm(hull, 2) == 0.0);
    assert_true(fabs(hull_diameter_mm(hull, 2) - 0.010 * sqrt(2.0)) < 1e-12);
    assert_true(hull_fits(hull, 2, (Space){0.0142, 0.001, 0.0, false}, &fit));
    assert_false(hull_fits(hull, 2, (Space){0.0100, 0.005, 0.0, false}, &fit));
    hull_make(points, 1, &keep, &count);
    assert_int_equal(count, 1);
    hull_make(points, 0, &keep, &count);
    assert_int_equal(count, 0);
    arena_free(&keep);
}

static Point *box(double width_mm, double height_mm, Point out[4])
{
    Point far = point_from_mm(width_mm, height_mm);
    out[0] = (Point){0, 0}, out[1] = (Point){far.x, 0}, out[2] = far, out[3] = (Point){0, far.y};
    return out;
}

static void fits__upright_first_then_turned_by_a_quarter(void **state)
{
    (void)state;
    Point hull[4];
    Fit fit;
    Space letter = {203.2, 266.7, 0.0, false};
    assert_true(hull_fits(box(6.9 * 25.4, 8.8 * 25.4, hull), 4, letter, &fit)); // stays whole on letter
    assert_true(fit.cos == 1.0 && fit.sin == 0.0);
    assert_true(hull_fits(box(266.7, 203.2, hull), 4, letter, &fit)); // exactly the sheet, lying
    assert_true(fit.cos == 0.0 && fabs(fit.sin) == 1.0);
    assert_false(hull_fits(box(266.8, 203.2, hull), 4, letter, &fit));
}

static void fits__a_long_part_on_the_diagonal(void **state)
{
    (void)state;
    Point hull[4];
    Fit fit;
    Space space = {300.0, 300.0, 0.0, false};
    assert_true(hull_fits(box(400.0, 20.0, hull), 4, space, &fit));
    assert_true(hull_fits_at(hull, 4, space, fit));
    assert_true(fabs(fit.cos) > 0.5 && fabs(fit.sin) > 0.5);
    // 400 + 24.26 = 300 sqrt 2 is the limit of width for that length.
    assert_true(hull_fits(box(400.0, 24.26, hull), 4, space, &fit));
    assert_false(hull_fits(box(400.0, 24.27, hull), 4, space, &fit));
}

static void fits__only_between_edge_directions_in_an_oblong_space(void **state)
{
    (void)state;
    Point hull[4];
    Fit fit;
    Space space = {200.0, 100.0, 0.0, false}; // diagonal 223.6: neither upright nor at 45 degrees
    assert_true(hull_fits(box(210.0, 6.0, hull), 4, space, &fit));
    assert_true(hull_fits_at(hull, 4, space, fit));
    assert_true(fabs(fit.sin) > 0.1 && fabs(fit.sin) < 0.7);
    assert_false(hull_fits(box(223.0, 6.0, hull), 4, space, &fit));
}

static void fits__minds_the_lost_corners(void **state)
{
    (void)state;
    Point hull[4];
    Fit fit;
    Space plain = {100.0, 100.0, 0.0, false}, cut = {100.0, 100.0, 10.0, false};
    assert_true(hull_fits(box(100.0, 100.0, hull), 4, plain, &fit));
    assert_false(hull_fits(box(100.0, 100.0, hull), 4, cut, &fit));
    assert_true(hull_fits(box(90.0, 90.0, hull), 4, cut, &fit)); // moved aside from one corner, the other is missed too
    assert_false(hull_fits_at(box(89.9, 99.9, hull), 4, cut, (Fit){1.0, 0.0}));
    // The diagonal between the two whole corners is still free, the other one is not: the turn has to choose.
    assert_true(hull_fits(box(130.0, 4.0, hull), 4, cut, &fit));
    assert_true(fit.cos * fit.sin < 0.0);
    assert_true(hull_fits_at(hull, 4, cut, fit));
    assert_false(hull_fits_at(hull, 4, cut, (Fit){fabs(fit.cos), fabs(fit.sin)}));
}

static void widths__are_least_and_greatest(void **state)
{
    (void)state;
    Point hull[4];
    assert_true(hull_width_mm(box(30.0, 40.0, hull), 4) == 30.0);
    assert_true(hull_diameter_mm(hull, 4) == 50.0);
    Point triangle[] = {{0, 0}, {4000, 0}, {0, 3000}};
    assert_true(fabs(hull_width_mm(triangle, 3) - 2.4) < 1e-12);
    assert_true(hull_diameter_mm(triangle, 3) == 5.0);
}

static void hull_fits__an_upright_space_turns_nothing(void **state)
{
    (void)state;
    const Point wide[] = {point_from_mm(0, 0), point_from_mm(200, 0), point_from_mm(200, 100), point_from_mm(0, 100)};
    Arena arena = arena_make(0);
    int count;
    Point *hull = hull_make(wide, 4, &arena, &count);
    Space free = {110.0, 210.0, 0.0, false}, upright = free, lying = {210.0, 110.0, 0.0, true};
    upright.upright = true;
    Fit fit;
    assert_true(hull_fits(hull, count, free, &fit));
    assert_false(hull_fits(hull, count, upright, &fit));
    assert_true(fit.cos == 1.0 && fit.sin == 0.0);
    assert_true(hull_fits(hull, count, lying, &fit));
    assert_true(fit.cos == 1.0 && fit.sin == 0.0);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hull__leaves_out_inner_and_straight_points),
        cmocka_unit_test(hull__of_few_points_is_those_points),
        cmocka_unit_test(fits__upright_first_then_turned_by_a_quarter),
        cmocka_unit_test(fits__a_long_part_on_the_diagonal),
        cmocka_unit_test(fits__only_between_edge_directions_in_an_oblong_space),
        cmocka_unit_test(fits__minds_the_lost_corners),
        cmocka_unit_test(widths__are_least_and_greatest),
        cmocka_unit_test(hull_fits__an_upright_space_turns_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
