// test_right_angle.c - edges without blends: what was drawn square stays square, what was drawn round gets no stairs.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "outline/outline.h"

#include <math.h>

#define SIDE 120

typedef struct Case {
    Arena keep;
    Work work;
    Picture picture;
    Separation separation;
    Outlines outlines;
} Case;

// A pixel is black where its middle, in pixels `own` times as large, lies inside.
static Case trace(bool (*inside)(double x, double y), int own)
{
    Case c = {.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    c.picture = (Picture){.width_px = SIDE, .height_px = SIDE, .rgba = arena_new(&c.keep, uint8_t, 4 * SIDE * SIDE)};
    c.separation = (Separation){.width_px = SIDE, .height_px = SIDE, .colour_count = 1, .hard_edged = true};
    c.separation.label = arena_new(&c.keep, uint8_t, SIDE * SIDE);
    c.separation.colours = arena_new(&c.keep, SeparationColour, 1);
    int y0 = SIDE, y1 = 0;
    for (int i = 0; i < SIDE * SIDE; i++) {
        int x = i % SIDE / own, y = i / SIDE / own;
        c.separation.label[i] = inside(x + 0.5, y + 0.5);
        c.picture.rgba[4 * i + 3] = c.separation.label[i] ? 255 : 0;
        if (!c.separation.label[i]) continue;
        y0 = i / SIDE < y0 ? i / SIDE : y0;
        y1 = i / SIDE + 1;
    }
    OutlineOptions options = outline_defaults();
    options.figure_height_mm = y1 - y0; // 1 mm a pixel
    Error err = {0};
    assert_true(outline_make(&c.picture, &c.separation, &options, &c.keep, &c.work, &c.outlines, &err));
    return c;
}

static void drop(Case *c)
{
    arena_free(&c->keep);
    arena_free(&c->work.scratch);
}

// All curves of the first arc are lines, as many as told, and all their ends lie on whole pixels.
static void check_square(const Case *c, int lines)
{
    const Chain *chain = &c->outlines.chains.items[0];
    int count = 0;
    for (int i = 0; i < chain->curve_count; i++) {
        assert_true(chain->curves[i].is_line);
        Point a = chain->curves[i].p0, b = chain->curves[i].p3;
        assert_true(a.x == b.x || a.y == b.y);
        assert_int_equal(a.x % 1000, 0);
        assert_int_equal(a.y % 1000, 0);
        count++;
    }
    assert_int_equal(count, lines);
}

static bool in_small_square(double x, double y)
{
    return x > 40 && x < 47 && y > 50 && y < 57;
}

static bool in_plus(double x, double y)
{
    return (x > 40 && x < 55 && y > 50 && y < 55) || (x > 45 && x < 50 && y > 45 && y < 60);
}

static bool in_thin_bar(double x, double y)
{
    return x > 20 && x < 22 && y > 30 && y < 90;
}

static bool in_disc(double x, double y)
{
    return (x - 20) * (x - 20) + (y - 20) * (y - 20) < 15.3 * 15.3;
}

static bool in_slope(double x, double y)
{
    return y < 40 && y > 10 && y > 10 + x / 3.7; // a slope of few long steps
}

static void right_angles__a_square_of_seven_pixels_is_square(void **state)
{
    (void)state;
    Case c = trace(in_small_square, 1);
    check_square(&c, 4);
    drop(&c);
}

static void right_angles__a_plus_has_its_inner_corners_too(void **state)
{
    (void)state;
    Case c = trace(in_plus, 1);
    check_square(&c, 12);
    drop(&c);
}

static void right_angles__a_bar_of_two_pixels_is_a_rectangle(void **state)
{
    (void)state;
    Case c = trace(in_thin_bar, 1);
    check_square(&c, 4);
    drop(&c);
}

static void right_angles__a_disc_has_none(void **state)
{
    (void)state;
    Case c = trace(in_disc, 1);
    const Chain *chain = &c.outlines.chains.items[0];
    assert_true(chain->curve_count <= 16);
    for (int i = 0; i < chain->point_count; i++) {
        double x = chain->points[i].x / 1000.0 / c.outlines.mm_per_px + c.outlines.origin_px[0] - 20;
        double y = chain->points[i].y / 1000.0 / c.outlines.mm_per_px + c.outlines.origin_px[1] - 20;
        assert_true(fabs(hypot(x, y) - 15.3) < 0.7);
    }
    drop(&c);
}

// Twice as large without blending, its staircases are still no corners.
static void right_angles__a_disc_that_was_enlarged_has_none(void **state)
{
    (void)state;
    Case c = trace(in_disc, 2);
    const Chain *chain = &c.outlines.chains.items[0];
    int squares = 0;
    for (int i = 0; i + 1 < chain->curve_count; i++) squares += chain->curves[i].is_line && chain->curves[i + 1].is_line;
    assert_true(squares < chain->curve_count / 2);
    drop(&c);
}

static void right_angles__a_gentle_slope_is_one_line(void **state)
{
    (void)state;
    Case c = trace(in_slope, 1);
    const Chain *chain = &c.outlines.chains.items[0];
    assert_in_range(chain->curve_count, 3, 5);
    drop(&c);
}

// Squares of six pixels are what the eye sees.
static void right_angles__large_squares_of_an_enlarged_picture_stay(void **state)
{
    (void)state;
    Case c = trace(in_disc, 6); // the quarter of the disc that lies in the picture
    check_square(&c, c.outlines.chains.items[0].curve_count);
    assert_true(c.outlines.chains.items[0].curve_count > 12);
    drop(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(right_angles__a_square_of_seven_pixels_is_square),
        cmocka_unit_test(right_angles__a_plus_has_its_inner_corners_too),
        cmocka_unit_test(right_angles__a_bar_of_two_pixels_is_a_rectangle),
        cmocka_unit_test(right_angles__a_disc_has_none),
        cmocka_unit_test(right_angles__a_disc_that_was_enlarged_has_none),
        cmocka_unit_test(right_angles__a_gentle_slope_is_one_line),
        cmocka_unit_test(right_angles__large_squares_of_an_enlarged_picture_stay),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
