// The border of a round figure: as large as asked, in the curves that are cut and not only in their flat points.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "stack/border.h"

#include <math.h>
#include <stdlib.h>

enum { CORNERS = 400, STEPS = 200 };

// An egg whose box is (10, 10) to (90, 70), so that a border of 10 mm makes it 100 x 80.
static Area egg(Chains *chains, Arena *keep)
{
    Point *points = arena_new(keep, Point, CORNERS);
    for (int i = 0; i < CORNERS; i++) {
        double angle = 2.0 * 3.14159265358979323846 * i / CORNERS;
        points[i] = point_from_mm(50.0 + 40.0 * cos(angle), 40.0 + 30.0 * sin(angle));
    }
    Area area;
    Error err;
    assert_true(area_from_rings(&(Rings){&(Ring){points, CORNERS}, 1}, chains, keep, &area, &err));
    return area;
}

static double cubic(double p0, double p1, double p2, double p3, double t)
{
    double s = 1.0 - t;
    return s * s * s * p0 + 3.0 * s * s * t * p1 + 3.0 * s * t * t * p2 + t * t * t * p3;
}

static void border__has_the_size_asked_for_in_its_curves(void **state)
{
    (void)state;
    for (int tenth = 0; tenth < 10; tenth++) { // by chance, a size may come out right
        Arena keep = arena_make(0);
        Work work = {.scratch = arena_make(0)};
        Chains chains = {0};
        Error err = {0};
        assert_true(overlay_create(NULL, &work.overlay, &err));
        Area full = egg(&chains, &keep), area;
        double border_mm = 10.0 + 0.1 * tenth, width = 80.0 + 2.0 * border_mm, height = 60.0 + 2.0 * border_mm;
        assert_true(border_make(&full, border_mm, width, height, &chains, &keep, &work, &area, &err));
        Path path;
        assert_true(area_path(&chains, &area, &keep, &path, &err));
        double least_x = INFINITY, most_x = -INFINITY, least_y = INFINITY, most_y = -INFINITY;
        for (int i = 0; i < path.curve_count * STEPS; i++) {
            const Curve *c = &path.curves[i / STEPS];
            double t = (double)(i % STEPS) / STEPS, x = cubic(c->p0.x, c->p1.x, c->p2.x, c->p3.x, t),
                   y = cubic(c->p0.y, c->p1.y, c->p2.y, c->p3.y, t);
            least_x = fmin(least_x, x), most_x = fmax(most_x, x);
            least_y = fmin(least_y, y), most_y = fmax(most_y, y);
        }
        assert_true(fabs(least_x) <= 1.0 && fabs(least_y) <= 1.0);
        assert_true(fabs(most_x - width * UM_PER_MM) <= 1.0 && fabs(most_y - height * UM_PER_MM) <= 1.0);
        overlay_destroy(work.overlay);
        arena_free(&keep);
        arena_free(&work.scratch);
    }
}

static void border__straight_sides_stay_lines(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    Chains chains = {0};
    Error err = {0};
    assert_true(overlay_create(NULL, &work.overlay, &err));
    Point points[] = {{10000, 10000}, {90000, 10000}, {90000, 70000}, {10000, 70000}};
    Area full, area;
    assert_true(area_from_rings(&(Rings){&(Ring){points, 4}, 1}, &chains, &keep, &full, &err));
    assert_true(border_make(&full, 10.0, 100.0, 80.0, &chains, &keep, &work, &area, &err));
    Path path;
    assert_true(area_path(&chains, &area, &keep, &path, &err));
    int sides = 0;
    for (int i = 0; i < path.curve_count; i++) {
        const Curve *c = &path.curves[i];
        if (!c->is_line || point_distance_mm(c->p0, c->p3) < 50.0) continue; // of 60 and 80: the fit takes a little for the corners
        assert_true(abs(c->p0.x - c->p3.x) <= 10 || abs(c->p0.y - c->p3.y) <= 10);
        sides++;
    }
    assert_int_equal(sides, 4);
    overlay_destroy(work.overlay);
    arena_free(&keep);
    arena_free(&work.scratch);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(border__has_the_size_asked_for_in_its_curves),
                                       cmocka_unit_test(border__straight_sides_stay_lines)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
