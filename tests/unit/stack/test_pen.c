// test_pen.c - details drawn by pen: from pixels to smooth strokes on the layer that is seen there.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "stack/stack.h"
#include "support/grid_map.h"
#include "support/paper_case.h"

#include <math.h>
#include <string.h>

// A disc of `radius` pixels as the outline of its pixels, on pixel corners, clockwise on screen.
static PenDetail disc(double cx, double cy, int radius, Arena *keep)
{
    PenDetail detail = {.colour = {200, 30, 40}, .xy_px = arena_new(keep, double, 8 * (2 * radius + 2))};
    int half[64];
    for (int row = 0; row < 2 * radius; row++) {
        double y = row + 0.5 - radius;
        half[row] = (int)floor(sqrt(radius * radius - y * y) + 0.5);
    }
    for (int side = 0; side < 2; side++)
        for (int i = 0; i < 2 * radius; i++)
            for (int end = 0; end < 2; end++) { // down the right side, up the left one
                int row = side ? 2 * radius - 1 - i : i, x = side ? -half[row] : half[row];
                int y = side ? row + 1 - end : row + end;
                detail.xy_px[2 * detail.point_count] = cx + x;
                detail.xy_px[2 * detail.point_count++ + 1] = cy + y - radius;
            }
    return detail;
}

static Stack stack_with(PaperCase *test, PenDetail *details, int count)
{
    static const char *lines[] = {"11111", "12221", "12221", "11111"};
    Outlines outlines = grid_map(lines, 4, 20.0, 0.0, &test->keep);
    outlines.mm_per_px = 0.5;
    outlines.origin_px[0] = outlines.origin_px[1] = 0.0;
    outlines.pen_details = details;
    outlines.pen_detail_count = count;
    StackOptions options = stack_defaults();
    Stack stack;
    must(test, stack_make(&outlines, &options, &test->keep, &test->work, &stack, &test->err));
    return stack;
}

static void pen__a_disc_of_pixels_becomes_round(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    PenDetail detail = disc(100.0, 80.0, 6, &test.keep);
    Stack stack = stack_with(&test, &detail, 1);
    assert_int_equal(stack.pen_stroke_count, 1);
    const PenStroke *stroke = &stack.pen_strokes[0];
    assert_int_equal(stroke->layer, 1); // the middle of the picture is colour 2
    assert_int_equal(stroke->colour.r, 200);
    Ring ring = {stroke->points, stroke->point_count};
    assert_true(ring_is_simple(&ring));
    for (int i = 0; i < ring.count; i++) {
        double radius = hypot(ring.points[i].x / UM_PER_MM - 50.0, ring.points[i].y / UM_PER_MM - 40.0);
        assert_true(fabs(radius - 3.0) < 0.4); // 6 px of 0.5 mm; stairs are half a pixel of it
        Point a = ring.points[(i + ring.count - 1) % ring.count], b = ring.points[i],
              c = ring.points[(i + 1) % ring.count];
        double ux = (double)b.x - a.x, uy = (double)b.y - a.y, vx = (double)c.x - b.x, vy = (double)c.y - b.y;
        assert_true(ux * vx + uy * vy > 0.7 * sqrt((ux * ux + uy * uy) * (vx * vx + vy * vy))); // no stairs
    }
    paper_case_close(&test);
}

static void pen__each_stroke_knows_what_lies_on_top(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    PenDetail details[2] = {disc(20.0, 20.0, 4, &test.keep), disc(100.0, 80.0, 4, &test.keep)};
    Stack stack = stack_with(&test, details, 2);
    assert_int_equal(stack.pen_stroke_count, 2);
    assert_int_equal(stack.pen_strokes[0].layer, 0);
    assert_int_equal(stack.pen_strokes[1].layer, 1);
    paper_case_close(&test);
}

static void pen__across_an_edge_is_for_both_layers(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    PenDetail detail = disc(40.0, 80.0, 4, &test.keep); // 2 begins at 20 mm
    Stack stack = stack_with(&test, &detail, 1);
    assert_int_equal(stack.pen_stroke_count, 2);
    assert_int_equal(stack.pen_strokes[0].layer, 0);
    assert_int_equal(stack.pen_strokes[1].layer, 1);
    assert_ptr_equal(stack.pen_strokes[0].points, stack.pen_strokes[1].points);
    paper_case_close(&test);
}

static void pen__a_single_pixel_is_a_stroke(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    double xy[] = {50.0, 50.0, 51.0, 50.0, 51.0, 51.0, 50.0, 51.0};
    PenDetail detail = {.xy_px = xy, .point_count = 4};
    Stack stack = stack_with(&test, &detail, 1);
    assert_int_equal(stack.pen_stroke_count, 1);
    assert_true(stack.pen_strokes[0].point_count >= 3);
    paper_case_close(&test);
}

static void pen__off_the_paper_is_told(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    PenDetail details[2] = {disc(500.0, 20.0, 4, &test.keep), {.point_count = 0}};
    Stack stack = stack_with(&test, details, 2);
    assert_int_equal(stack.pen_stroke_count, 0);
    assert_int_equal(stack.findings.count, 2);
    assert_string_equal(stack.findings.items[0].kind, "edit-not-kept");
    assert_int_equal(strncmp(stack.findings.items[0].text, "a tiny part of #c81e28", 22), 0);
    paper_case_close(&test);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pen__a_disc_of_pixels_becomes_round),
        cmocka_unit_test(pen__each_stroke_knows_what_lies_on_top),
        cmocka_unit_test(pen__across_an_edge_is_for_both_layers),
        cmocka_unit_test(pen__a_single_pixel_is_a_stroke),
        cmocka_unit_test(pen__off_the_paper_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
