// test_coarse.c - fewer points within a distance.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "stack/coarse.h"

static void coarse__points_on_straight_edges_go(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err = {0};
    Work work = {0};
    Point points[] = {{0, 0}, {5000, 10}, {10000, 0}, {10000, 5000}, {10000, 10000}, {0, 10000}};
    Ring ring = {points, 6};
    Rings rings = {&ring, 1}, out;
    assert_true(coarse_rings(&rings, 0.05, &keep, &work, &out, &err));
    assert_int_equal(out.items[0].count, 4);
    assert_true(coarse_rings(&rings, 0.005, &keep, &work, &out, &err));
    assert_int_equal(out.items[0].count, 5); // 10 um are more than 5
    arena_free(&keep);
}

static void coarse__a_ring_that_would_vanish_stays(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err = {0};
    Work work = {0};
    Point points[] = {{0, 0}, {10000, 0}, {10000, 20}, {0, 20}};
    Ring ring = {points, 4};
    Rings rings = {&ring, 1}, out;
    assert_true(coarse_rings(&rings, 0.05, &keep, &work, &out, &err));
    assert_int_equal(out.items[0].count, 4);
    arena_free(&keep);
}

static void coarse__lack_of_memory_is_an_error(void **state)
{
    (void)state;
    Error err = {0};
    Work work = {0};
    Point points[] = {{0, 0}, {10000, 0}, {10000, 10000}};
    Ring ring = {points, 3};
    Rings rings = {&ring, 1}, out;
    for (int64_t after = 0; after < 4; after++) {
        Arena keep = arena_make(0);
        keep.fail_after = after;
        assert_false(coarse_rings(&rings, 0.05, &keep, &work, &out, &err));
        assert_int_equal(err.kind, ERROR_SYSTEM);
        arena_free(&keep);
    }
}

static void coarse__stops_when_asked(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err = {0};
    atomic_bool cancel = true;
    Work work = {.cancel = &cancel};
    Point points[] = {{0, 0}, {10000, 0}, {10000, 10000}};
    Ring ring = {points, 3};
    Rings rings = {&ring, 1}, out;
    assert_false(coarse_rings(&rings, 0.05, &keep, &work, &out, &err));
    assert_int_equal(err.kind, ERROR_CANCELLED);
    arena_free(&keep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(coarse__points_on_straight_edges_go),
        cmocka_unit_test(coarse__a_ring_that_would_vanish_stays),
        cmocka_unit_test(coarse__stops_when_asked),
        cmocka_unit_test(coarse__lack_of_memory_is_an_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
