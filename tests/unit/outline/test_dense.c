// test_dense.c - corners whose sides are three pixels long, drawn with known shares, and round forms that have none.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "outline/trace.h"
#include "support/black_on_white.h"

#include <math.h>

#define SIDE 40

typedef struct Drawn {
    BlackOnWhite drawing;
    Work work;
    CrackMap map;
    Trace trace;
    Pixels pixels;
} Drawn;

static void draw(Drawn *d, bool (*inside)(double x, double y))
{
    black_on_white(&d->drawing, SIDE, inside);
    d->work = (Work){.scratch = arena_make(0)};
    Error err = {0};
    assert_true(arcs_find(d->drawing.label, SIDE, SIDE, &d->work.scratch, &d->work, &d->map, &err));
    d->pixels = blend_prepare(&d->drawing.picture, &d->drawing.separation, false);
    assert_true(trace_prepare(&d->pixels, &d->map, 0.15, &d->work, &d->trace, &err));
    assert_true(trace_curves(&d->trace, &d->work, &err));
}

// A star of 16 points, its corners 3 to 4 px apart.
#define POINTS 32
static double star[POINTS][2];

static void make_star(void)
{
    // turned by a sixteenth of a circle at a time
    double c = 0.980785280403230, s = 0.195090322016128, x = 1, y = 0;
    for (int i = 0; i < POINTS; i++) {
        double radius = i % 2 ? 13.2 : 16.3;
        star[i][0] = 20.1 + radius * x, star[i][1] = 19.8 + radius * y;
        double next = x * c - y * s;
        y = x * s + y * c;
        x = next;
    }
}

static bool in_star(double x, double y)
{
    bool is_in = false;
    for (int i = 0, j = POINTS - 1; i < POINTS; j = i++)
        if ((star[i][1] > y) != (star[j][1] > y) &&
            x < star[i][0] + (star[j][0] - star[i][0]) * (y - star[i][1]) / (star[j][1] - star[i][1]))
            is_in = !is_in;
    return is_in;
}

static bool in_eye(double x, double y)
{
    double dx = x - 20.3, dy = y - 19.6;
    return dx * dx + dy * dy < 6.2 * 6.2;
}

static void dense_corners__most_short_sides_meet_where_they_were_drawn(void **state)
{
    (void)state;
    static Drawn d;
    make_star();
    draw(&d, in_star);
    assert_int_equal(d.map.arc_count, 1);
    const TracedArc *arc = &d.trace.arcs[0];
    int found = 0;
    for (int i = 0; i < POINTS; i++) {
        double least = INFINITY;
        for (int k = 0; k < arc->corner_count; k++) {
            double dx = arc->corners[k].at.x - star[i][0], dy = arc->corners[k].at.y - star[i][1];
            least = fmin(least, sqrt(dx * dx + dy * dy));
        }
        found += least < 0.5;
    }
    assert_in_range(found, 26, POINTS); // points along the edge alone tell six
    assert_in_range(arc->corner_count, found, POINTS + 4);
    arena_free(&d.work.scratch);
}

static void dense_corners__points_and_corners_stay_in_order(void **state)
{
    (void)state;
    static Drawn d;
    make_star();
    draw(&d, in_star);
    const TracedArc *arc = &d.trace.arcs[0];
    assert_true(arc->point_count <= d.map.arcs[0].count);
    for (int i = 0; i < arc->point_count; i++) {
        assert_in_range(arc->points[i].crack, 0, d.map.arcs[0].count - 1);
        if (i > 0) assert_true(arc->points[i].crack > arc->points[i - 1].crack);
    }
    for (int i = 0; i < arc->corner_count; i++) {
        assert_in_range(arc->corners[i].after, 0, arc->point_count - 1);
        if (i > 0) assert_true(arc->corners[i].after >= arc->corners[i - 1].after);
    }
    arena_free(&d.work.scratch);
}

static void dense_corners__a_round_eye_has_none(void **state)
{
    (void)state;
    static Drawn d;
    draw(&d, in_eye);
    assert_int_equal(d.trace.arcs[0].corner_count, 0);
    arena_free(&d.work.scratch);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(dense_corners__most_short_sides_meet_where_they_were_drawn),
        cmocka_unit_test(dense_corners__points_and_corners_stay_in_order),
        cmocka_unit_test(dense_corners__a_round_eye_has_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
