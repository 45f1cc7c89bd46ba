// test_wedge.c - sharp corners and round ends, drawn with known shares.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "outline/wedge.h"
#include "support/black_on_white.h"

#include <math.h>

#define SIDE 24

typedef BlackOnWhite Drawn;

// With brown as a second colour.
static void draw(Drawn *d, bool (*inside)(double x, double y))
{
    black_on_white(d, SIDE, inside);
    d->colours[1].colour = (Srgb8){165, 121, 57};
    d->separation.colour_count = 2;
}

// A tip of 53 degrees at (11.3, 6.4) that opens downwards.
static bool in_tip(double x, double y)
{
    return y > 6.4 + 2.0 * fabs(x - 11.3);
}

static bool outside_tip(double x, double y)
{
    return !in_tip(x, y);
}

static bool in_round_end(double x, double y)
{
    double dx = x - 11.3, dy = y - 9.4;
    return dx * dx + dy * dy < 2.5 * 2.5 || (y > 9.4 && fabs(dx) < 2.5);
}

static Wedge start_near_tip(void)
{
    // going up the left side, down the right one: black is on the right
    return (Wedge){{11.9, 7.2}, {0.5, -0.8660254}, {0.5144958, 0.8574929}};
}

static void sharp_tip__is_put_to_its_place(void **state)
{
    (void)state;
    Drawn d;
    draw(&d, in_tip);
    Pixels pixels = blend_prepare(&d.picture, &d.separation, false);
    Painting plain = painting_plain();
    Wedge w = start_near_tip();
    assert_int_equal(wedge_fit(&pixels, &plain, 0, 1, &w), WEDGE_SHARP);
    assert_true(fabs(w.at.x - 11.3) < 0.05 && fabs(w.at.y - 6.4) < 0.1);
}

static void notch__is_put_to_its_place_too(void **state)
{
    (void)state;
    Drawn d;
    draw(&d, outside_tip);
    Pixels pixels = blend_prepare(&d.picture, &d.separation, false);
    Painting plain = painting_plain();
    Wedge w = start_near_tip();
    assert_int_equal(wedge_fit(&pixels, &plain, 1, 0, &w), WEDGE_SHARP);
    assert_true(fabs(w.at.x - 11.3) < 0.05 && fabs(w.at.y - 6.4) < 0.1);
}

static void round_end__is_no_corner(void **state)
{
    (void)state;
    Drawn d;
    draw(&d, in_round_end);
    Pixels pixels = blend_prepare(&d.picture, &d.separation, false);
    Painting plain = painting_plain();
    Wedge w = {{11.3, 6.5}, {0.5, -0.8660254}, {0.5, 0.8660254}};
    assert_int_equal(wedge_fit(&pixels, &plain, 0, 1, &w), WEDGE_NOT_SHARP);
}

static void foreign_colours__tell_nothing(void **state)
{
    (void)state;
    Drawn d;
    draw(&d, in_tip);
    for (int i = 0; i < SIDE * SIDE; i++) d.rgba[4 * i] = 200, d.rgba[4 * i + 1] = 20, d.rgba[4 * i + 2] = 220;
    Pixels pixels = blend_prepare(&d.picture, &d.separation, false);
    Painting plain = painting_plain();
    Wedge w = start_near_tip();
    assert_int_equal(wedge_fit(&pixels, &plain, 0, 1, &w), WEDGE_UNKNOWN);
}

// Black over the edge of brown, both of the same share: brown shines through by share (1 - share).
static void colour_that_shines_through__is_shared(void **state)
{
    (void)state;
    Drawn d;
    draw(&d, in_tip);
    const double share = 0.5, through = share * (1 - share), white = (1 - share) * (1 - share);
    const double brown[3] = {165, 121, 57};
    for (int c = 0; c < 3; c++) d.rgba[c] = (uint8_t)lround(through * brown[c] + white * 255);
    Pixels pixels = blend_prepare(&d.picture, &d.separation, false);
    Painting plain = painting_plain();
    double of_black;
    assert_true(subpixel_coverage(&pixels, &plain, 0, 1, 0, 0, &of_black));
    assert_true(fabs(of_black - (share + through / 2)) < 0.02);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sharp_tip__is_put_to_its_place), cmocka_unit_test(notch__is_put_to_its_place_too),
        cmocka_unit_test(round_end__is_no_corner),        cmocka_unit_test(foreign_colours__tell_nothing),
        cmocka_unit_test(colour_that_shines_through__is_shared),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
