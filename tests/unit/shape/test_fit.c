// test_fit.c - lines and cubics through runs of points.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "shape/fit.h"

#include <math.h>

#define PI 3.14159265358979323846

static FitOptions options(void)
{
    return (FitOptions){.tolerance = 0.1, .line_tolerance = 0.05};
}

static double curve_distance(const FitCurve *curves, int count, Vec p)
{
    double least = INFINITY;
    for (int i = 0; i < count; i++)
        for (int k = 0; k <= 4000; k++) {
            double t = k / 4000.0, s = 1 - t;
            const FitCurve *c = &curves[i];
            double x = s * s * s * c->p0.x + 3 * s * s * t * c->p1.x + 3 * s * t * t * c->p2.x + t * t * t * c->p3.x;
            double y = s * s * s * c->p0.y + 3 * s * s * t * c->p1.y + 3 * s * t * t * c->p2.y + t * t * t * c->p3.y;
            least = fmin(least, sqrt((x - p.x) * (x - p.x) + (y - p.y) * (y - p.y)));
        }
    return least;
}

static void fit_curves__straight_run_is_one_line_with_exact_ends(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Vec points[50];
    for (int i = 0; i < 50; i++) points[i] = (Vec){i * 1.5, 3 + i * 0.25 + (i % 2 ? 0.02 : -0.02)};
    FitOptions how = options();
    FitCurve *curves;
    int count;
    Error err;
    assert_true(fit_curves(points, 50, &how, &keep, &curves, &count, &err));
    assert_int_equal(count, 1);
    assert_true(curves[0].is_line);
    assert_true(curves[0].p0.x == points[0].x && curves[0].p0.y == points[0].y);
    assert_true(curves[0].p3.x == points[49].x && curves[0].p3.y == points[49].y);
    arena_free(&keep);
}

static void fit_curves__circle_is_a_few_smooth_cubics_within_tolerance(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Vec points[629];
    for (int i = 0; i < 628; i++) points[i] = (Vec){100 * cos(i * PI / 314), 100 * sin(i * PI / 314)};
    points[628] = points[0];
    FitOptions how = options();
    how.closed = true;
    FitCurve *curves;
    int count;
    Error err;
    assert_true(fit_curves(points, 629, &how, &keep, &curves, &count, &err));
    assert_in_range(count, 2, 6);
    for (int i = 0; i < 628; i += 7) assert_true(curve_distance(curves, count, points[i]) < 0.15);
    for (int i = 0; i < count; i++) {
        const FitCurve *a = &curves[i], *b = &curves[(i + 1) % count];
        assert_true(a->p3.x == b->p0.x && a->p3.y == b->p0.y);
        double ux = a->p3.x - a->p2.x, uy = a->p3.y - a->p2.y, vx = b->p1.x - b->p0.x, vy = b->p1.y - b->p0.y;
        assert_true(fabs(ux * vy - uy * vx) < 1e-6 * sqrt((ux * ux + uy * uy) * (vx * vx + vy * vy)));
    }
    arena_free(&keep);
}

static void fit_curves__s_shape_needs_no_more_than_four(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Vec points[201];
    for (int i = 0; i <= 200; i++) points[i] = (Vec){i, 30 * sin(i * PI / 100)};
    FitOptions how = options();
    FitCurve *curves;
    int count;
    Error err;
    assert_true(fit_curves(points, 201, &how, &keep, &curves, &count, &err));
    assert_in_range(count, 1, 4);
    for (int i = 0; i <= 200; i += 5) assert_true(curve_distance(curves, count, points[i]) < 0.15);
    arena_free(&keep);
}

// A wave with a long and a short half: the first handles within the tolerance lie up to all of it beside the points.
static void fit_curves__curves_lie_far_nearer_than_the_tolerance(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Vec points[241];
    for (int i = 0; i <= 240; i++) points[i] = (Vec){i, 26 * sin(i * i * PI / 40000)};
    FitOptions how = {.tolerance = 0.5, .line_tolerance = 0.25};
    FitCurve *curves;
    int count;
    Error err;
    assert_true(fit_curves(points, 241, &how, &keep, &curves, &count, &err));
    double sum = 0;
    for (int i = 0; i <= 240; i += 3) sum += curve_distance(curves, count, points[i]);
    assert_true(sum / 81 < 0.15 * how.tolerance);
    arena_free(&keep);
}

static void fit_curves__straight_side_inside_a_curve_stays_straight(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Vec points[400];
    int n = 0;
    for (int i = 0; i < 100; i++) points[n++] = (Vec){i, 0};
    for (int i = 0; i <= 60; i++) points[n++] = (Vec){100 + 40 * sin(i * PI / 120), 40 - 40 * cos(i * PI / 120)};
    for (int i = 1; i < 100; i++) points[n++] = (Vec){140, 40 + i};
    FitOptions how = options();
    how.line_length = 36;
    FitCurve *curves;
    int count, lines = 0;
    Error err;
    assert_true(fit_curves(points, n, &how, &keep, &curves, &count, &err));
    for (int i = 0; i < count; i++) lines += curves[i].is_line;
    assert_int_equal(lines, 2);
    for (int i = 0; i < n; i += 5) assert_true(curve_distance(curves, count, points[i]) < 0.15);
    arena_free(&keep);
}

static void fit_curves__given_tangents_are_kept(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Vec points[91];
    for (int i = 0; i <= 90; i++) points[i] = (Vec){50 * sin(i * PI / 180), 50 - 50 * cos(i * PI / 180)};
    FitOptions how = options();
    how.start_tangent = (Vec){1, 0};
    how.end_tangent = (Vec){0, 1};
    FitCurve *curves;
    int count;
    Error err;
    assert_true(fit_curves(points, 91, &how, &keep, &curves, &count, &err));
    assert_true(fabs(curves[0].p1.y - curves[0].p0.y) < 1e-9);
    assert_true(fabs(curves[count - 1].p3.x - curves[count - 1].p2.x) < 1e-9);
    arena_free(&keep);
}

static void fit_curves__two_points_are_a_line(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Vec points[2] = {{1, 2}, {3, 4}};
    FitOptions how = options();
    FitCurve *curves;
    int count;
    Error err;
    assert_true(fit_curves(points, 2, &how, &keep, &curves, &count, &err));
    assert_int_equal(count, 1);
    assert_true(curves[0].is_line);
    arena_free(&keep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fit_curves__straight_run_is_one_line_with_exact_ends),
        cmocka_unit_test(fit_curves__circle_is_a_few_smooth_cubics_within_tolerance),
        cmocka_unit_test(fit_curves__s_shape_needs_no_more_than_four),
        cmocka_unit_test(fit_curves__curves_lie_far_nearer_than_the_tolerance),
        cmocka_unit_test(fit_curves__straight_side_inside_a_curve_stays_straight),
        cmocka_unit_test(fit_curves__given_tangents_are_kept),
        cmocka_unit_test(fit_curves__two_points_are_a_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
