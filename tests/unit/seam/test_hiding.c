// A cover of 100 x 60 mm with a margin of 3 mm; lengths are worked out by hand.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hidden__is_the_inside_less_the_margin),
        cmocka_unit_test(hidden__margin_round_a_hole_has_round_corners),
        cmocka_unit_test(hiding_scan__agrees_with_single_segments),
        cmocka_unit_test(no_cover__hides_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
