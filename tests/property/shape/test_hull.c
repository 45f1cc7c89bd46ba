// Laws of hulls: against brute force over angles, and against GEOS.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <geos_c.h>
#include <math.h>
#include <stdlib.h>

#include "base/rng.h"
#include "shape/hull.h"

#define HULLS 400
#define ANGLES 3600

static int random_points(Rng *rng, Point *points)
{
    int count = 3 + (int)rng_below(rng, 60), wide = 1000 + (int)rng_below(rng, 300000),
        high = 1000 + (int)rng_below(rng, 300000);
    double turn = rng_below(rng, 3) ? 0.0 : 6.28 * rng_unit(rng);
    bool box = rng_below(rng, 3) == 0; // corners of a box: parts that fit only on the diagonal
    for (int i = 0; i < count; i++) {
        double x = box && i < 4 ? (i & 1) * wide : rng_unit(rng) * wide,
               y = box && i < 4 ? (i >> 1) * high : rng_unit(rng) * high;
        points[i] =
            (Point){(int32_t)lround(x * cos(turn) - y * sin(turn)), (int32_t)lround(x * sin(turn) + y * cos(turn))};
    }
    return count;
}

static bool fits_at_some_angle(const Point *hull, int count, Space space)
{
    for (int i = 0; i < ANGLES; i++) {
        double angle = 3.141592653589793 * i / ANGLES; // a half turn is all there is
        if (hull_fits_at(hull, count, space, (Fit){cos(angle), sin(angle)})) return true;
    }
    return false;
}

// Shifts the turned hull into the space step by step, in another way than the code under test.
static bool lies_within(const Point *hull, int count, Space space, Fit fit, double slack)
{
    double left = INFINITY, top = INFINITY, right = -INFINITY, bottom = -INFINITY, least = INFINITY, most = -INFINITY;
    for (int i = 0; i < count; i++) {
        double x = (hull[i].x * fit.cos - hull[i].y * fit.sin) / 1000.0,
               y = (hull[i].x * fit.sin + hull[i].y * fit.cos) / 1000.0;
        left = fmin(left, x), right = fmax(right, x), top = fmin(top, y), bottom = fmax(bottom, y);
        least = fmin(least, x + y), most = fmax(most, x + y);
    }
    if (right - left > space.width_mm + slack || bottom - top > space.height_mm + slack) return false;
    // The shift's sum x + y can be anything from its least to its greatest value.
    double sum_least = -left - top, sum_most = space.width_mm - right + space.height_mm - bottom;
    double need_least = space.corner_mm - least, need_most = space.width_mm + space.height_mm - space.corner_mm - most;
    return need_least <= need_most + slack && need_least <= sum_most + slack && sum_least <= need_most + slack;
}

static void fits__says_yes_where_brute_force_does_and_its_turn_is_right(void **state)
{
    (void)state;
    int yes = 0, no = 0;
    for (uint64_t seed = 1; seed <= HULLS; seed++) {
        Arena keep = arena_make(0);
        Rng rng = rng_make(seed);
        Point points[64];
        int count, n = random_points(&rng, points);
        Point *hull = hull_make(points, n, &keep, &count);
        assert_non_null(hull);
        double longest = hull_diameter_mm(hull, count), width = hull_width_mm(hull, count);
        // Spaces about as large as the shape, so that yes and no both come up.
        Space space = {0.5 * longest + 0.6 * longest * rng_unit(&rng), width * (0.8 + 0.7 * rng_unit(&rng)), 0.0, false};
        if (rng_below(&rng, 2)) space.corner_mm = 0.2 * fmin(space.width_mm, space.height_mm) * rng_unit(&rng);
        if (rng_below(&rng, 2)) space = (Space){space.height_mm, space.width_mm, space.corner_mm, false};
        Space less = {space.width_mm - 0.01, space.height_mm - 0.01, space.corner_mm, false};
        Fit fit;
        bool fits = hull_fits(hull, count, space, &fit);
        if (!fits && fits_at_some_angle(hull, count, less))
            fail_msg("a turn was missed, seed %llu", (unsigned long long)seed);
        if (fits && !lies_within(hull, count, space, fit, 1e-5))
            fail_msg("a wrong turn, seed %llu", (unsigned long long)seed);
        if (fits) assert_true(fabs(fit.cos * fit.cos + fit.sin * fit.sin - 1.0) < 1e-12);
        yes += fits, no += !fits;
        arena_free(&keep);
    }
    print_message("fits: %d yes, %d no\n", yes, no);
    assert_true(yes > HULLS / 10 && no > HULLS / 10);
}

static GEOSGeometry *geos_points(GEOSContextHandle_t geos, const Point *points, int n)
{
    GEOSGeometry *items[64];
    for (int i = 0; i < n; i++) items[i] = GEOSGeom_createPointFromXY_r(geos, points[i].x, points[i].y);
    return GEOSGeom_createCollection_r(geos, GEOS_MULTIPOINT, items, (unsigned)n);
}

static void hull__is_the_one_that_geos_finds(void **state)
{
    (void)state;
    GEOSContextHandle_t geos = GEOS_init_r();
    for (uint64_t seed = 1; seed <= HULLS; seed++) {
        Arena keep = arena_make(0);
        Rng rng = rng_make(seed);
        Point points[64];
        int count, n = random_points(&rng, points);
        Point *hull = hull_make(points, n, &keep, &count);
        Ring ring = {hull, count};
        GEOSGeometry *all = geos_points(geos, points, n), *theirs = GEOSConvexHull_r(geos, all),
                     *box = GEOSMinimumRotatedRectangle_r(geos, all);
        double area, least, length;
        GEOSArea_r(geos, theirs, &area);
        assert_true(fabs(area - ring_area_mm2(&ring) * 1e6) < 1.0);
        assert_int_equal(GEOSGetNumCoordinates_r(geos, theirs), count + 1);
        // Their least box (Freeman, Shapira 1975): the shape fits a space of that size.
        GEOSArea_r(geos, box, &least);
        GEOSLength_r(geos, box, &length);
        double half = length / 4.0, root = sqrt(fmax(half * half - least, 0.0));
        Space space = {(half + root) / 1000.0 + 1e-5, (half - root) / 1000.0 + 1e-5, 0.0, false};
        Fit fit;
        if (!hull_fits(hull, count, space, &fit))
            fail_msg("the least box was missed, seed %llu", (unsigned long long)seed);
        // Their width: least distance between parallels.
        GEOSGeometry *line = GEOSMinimumWidth_r(geos, all);
        GEOSLength_r(geos, line, &length);
        assert_true(fabs(length / 1000.0 - hull_width_mm(hull, count)) < 1e-6 * (1.0 + length));
        double longest = 0.0;
        for (int i = 0; i < n; i++)
            for (int j = 0; j < n; j++) longest = fmax(longest, point_distance_mm(points[i], points[j]));
        assert_true(fabs(longest - hull_diameter_mm(hull, count)) < 1e-9 * (1.0 + longest));
        GEOSGeom_destroy_r(geos, line);
        GEOSGeom_destroy_r(geos, box);
        GEOSGeom_destroy_r(geos, theirs);
        GEOSGeom_destroy_r(geos, all);
        arena_free(&keep);
    }
    GEOS_finish_r(geos);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fits__says_yes_where_brute_force_does_and_its_turn_is_right),
        cmocka_unit_test(hull__is_the_one_that_geos_finds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
