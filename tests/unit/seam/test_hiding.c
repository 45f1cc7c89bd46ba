// A cover of 100 x 60 mm with a margin of 3 mm; lengths are worked out by hand.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "seam/hiding.h"

#include <math.h>

typedef struct HidingCase {
    Arena arena;
    Hiding hiding;
    Error err;
} HidingCase;

static Point mm(double x, double y)
{
    return point_from_mm(x, y);
}

// The cover, and a square hole of 20 mm in it when asked for.
static void open_case(HidingCase *c, bool with_hole)
{
    static Point box[4], hole[4];
    box[0] = mm(0, 0), box[1] = mm(100, 0), box[2] = mm(100, 60), box[3] = mm(0, 60);
    hole[0] = mm(40, 20), hole[1] = mm(40, 40), hole[2] = mm(60, 40), hole[3] = mm(60, 20);
    Ring rings[2] = {{box, 4}, {hole, 4}};
    Rings cover = {rings, with_hole ? 2 : 1};
    *c = (HidingCase){.arena = arena_make(0)};
    assert_true(hiding_make(&cover, 3.0, &c->arena, &c->hiding, &c->err));
}

static double hidden(HidingCase *c, double x0, double y0, double x1, double y1)
{
    return hiding_length_mm(&c->hiding, mm(x0, y0), mm(x1, y1), &c->arena);
}

static void hidden__is_the_inside_less_the_margin(void **state)
{
    (void)state;
    HidingCase c;
    open_case(&c, false);
    assert_true(fabs(hidden(&c, -10, 30, 110, 30) - 94.0) < 1e-6);
    assert_true(fabs(hidden(&c, 50, 30, 50, 200) - 27.0) < 1e-6);
    assert_true(hidden(&c, 0, 2, 100, 2) == 0.0); // inside, but too near to the edge
    assert_true(hidden(&c, -10, 80, 110, 80) == 0.0);
    assert_true(fabs(hidden(&c, 10, 10, 20, 20) - 10.0 * sqrt(2.0)) < 1e-6);
    arena_free(&c.arena);
}

// Beside the corner of a hole the margin is round: at a distance of 2 mm from it, sqrt(9 - 4) mm to both sides.
static void hidden__margin_round_a_hole_has_round_corners(void **state)
{
    (void)state;
    HidingCase c;
    open_case(&c, true);
    assert_true(fabs(hidden(&c, 5, 30, 95, 30) - (90.0 - 26.0)) < 1e-6);
    assert_true(fabs(hidden(&c, 5, 18, 95, 18) - (90.0 - 20.0 - 2.0 * sqrt(5.0))) < 1e-6);
    assert_true(fabs(hidden(&c, 5, 16, 95, 16) - 90.0) < 1e-6);
    arena_free(&c.arena);
}

static void hiding_scan__agrees_with_single_segments(void **state)
{
    (void)state;
    HidingCase c;
    open_case(&c, true);
    Frame frame = {0.8, 0.6};
    double positions[9];
    Turned turned;
    Scan scan;
    for (int i = 0; i < 9; i++) positions[i] = -50.0 + 10.3 * i;
    assert_true(boundary_turn(c.hiding.points, c.hiding.next, c.hiding.count, frame, &c.arena, &turned, &c.err));
    assert_true(hiding_scan(&c.hiding, &turned, LINES_ALONG_U, positions, 9, &c.arena, &scan, &c.err));
    for (int line = 0; line < 9; line++) {
        double sum = 0.0;
        for (int i = scan.first[line]; i < scan.first[line + 1]; i += 2) sum += scan.items[i + 1].at - scan.items[i].at;
        Point a = frame_to_plane(frame, -300.0, positions[line]), b = frame_to_plane(frame, 300.0, positions[line]);
        assert_true(fabs(sum - hiding_length_mm(&c.hiding, a, b, &c.arena)) < 0.05); // a and b are rounded
    }
    arena_free(&c.arena);
}

static void no_cover__hides_nothing(void **state)
{
    (void)state;
    HidingCase c = {.arena = arena_make(0)};
    Rings none = {0};
    assert_true(hiding_make(&none, 3.0, &c.arena, &c.hiding, &c.err));
    assert_true(hidden(&c, 0, 0, 100, 0) == 0.0);
    arena_free(&c.arena);
}

// Length of the scan's stretches of a line between two positions along it.
static double within(const Scan *scan, int line, double lo, double hi)
{
    double sum = 0.0;
    for (int i = scan->first[line]; i < scan->first[line + 1]; i += 2)
        sum += fmax(0.0, fmin(scan->items[i + 1].at, hi) - fmax(scan->items[i].at, lo));
    return sum;
}

// Jagged stars, one round the box and two that lie partly or wholly elsewhere: inside the box nothing is different.
static void hiding_near__is_the_same_inside_the_box_with_fewer_points(void **state)
{
    (void)state;
    enum { CORNERS = 300, LINES = 60 };
    HidingCase c = {.arena = arena_make(0)};
    Ring rings[3];
    const double middles[3][2] = {{0, 0}, {70, 10}, {400, 0}};
    for (int r = 0; r < 3; r++) {
        rings[r] = (Ring){arena_new(&c.arena, Point, CORNERS), CORNERS};
        Rng rng = rng_make(7 + (uint64_t)r);
        for (int i = 0; i < CORNERS; i++) {
            double turn = 6.283185307179586 * i / CORNERS, radius = (r == 0 ? 200 : 30) * (0.5 + 0.5 * rng_unit(&rng));
            rings[r].points[i] = mm(middles[r][0] + radius * cos(turn), middles[r][1] + radius * sin(turn));
        }
    }
    Rings cover = {rings, 3};
    Box box = {mm(20, -40), mm(110, 60)};
    Hiding near_box;
    assert_true(hiding_make(&cover, 3.0, &c.arena, &c.hiding, &c.err));
    assert_true(hiding_near(&c.hiding, box, &c.arena, &near_box, &c.err));
    assert_true(near_box.count < c.hiding.count / 2);
    static const Frame frames[] = {{1.0, 0.0}, {0.0, 1.0}};
    for (int f = 0; f < 2; f++) {
        double positions[LINES], from = f ? -109.0 : -39.0, lo = f ? -40.0 : 20.0, hi = f ? 60.0 : 110.0;
        for (int i = 0; i < LINES; i++) positions[i] = from + (f ? 88.0 : 98.0) * i / (LINES - 1);
        Turned all, few;
        Scan scan, scan_near;
        assert_true(boundary_turn(c.hiding.points, c.hiding.next, c.hiding.count, frames[f], &c.arena, &all, &c.err));
        assert_true(boundary_turn(near_box.points, near_box.next, near_box.count, frames[f], &c.arena, &few, &c.err));
        assert_true(hiding_scan(&c.hiding, &all, LINES_ALONG_U, positions, LINES, &c.arena, &scan, &c.err));
        assert_true(hiding_scan(&near_box, &few, LINES_ALONG_U, positions, LINES, &c.arena, &scan_near, &c.err));
        for (int i = 0; i < LINES; i++)
            assert_true(fabs(within(&scan, i, lo, hi) - within(&scan_near, i, lo, hi)) < 1e-6);
    }
    arena_free(&c.arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hidden__is_the_inside_less_the_margin),
        cmocka_unit_test(hidden__margin_round_a_hole_has_round_corners),
        cmocka_unit_test(hiding_scan__agrees_with_single_segments),
        cmocka_unit_test(no_cover__hides_nothing),
        cmocka_unit_test(hiding_near__is_the_same_inside_the_box_with_fewer_points),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
