#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "shape/point.h"

static const Point origin = {0, 0}, east = {10, 0}, south_east = {10, 10};

static void side__is_positive_to_the_right_on_screen(void **state)
{
    (void)state;
    assert_int_equal(point_side(origin, east, (Point){5, 1}), 1); // below a line that runs right
    assert_int_equal(point_side(origin, east, (Point){5, -1}), -1);
    assert_int_equal(point_side(origin, east, (Point){99, 0}), 0);
}

static void cross__is_exact_at_the_largest_places(void **state)
{
    (void)state;
    Point a = {-POINT_MAX_UM, -POINT_MAX_UM}, b = {POINT_MAX_UM, POINT_MAX_UM};
    assert_int_equal(point_side(a, b, (Point){POINT_MAX_UM - 1, POINT_MAX_UM}), 1);
    assert_int_equal(point_side(a, b, (Point){POINT_MAX_UM, POINT_MAX_UM - 1}), -1);
    assert_int_equal(point_cross(a, b, (Point){POINT_MAX_UM, -POINT_MAX_UM}), -40000000000000000);
}

static void compare__goes_by_y_then_x(void **state)
{
    (void)state;
    assert_true(point_compare((Point){9, 1}, (Point){0, 2}) < 0);
    assert_true(point_compare((Point){9, 2}, (Point){0, 2}) > 0);
    assert_true(point_compare(east, east) == 0);
}

static void on_segment__counts_ends_and_nothing_beyond(void **state)
{
    (void)state;
    assert_true(point_on_segment(origin, origin, south_east));
    assert_true(point_on_segment((Point){4, 4}, origin, south_east));
    assert_false(point_on_segment((Point){11, 11}, origin, south_east));
    assert_false(point_on_segment((Point){4, 5}, origin, south_east));
}

static void crossing__needs_an_inner_point_of_both(void **state)
{
    (void)state;
    assert_true(segments_cross(origin, south_east, (Point){0, 10}, east));
    assert_false(segments_cross(origin, south_east, (Point){5, 5}, east)); // touches
    assert_true(segments_touch(origin, south_east, (Point){5, 5}, east));
    assert_true(segments_touch(origin, east, (Point){5, 0}, (Point){20, 0})); // overlap
    assert_false(segments_cross(origin, east, (Point){5, 0}, (Point){20, 0}));
    assert_false(segments_touch(origin, east, (Point){11, 0}, (Point){20, 0}));
    assert_false(segments_touch(origin, east, (Point){0, 1}, (Point){10, 1}));
}

static void distance__to_a_segment_is_to_its_nearest_point(void **state)
{
    (void)state;
    assert_true(point_distance_mm(origin, (Point){3000, 4000}) == 5.0);
    assert_true(point_segment_distance_mm((Point){5, 2000}, origin, east) == 2.0);
    assert_true(point_segment_distance_mm((Point){-3000, 4000}, origin, east) == 5.0);
    assert_true(point_segment_distance_mm((Point){3010, 4000}, origin, east) == 5.0);
    assert_true(point_segment_distance_mm((Point){3000, 4000}, origin, origin) == 5.0);
}

static void from_mm__rounds_halves_away_from_zero(void **state)
{
    (void)state;
    Point p = point_from_mm(0.0625 / 125.0, -0.0005), q = point_from_mm(1.25, -2.0004);
    assert_int_equal(p.x, 1);
    assert_int_equal(p.y, -1);
    assert_int_equal(q.x, 1250);
    assert_int_equal(q.y, -2000);
}

static void box__grows_and_overlaps_when_touching(void **state)
{
    (void)state;
    Box a = box_empty(), b = box_empty();
    assert_true(box_width_mm(a) == 0.0 && box_height_mm(a) == 0.0);
    assert_false(box_overlap(a, a));
    box_add(&a, origin);
    box_add(&a, (Point){2000, 1000});
    box_add(&b, (Point){2000, 1000});
    assert_true(box_width_mm(a) == 2.0 && box_height_mm(a) == 1.0);
    assert_true(box_overlap(a, b));
    b.min.x = b.max.x = 2001;
    assert_false(box_overlap(a, b));
}

static void points_run_straight__within_what_rounding_does(void **state)
{
    (void)state;
    Point a = {0, 0}, c = {100000, 0};
    assert_true(points_run_straight(a, (Point){40000, 2}, c));
    assert_false(points_run_straight(a, (Point){40000, 3}, c));
    assert_false(points_run_straight(a, (Point){-5, 0}, c)); // beyond the end
    assert_false(points_run_straight(a, (Point){100001, 0}, c));
    Point far = {70000000, 70000000};
    assert_true(points_run_straight((Point){-70000000, -70000000}, (Point){1, -1}, far));
    assert_false(points_run_straight((Point){-70000000, -70000000}, (Point){3, -3}, far));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(points_run_straight__within_what_rounding_does),
        cmocka_unit_test(side__is_positive_to_the_right_on_screen),
        cmocka_unit_test(cross__is_exact_at_the_largest_places),
        cmocka_unit_test(compare__goes_by_y_then_x),
        cmocka_unit_test(on_segment__counts_ends_and_nothing_beyond),
        cmocka_unit_test(crossing__needs_an_inner_point_of_both),
        cmocka_unit_test(distance__to_a_segment_is_to_its_nearest_point),
        cmocka_unit_test(from_mm__rounds_halves_away_from_zero),
        cmocka_unit_test(box__grows_and_overlaps_when_touching),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
