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

static void trace(Drawn *d)
{
    d->work = (Work){.scratch = arena_make(0)};
    Error err = {0};
    assert_true(arcs_find(d->drawing.label, SIDE, SIDE, &d->work.scratch, &d->work, &d->map, &err));
    d->pixels = blend_prepare(&d->drawing.picture, &d->drawing.separation, false);
    assert_true(trace_prepare(&d->pixels, &d->map, 0.15, &d->work, &d->trace, &err));
    assert_true(trace_curves(&d->trace, &d->work, &err));
}

static void draw(Drawn *d, bool (*inside)(double x, double y))
{
    black_on_white(&d->drawing, SIDE, inside);
    trace(d);
}

// The same between two walls of a third colour, so that edges of the shape end at them.
static void draw_between(Drawn *d, bool (*inside)(double x, double y), int first_x, int last_x)
{
    black_on_white(&d->drawing, SIDE, inside);
    d->drawing.colours[1] = (SeparationColour){.colour = {40, 90, 200}};
    d->drawing.separation.colour_count = 2;
    for (int i = 0; i < SIDE * SIDE; i++) {
        if (i % SIDE >= first_x && i % SIDE <= last_x) continue;
        d->drawing.label[i] = 2;
        uint8_t *to = d->drawing.rgba + 4 * i;
        to[0] = 40, to[1] = 90, to[2] = 200;
    }
    trace(d);
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

// An edge with a step: two turns of about 50 degrees, 2 px apart.
static double step_x;

static double step_y(double x)
{
    return 18.3 + (x - step_x) * 0.2 + fmin(fmax(x - step_x, 0), 1) * 1.6;
}

static bool under_step(double x, double y)
{
    return y > step_y(x);
}

// A block with a tooth of 4 px on its upper edge, whose tip is cut off 0.72 px wide.
static double tooth_x;

static bool in_tooth(double x, double y)
{
    if (x < 3.4 || x > 36.7 || y > 34.2) return false;
    double off = fabs(x - tooth_x);
    return y > 14.6 || (y > 10.9 && off < 0.36 + (y - 10.9) * 0.25);
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

static void dense_corners__a_tip_that_is_a_bit_blunt_is_one_corner(void **state)
{
    (void)state;
    static Drawn d;
    int good = 0;
    for (int i = 0; i < 20; i++) {
        tooth_x = 19.0 + i / 20.0;
        draw(&d, in_tooth);
        const TracedArc *arc = &d.trace.arcs[0];
        int near = 0;
        for (int k = 0; k < arc->corner_count; k++)
            near += fabs(arc->corners[k].at.x - tooth_x) < 0.8 && fabs(arc->corners[k].at.y - 10.9) < 0.8;
        good += near == 1;
        arena_free(&d.work.scratch);
    }
    assert_in_range(good, 16, 20); // by two vertices, too near to each other to be two corners
}

static bool has_corner_near(const Drawn *d, double x, double y)
{
    for (int i = 0; i < d->map.arc_count; i++)
        for (int k = 0; k < d->trace.arcs[i].corner_count; k++) {
            Vec at = d->trace.arcs[i].corners[k].at;
            if (fabs(at.x - x) < 0.5 && fabs(at.y - y) < 0.5) return true;
        }
    return false;
}

static void dense_corners__a_step_of_an_edge_between_two_junctions_is_found(void **state)
{
    (void)state;
    static Drawn d;
    int good = 0;
    for (int i = 0; i < 20; i++) {
        step_x = 18.0 + i / 20.0;
        draw_between(&d, under_step, 14, 24);
        good += has_corner_near(&d, step_x, step_y(step_x)) && has_corner_near(&d, step_x + 1, step_y(step_x + 1));
        arena_free(&d.work.scratch);
    }
    assert_in_range(good, 12, 20); // points along the edge alone tell none
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
        cmocka_unit_test(dense_corners__a_tip_that_is_a_bit_blunt_is_one_corner),
        cmocka_unit_test(dense_corners__a_step_of_an_edge_between_two_junctions_is_found),
        cmocka_unit_test(dense_corners__points_and_corners_stay_in_order),
        cmocka_unit_test(dense_corners__a_round_eye_has_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
