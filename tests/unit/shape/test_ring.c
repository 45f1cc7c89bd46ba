#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "shape/ring.h"

static Point square_points[] = {{0, 0}, {4000, 0}, {4000, 4000}, {0, 4000}};
static Point hole_points[] = {{1000, 1000}, {1000, 3000}, {3000, 3000}, {3000, 1000}};
static Ring square_with_hole[] = {{square_points, 4}, {hole_points, 4}};
static const Rings frame = {square_with_hole, 2};

static void area__is_positive_clockwise_on_screen_and_negative_for_a_hole(void **state)
{
    (void)state;
    assert_true(ring_area_mm2(&square_with_hole[0]) == 16.0);
    assert_true(ring_area_mm2(&square_with_hole[1]) == -4.0);
    assert_true(rings_area_mm2(&frame) == 12.0);
}

static void area__is_exact_at_the_largest_ring(void **state)
{
    (void)state;
    int32_t m = POINT_MAX_UM;
    Point points[] = {{-m, -m}, {m, -m}, {m, m}, {-m, m - 1}};
    Ring ring = {points, 4};
    assert_true(ring_area2_um2(&ring) == 80000000000000000 - 200000000);
}

static void contains__counts_edges_in_and_holes_out(void **state)
{
    (void)state;
    assert_true(rings_contain(&frame, (Point){500, 500}));
    assert_false(rings_contain(&frame, (Point){2000, 2000}));
    assert_true(rings_contain(&frame, (Point){1000, 2000}));
    assert_true(rings_contain(&frame, (Point){4000, 4000}));
    assert_false(rings_contain(&frame, (Point){4001, 4000}));
    assert_false(rings_contain(&frame, (Point){-1, 1000})); // level with a corner of the hole
    assert_true(rings_contain(&frame, (Point){3500, 3000}));
}

static void length_and_box__are_those_of_the_closed_loop(void **state)
{
    (void)state;
    assert_true(ring_length_mm(&square_with_hole[0]) == 16.0);
    Box box = rings_box(&frame);
    assert_true(box.min.x == 0 && box.min.y == 0 && box.max.x == 4000 && box.max.y == 4000);
    box = ring_box(&square_with_hole[1]);
    assert_true(box.min.x == 1000 && box.max.y == 3000);
}

static bool simple(Point *points, int count)
{
    Ring ring = {points, count};
    return ring_is_simple(&ring);
}

static void simple__refuses_crossings_touches_spikes_and_repeats(void **state)
{
    (void)state;
    assert_true(simple(square_points, 4));
    assert_false(simple((Point[]){{0, 0}, {4, 4}, {4, 0}, {0, 4}}, 4));
    assert_false(simple((Point[]){{0, 0}, {4, 0}, {4, 4}, {2, 0}, {0, 4}}, 5)); // a corner on an edge
    assert_false(simple((Point[]){{0, 0}, {4, 0}, {8, 0}, {4, 0}, {4, 4}}, 5)); // there and back
    assert_false(simple((Point[]){{0, 0}, {4, 0}, {4, 0}, {4, 4}}, 4));
    assert_true(simple((Point[]){{0, 0}, {2, 0}, {4, 0}, {4, 4}}, 4)); // a point on a straight edge is fine
    assert_false(simple(square_points, 2));
}

static void outers__are_the_least_rings_around_each_hole(void **state)
{
    (void)state;
    Point island[] = {{1500, 1500}, {2500, 1500}, {2500, 2500}, {1500, 2500}};
    Point pond[] = {
        {1500, 1500}, {1500, 2500}, {2500, 2500}, {2500, 1500}}; // all corners on its island's: the same ring
    Point far[] = {{9000, 0}, {9500, 0}, {9500, 500}};
    pond[0] = (Point){1700, 1700}, pond[1] = (Point){2000, 2500}, pond[2] = (Point){2300, 2000},
    pond[3] = (Point){2100, 1800};
    Ring rings[] = {{square_points, 4}, {hole_points, 4}, {island, 4}, {pond, 4}, {far, 3}};
    Arena scratch = arena_make(0);
    int outer[5];
    assert_true(rings_find_outers(&(Rings){rings, 5}, &scratch, outer));
    const int want[5] = {0, 0, 2, 2, 4};
    assert_memory_equal(outer, want, sizeof want);
    arena_free(&scratch);
}

static void outers__are_found_when_all_corners_touch(void **state)
{
    (void)state;
    Point frame_points[] = {{0, 0}, {5, 0}, {10, 0}, {10, 5}, {10, 10}, {5, 10}, {0, 10}, {0, 5}};
    Point diamond[] = {{5, 0}, {0, 5}, {5, 10}, {10, 5}};
    Ring rings[] = {{frame_points, 8}, {diamond, 4}};
    Arena scratch = arena_make(0);
    int outer[2];
    assert_true(ring_area2_um2(&rings[1]) < 0);
    assert_true(rings_find_outers(&(Rings){rings, 2}, &scratch, outer));
    assert_int_equal(outer[1], 0);
    arena_free(&scratch);
}

// A comb of `teeth` teeth with a hole in each; every third hole starts on the outline, every second one has an island
// with a pond.
static void outers__are_found_for_many_holes_of_one_outline(void **state)
{
    (void)state;
    enum { TEETH = 300 };
    Arena arena = arena_make(0);
    Ring outline = {arena_new(&arena, Point, 4 * TEETH + 2), 0};
    Rings rings = {arena_new(&arena, Ring, 3 * TEETH + 1), 1};
    int want[3 * TEETH + 1] = {0};
    for (int i = 0; i < TEETH; i++) {
        int x = i * 1000, at = rings.count;
        const Point tooth[4] = {{x, 500}, {x + 100, 0}, {x + 800, 0}, {x + 900, 500}};
        for (int k = 0; k < 4; k++) outline.points[outline.count++] = tooth[k];
        const Point hole[4] = {{x + 450, i % 3 ? 1 : 0}, {x + 150, 400}, {x + 450, 450}, {x + 750, 400}};
        const Point island[4] = {{x + 450, 200}, {x + 600, 400}, {x + 450, 450}, {x + 300, 400}};
        const Point pond[3] = {{x + 450, 200}, {x + 400, 350}, {x + 500, 350}};
        want[at] = 0;
        rings.items[rings.count++] = (Ring){arena_copy(&arena, hole, 4, sizeof *hole), 4};
        if (i % 2) continue;
        want[at + 1] = want[at + 2] = at + 1;
        rings.items[rings.count++] = (Ring){arena_copy(&arena, island, 4, sizeof *island), 4};
        rings.items[rings.count++] = (Ring){arena_copy(&arena, pond, 3, sizeof *pond), 3};
    }
    outline.points[outline.count++] = (Point){TEETH * 1000, 9000};
    outline.points[outline.count++] = (Point){0, 9000};
    rings.items[0] = outline;
    int outer[3 * TEETH + 1];
    assert_true(rings_find_outers(&rings, &arena, outer));
    for (int i = 0; i < rings.count; i++) assert_int_equal(outer[i], want[i]);
    arena_free(&arena);
}

static void outers__of_holes_alone_are_themselves(void **state)
{
    (void)state;
    Arena scratch = arena_make(0);
    int outer[1] = {7};
    assert_true(rings_find_outers(&(Rings){&(Ring){hole_points, 4}, 1}, &scratch, outer));
    assert_int_equal(outer[0], 0);
    arena_free(&scratch);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(area__is_positive_clockwise_on_screen_and_negative_for_a_hole),
        cmocka_unit_test(area__is_exact_at_the_largest_ring),
        cmocka_unit_test(contains__counts_edges_in_and_holes_out),
        cmocka_unit_test(length_and_box__are_those_of_the_closed_loop),
        cmocka_unit_test(simple__refuses_crossings_touches_spikes_and_repeats),
        cmocka_unit_test(outers__are_the_least_rings_around_each_hole),
        cmocka_unit_test(outers__are_found_when_all_corners_touch),
        cmocka_unit_test(outers__are_found_for_many_holes_of_one_outline),
        cmocka_unit_test(outers__of_holes_alone_are_themselves),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
