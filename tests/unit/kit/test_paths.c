// Paths as text, and their lengths and areas.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "kit/measure_path.h"
#include "kit/path_text.h"

#include <math.h>
#include <string.h>

static void assert_near(double found, double expected, double within)
{
    if (fabs(found - expected) > within) fail_msg("found %.6f, expected %.6f", found, expected);
}

static Curve cubic(double x0, double y0, double x1, double y1, double x2, double y2, double x3, double y3)
{
    return (Curve){point_from_mm(x0, y0), point_from_mm(x1, y1), point_from_mm(x2, y2), point_from_mm(x3, y3), false};
}

static Path one_part(Curve *curves, int *first, int count, bool open)
{
    first[0] = 0;
    first[1] = count;
    return (Path){curves, count, first, 1, open};
}

static void assert_text(const Path *path, const double *matrix, const char *expected)
{
    Arena arena = arena_make(0);
    Text text = text_make(&arena);
    path_add(&text, path, matrix);
    assert_string_equal(text.bytes, expected);
    arena_free(&arena);
}

static void text__ring_has_every_curve_and_z(void **state)
{
    (void)state;
    Curve curves[] = {curve_line(point_from_mm(0, 0), point_from_mm(10.5, 0)), cubic(10.5, 0, 12, 3, 11.125, 7.001, 0, 8),
                      curve_line(point_from_mm(0, 8), point_from_mm(0, 0))};
    int first[2];
    Path path = one_part(curves, first, 3, false);
    assert_text(&path, NULL, "M0 0 L10.5 0 C12 3 11.125 7.001 0 8 L0 0 Z");
}

static void text__open_stroke_has_no_z_and_parts_follow_each_other(void **state)
{
    (void)state;
    Curve curves[] = {curve_line(point_from_mm(-1, 0), point_from_mm(2, 0)), curve_line(point_from_mm(3, 0), point_from_mm(3, 4))};
    int first[3] = {0, 1, 2};
    Path path = {curves, 2, first, 2, true};
    assert_text(&path, NULL, "M-1 0 L2 0 M3 0 L3 4");
}

static void text__matrix_moves_control_points_and_rounds_to_three_decimals(void **state)
{
    (void)state;
    Curve curves[] = {cubic(1, 0, 2, 0, 3, 1, 3, 2)};
    int first[2];
    Path path = one_part(curves, first, 1, true);
    const double quarter[6] = {0, 1, -1, 0, 10.00049, 20.0006};
    assert_text(&path, quarter, "M10 21.001 C10 22.001 9 23.001 8 23.001");
}

static void text__minus_zero_is_zero(void **state)
{
    (void)state;
    Curve curves[] = {curve_line(point_from_mm(0, 0), point_from_mm(1, 1))};
    int first[2];
    Path path = one_part(curves, first, 1, true);
    const double turned[6] = {-1, 0, 0, -1, -0.0001, 1};
    assert_text(&path, turned, "M0 1 L-1 0");
}

// The usual four cubics of a circle, k = 4 (sqrt 2 - 1) / 3: radius off by at most 2.8e-4 of it (from memory; checked by
// sampling in this test's design).
static void length_and_area__circle_of_four_cubics(void **state)
{
    (void)state;
    const double r = 100, k = 55.228475;
    Curve curves[] = {cubic(0, -r, k, -r, r, -k, r, 0), cubic(r, 0, r, k, k, r, 0, r), cubic(0, r, -k, r, -r, k, -r, 0),
                      cubic(-r, 0, -r, -k, -k, -r, 0, -r)};
    int first[2];
    Path path = one_part(curves, first, 4, false);
    const double pi = 3.14159265358979;
    assert_near(path_length_mm(&path), 2 * pi * r, 2 * pi * r * 2.8e-4);
    assert_near(path_area_mm2(&path), pi * r * r, pi * r * r * 5.6e-4);
}

static void length__equals_a_fine_polyline(void **state)
{
    (void)state;
    Curve curves[] = {cubic(0, 0, 300, 10, -200, 20, 100, 30), cubic(0, 0, 0, 0, 100, 100, 0, 0), cubic(5, 5, 50, 5, 0, 5, 90, 5)};
    for (size_t c = 0; c < 3; c++) {
        int first[2];
        Path path = one_part(&curves[c], first, 1, true);
        double sum = 0, x0 = curves[c].p0.x, y0 = curves[c].p0.y;
        for (int i = 1; i <= 200000; i++) {
            double t = i / 200000.0, u = 1 - t;
            double x = u * u * u * curves[c].p0.x + 3 * u * u * t * curves[c].p1.x + 3 * u * t * t * curves[c].p2.x + t * t * t * curves[c].p3.x;
            double y = u * u * u * curves[c].p0.y + 3 * u * u * t * curves[c].p1.y + 3 * u * t * t * curves[c].p2.y + t * t * t * curves[c].p3.y;
            sum += hypot(x - x0, y - y0);
            x0 = x, y0 = y;
        }
        assert_near(path_length_mm(&path), sum / 1000, 0.001);
    }
}

static void area__hole_counts_off(void **state)
{
    (void)state;
    Curve curves[8];
    const double corner[2][4][2] = {{{0, 0}, {10, 0}, {10, 10}, {0, 10}}, {{2, 2}, {2, 4}, {4, 4}, {4, 2}}};
    for (int r = 0; r < 2; r++)
        for (int i = 0; i < 4; i++)
            curves[4 * r + i] = curve_line(point_from_mm(corner[r][i][0], corner[r][i][1]),
                                           point_from_mm(corner[r][(i + 1) % 4][0], corner[r][(i + 1) % 4][1]));
    int first[3] = {0, 4, 8};
    Path path = {curves, 8, first, 2, false};
    assert_near(path_area_mm2(&path), 96, 1e-9);
    assert_near(path_length_mm(&path), 48, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text__ring_has_every_curve_and_z),
        cmocka_unit_test(text__open_stroke_has_no_z_and_parts_follow_each_other),
        cmocka_unit_test(text__matrix_moves_control_points_and_rounds_to_three_decimals),
        cmocka_unit_test(text__minus_zero_is_zero),
        cmocka_unit_test(length_and_area__circle_of_four_cubics),
        cmocka_unit_test(length__equals_a_fine_polyline),
        cmocka_unit_test(area__hole_counts_off),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
