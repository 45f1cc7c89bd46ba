#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

#include "shape/cover.h"

// A square of 10 mm with a square hole of 4 mm in its middle, and a diamond beside it.
static Point outer_points[] = {{0, 0}, {10000, 0}, {10000, 10000}, {0, 10000}};
static Point hole_points[] = {{3000, 3000}, {3000, 7000}, {7000, 7000}, {7000, 3000}};
static Point diamond_points[] = {{14000, 3000}, {16000, 5000}, {14000, 7000}, {12000, 5000}};
static Ring items[] = {{outer_points, 4}, {hole_points, 4}, {diamond_points, 4}};

typedef struct Fixture {
    Arena keep;
    Cover cover;
} Fixture;

static Fixture fixture(void)
{
    Fixture f = {.keep = arena_make(0)};
    Error err;
    assert_true(cover_make(&(Rings){items, 3}, &f.keep, &f.cover, &err));
    return f;
}

static int spans_of(Fixture *f, Point a, Point b, Span *out)
{
    int count;
    Span *spans = cover_spans(&f->cover, a, b, &f->keep, &count);
    assert_non_null(spans);
    for (int i = 0; i < count; i++) out[i] = spans[i];
    return count;
}

static bool near(double a, double b)
{
    return fabs(a - b) < 1e-12;
}

static void contains__counts_edges_in(void **state)
{
    (void)state;
    Fixture f = fixture();
    assert_true(cover_contains(&f.cover, (Point){1, 1}));
    assert_true(cover_contains(&f.cover, (Point){0, 10000}));
    assert_true(cover_contains(&f.cover, (Point){3000, 5000}));
    assert_false(cover_contains(&f.cover, (Point){3001, 5000}));
    assert_false(cover_contains(&f.cover, (Point){11000, 5000}));
    assert_true(cover_contains(&f.cover, (Point){13000, 4000}));
    assert_false(cover_contains(&f.cover, (Point){12999, 4000}));
    arena_free(&f.keep);
}

static void spans__of_a_line_across_everything(void **state)
{
    (void)state;
    Fixture f = fixture();
    Span s[8];
    assert_int_equal(spans_of(&f, (Point){-2000, 5000}, (Point){18000, 5000}, s), 3);
    assert_true(near(s[0].t0, 0.1) && near(s[0].t1, 0.25));
    assert_true(near(s[1].t0, 0.45) && near(s[1].t1, 0.6)); // through two vertices of the diamond next
    assert_true(near(s[2].t0, 0.7) && near(s[2].t1, 0.9));
    arena_free(&f.keep);
}

static void spans__along_an_edge_are_inside_and_joined(void **state)
{
    (void)state;
    Fixture f = fixture();
    Span s[8];
    assert_int_equal(spans_of(&f, (Point){-10000, 0}, (Point){10000, 0}, s), 1);
    assert_true(near(s[0].t0, 0.5) && s[0].t1 == 1.0);
    assert_int_equal(spans_of(&f, (Point){0, 3000}, (Point){10000, 3000}, s), 1); // over the hole's upper edge
    assert_true(s[0].t0 == 0.0 && s[0].t1 == 1.0);
    assert_int_equal(spans_of(&f, (Point){3000, 4000}, (Point){3000, 6000}, s), 1);
    arena_free(&f.keep);
}

static void spans__that_touch_a_corner_only_are_none(void **state)
{
    (void)state;
    Fixture f = fixture();
    Span s[8];
    assert_int_equal(spans_of(&f, (Point){12000, 7000}, (Point){16000, 7000}, s), 0);
    assert_int_equal(spans_of(&f, (Point){10000, 0}, (Point){11000, -1000}, s), 0);
    assert_int_equal(spans_of(&f, (Point){20000, 20000}, (Point){21000, 20000}, s), 0);
    assert_int_equal(spans_of(&f, (Point){5, 5}, (Point){5, 5}, s), 0);
    arena_free(&f.keep);
}

static void spans__start_at_a_corner_in_every_direction(void **state)
{
    (void)state;
    Fixture f = fixture();
    Span s[8];
    Point corner = {3000, 3000}; // of the hole: inside in all directions but one quarter
    const int ways[8][3] = {{1, 0, 1},  {1, 1, 0},   {0, 1, 1},  {-1, 1, 1},
                            {-1, 0, 1}, {-1, -1, 1}, {0, -1, 1}, {1, -1, 1}};
    for (int i = 0; i < 8; i++) {
        Point end = {corner.x + 500 * ways[i][0], corner.y + 500 * ways[i][1]};
        assert_int_equal(spans_of(&f, corner, end, s), ways[i][2]);
        assert_int_equal(spans_of(&f, end, corner, s), ways[i][2]);
    }
    arena_free(&f.keep);
}

static void length__is_what_lies_inside(void **state)
{
    (void)state;
    Fixture f = fixture();
    assert_true(near(cover_length_mm(&f.cover, (Point){-2000, 5000}, (Point){18000, 5000}, &f.keep), 10.0));
    assert_true(cover_length_mm(&f.cover, (Point){0, -1}, (Point){10000, -1}, &f.keep) == 0.0);
    f.keep.fail_after = 0;
    assert_true(cover_length_mm(&f.cover, (Point){0, 5}, (Point){10000, 5}, &f.keep) < 0.0);
    arena_free(&f.keep);
}

static void distance__stops_at_the_limit(void **state)
{
    (void)state;
    Fixture f = fixture();
    assert_true(cover_distance_mm(&f.cover, (Point){1000, 5000}, 50.0) == 1.0);
    assert_true(cover_distance_mm(&f.cover, (Point){5000, 5000}, 50.0) == 2.0);
    assert_true(cover_distance_mm(&f.cover, (Point){5000, 5000}, 0.5) == 0.5);
    assert_true(cover_distance_mm(&f.cover, (Point){-3000, -4000}, 50.0) == 5.0);
    assert_true(cover_distance_mm(&f.cover, (Point){-3000000, 0}, 50.0) == 50.0);
    arena_free(&f.keep);
}

static void nothing__contains_nothing(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err;
    Cover cover;
    int count;
    assert_true(cover_make(&(Rings){0}, &keep, &cover, &err));
    assert_false(cover_contains(&cover, (Point){0, 0}));
    assert_non_null(cover_spans(&cover, (Point){0, 0}, (Point){9, 9}, &keep, &count));
    assert_int_equal(count, 0);
    assert_true(cover_distance_mm(&cover, (Point){0, 0}, 3.0) == 3.0);
    arena_free(&keep);
}

static void missing_memory__is_a_clean_error(void **state)
{
    (void)state;
    bool ok = false;
    for (int64_t after = 0; !ok; after++) {
        Arena keep = arena_make(0);
        Error err = {0};
        Cover cover;
        keep.fail_after = after;
        ok = cover_make(&(Rings){items, 3}, &keep, &cover, &err);
        if (!ok) assert_true(err.kind == ERROR_SYSTEM && cover.edge_count == 0);
        arena_free(&keep);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(contains__counts_edges_in),
        cmocka_unit_test(spans__of_a_line_across_everything),
        cmocka_unit_test(spans__along_an_edge_are_inside_and_joined),
        cmocka_unit_test(spans__that_touch_a_corner_only_are_none),
        cmocka_unit_test(spans__start_at_a_corner_in_every_direction),
        cmocka_unit_test(length__is_what_lies_inside),
        cmocka_unit_test(distance__stops_at_the_limit),
        cmocka_unit_test(nothing__contains_nothing),
        cmocka_unit_test(missing_memory__is_a_clean_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
