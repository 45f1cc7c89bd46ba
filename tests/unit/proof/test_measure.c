// test_measure.c - the proof's own geometry against values known from elsewhere.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "proof/measure.h"
#include "proof/readback.h"

#include <math.h>
#include <string.h>

#define PI 3.14159265358979323846

static ReadPath path_of(Arena *arena, const char *data)
{
    ReadPath path;
    const char *problem;
    Error err;
    assert_true(read_path(data, strlen(data), READ_ENDS_ANY, arena, &path, &problem, &err));
    if (problem) fail_msg("%s: %s", data, problem);
    return path;
}

static Field field_of(Arena *arena, const char *data, double longest_mm)
{
    ReadPath path = path_of(arena, data);
    Edges edges = {0};
    Field field;
    Error err;
    assert_true(measure_flatten(path.curves, path.curve_count, NULL, longest_mm, 0, arena, &edges, &err));
    assert_true(measure_field(edges.items, edges.count, arena, &field, &err));
    return field;
}

static const char quarter_disc[] = "M 0 0 L 10 0 C 10 5.522847498 5.522847498 10 0 10 Z";

static void measure_area__square_with_hole(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    ReadPath path = path_of(&arena, "M 0 0 L 10 0 L 10 10 L 0 10 Z M 2 2 L 2 4 L 4 4 L 4 2 Z");
    assert_float_equal(measure_area(&path), 96.0, 1e-12);
    assert_float_equal(measure_length(&path), 48.0, 1e-12);
    arena_free(&arena);
}

static void measure_area__quarter_disc_is_near_pi(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    ReadPath path = path_of(&arena, quarter_disc);
    assert_float_equal(measure_area(&path), 25.0 * PI,
                       0.05); // the cubic is up to 2.7e-4 of the radius outside the circle
    assert_float_equal(measure_length(&path), 20.0 + 5.0 * PI, 0.005);
    arena_free(&arena);
}

// A parabola raised to a cubic: y = x^2 from 0 to 1 has area 2/3 between curve and chord's box, and a known length.
static void measure__parabola_is_exact(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    ReadPath closed = path_of(&arena, "M 0 0 C 0.3333333333333333 0 0.6666666666666667 0.3333333333333333 1 1 L 0 1 Z");
    ReadPath open = path_of(&arena, "M 0 0 C 0.3333333333333333 0 0.6666666666666667 0.3333333333333333 1 1");
    assert_float_equal(measure_area(&closed), 2.0 / 3.0, 1e-12);
    assert_float_equal(measure_length(&open), sqrt(5.0) / 2.0 + asinh(2.0) / 4.0, 1e-8);
    arena_free(&arena);
}

static void measure_box__finds_where_a_curve_turns(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    ReadPath path = path_of(&arena, "M 0 0 C 0 4 10 4 10 0");
    SpotBox box = measure_box(&path);
    assert_float_equal(box.max.y, 3.0, 1e-12);
    assert_float_equal(box.min.x, 0.0, 1e-12);
    assert_float_equal(box.max.x, 10.0, 1e-12);
    arena_free(&arena);
}

static void measure_flatten__both_directions_give_the_same_points(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    ReadPath there = path_of(&arena, "M 1.237 0.001 C 3.3 7.777 9.001 -4.2 11.113 5.5");
    ReadCurve back = measure_reversed(there.curves[0]);
    Edges a = {0}, b = {0};
    Error err;
    assert_true(measure_flatten(there.curves, 1, NULL, INFINITY, 0, &arena, &a, &err));
    assert_true(measure_flatten(&back, 1, NULL, INFINITY, 0, &arena, &b, &err));
    assert_int_equal(a.count, b.count);
    assert_true(a.count > 10);
    for (size_t i = 0; i < a.count; i++) {
        assert_memory_equal(&a.items[i].a, &b.items[b.count - 1 - i].b, sizeof(Spot));
        assert_memory_equal(&a.items[i].b, &b.items[b.count - 1 - i].a, sizeof(Spot));
    }
    arena_free(&arena);
}

static void measure_flatten__stays_within_its_tolerance(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    Field field = field_of(&arena, "M 0 0 C 0 40 100 40 100 0", INFINITY);
    for (int i = 0; i <= 1000; i++) {
        double t = i / 1000.0, u = 1.0 - t;
        Spot p = {3 * u * t * t * 100 + t * t * t * 100, 3 * u * u * t * 40 + 3 * u * t * t * 40};
        assert_true(measure_distance(&field, p, 1.0, -1, NULL) <= MEASURE_FLAT_MM);
    }
    arena_free(&arena);
}

static void measure_inside__agrees_with_the_shape(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    Field field = field_of(&arena, "M 0 0 L 100 0 L 100 100 L 0 100 Z M 40 40 L 40 60 L 60 60 L 60 40 Z", INFINITY);
    assert_true(measure_inside(&field, (Spot){20, 50}));
    assert_true(measure_inside(&field, (Spot){99.9, 0.1}));
    assert_false(measure_inside(&field, (Spot){50, 50}));
    assert_false(measure_inside(&field, (Spot){-1, 50}));
    assert_false(measure_inside(&field, (Spot){101, 50}));
    arena_free(&arena);
}

static void measure_distance__nearest_edge_of_another_owner(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    Edge edges[2] = {{{0, 0}, {10, 0}, 1}, {{0, 3}, {10, 3}, 2}};
    Field field;
    Error err;
    int edge;
    assert_true(measure_field(edges, 2, &arena, &field, &err));
    assert_float_equal(measure_distance(&field, (Spot){5, 0}, 9.0, 1, &edge), 3.0, 1e-12);
    assert_int_equal(edge, 1);
    assert_float_equal(measure_distance(&field, (Spot){5, 0}, 2.0, 1, &edge), 2.0, 0.0);
    assert_int_equal(edge, -1);
    assert_float_equal(measure_distance(&field, (Spot){13, 4}, 9.0, 0, &edge), sqrt(10.0), 1e-12);
    arena_free(&arena);
}

static void measure_strays__finds_the_part_that_leaves(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    Field left = field_of(&arena, "M 0 0 L 50 0 L 50 10 L 0 10 Z", INFINITY);
    Field right = field_of(&arena, "M 50.2 0 L 90 0 L 90 10 L 50.2 10 Z", INFINITY);
    const Field *both[2] = {&left, &right};
    Spot at;
    assert_false(measure_strays(both, 2, (Spot){1, 5}, (Spot){49, 5}, true, 0.01, &at));
    assert_true(measure_strays(both, 2, (Spot){1, 5}, (Spot){89, 5}, true, 0.01, &at)); // the crack of 0.2 mm
    assert_true(at.x > 50.0 && at.x < 50.2);
    assert_false(measure_strays(both, 2, (Spot){1, 5}, (Spot){89, 5}, true, 0.15, &at));
    assert_true(measure_strays(both, 2, (Spot){1, -5}, (Spot){1, 0.05}, false, 0.01, &at));
    assert_false(measure_strays(both, 2, (Spot){1, -5}, (Spot){80, -5}, false, 0.01, &at));
    assert_true(measure_strays(both, 0, (Spot){1, 5}, (Spot){2, 5}, true, 0.01, &at)); // nothing covers it
    arena_free(&arena);
}

typedef struct Sum {
    double covered_mm;
    int rows;
} Sum;

static bool sum_row(void *data, double y, const ScanHit *hits, int count, Error *err)
{
    (void)y;
    (void)err;
    Sum *sum = data;
    assert_int_equal(count % 2, 0);
    for (int i = 0; i + 1 < count; i++) assert_true(hits[i].x <= hits[i + 1].x);
    for (int i = 0; i < count; i += 2) sum->covered_mm += hits[i + 1].x - hits[i].x;
    sum->rows++;
    return true;
}

static void measure_scan__lines_add_up_to_the_area(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    ReadPath path = path_of(&arena, quarter_disc);
    Edges edges = {0};
    Error err;
    Sum sum = {0};
    assert_true(measure_flatten(path.curves, path.curve_count, NULL, INFINITY, 0, &arena, &edges, &err));
    assert_true(measure_scan(edges.items, edges.count, &work, sum_row, &sum, &err));
    assert_int_equal(sum.rows, 100);
    assert_float_equal(sum.covered_mm * MEASURE_STEP_MM, 25.0 * PI, 0.06);
    arena_free(&arena);
    arena_free(&work.scratch);
}

static void measure_scan__refuses_what_would_take_too_long(void **state)
{
    (void)state;
    Work work = {.scratch = arena_make(0)};
    static Edge edges[2000];
    Error err = {0};
    Sum sum = {0};
    for (int i = 0; i < 2000; i++) edges[i] = (Edge){{i, -100000.0}, {i, 100000.0}, 0};
    assert_false(measure_scan(edges, 2000, &work, sum_row, &sum, &err));
    assert_int_equal(err.kind, ERROR_INPUT);
    arena_free(&work.scratch);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(measure_area__square_with_hole),
        cmocka_unit_test(measure_area__quarter_disc_is_near_pi),
        cmocka_unit_test(measure__parabola_is_exact),
        cmocka_unit_test(measure_box__finds_where_a_curve_turns),
        cmocka_unit_test(measure_flatten__both_directions_give_the_same_points),
        cmocka_unit_test(measure_flatten__stays_within_its_tolerance),
        cmocka_unit_test(measure_inside__agrees_with_the_shape),
        cmocka_unit_test(measure_distance__nearest_edge_of_another_owner),
        cmocka_unit_test(measure_strays__finds_the_part_that_leaves),
        cmocka_unit_test(measure_scan__lines_add_up_to_the_area),
        cmocka_unit_test(measure_scan__refuses_what_would_take_too_long),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
