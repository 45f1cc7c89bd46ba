// test_painting.c - edges that were painted in known ways come out where they were drawn.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "outline/subpixel.h"
#include "separation/colour.h"

#include <math.h>
#include <string.h>

#define SIDE 120
#define RADIUS 40.0
#define MIDDLE_X 60.3
#define MIDDLE_Y 59.8

static const double white[3] = {255, 255, 255}, black[3] = {0, 0, 0}, brown[3] = {165, 121, 57};

typedef struct Scene {
    Arena keep;
    Work work;
    Picture picture;
    Separation separation;
    CrackMap map;
} Scene;

typedef void (*Paint)(double coverage, int x, double out[3]);
typedef bool (*Inside)(double x, double y);

static bool in_circle(double x, double y)
{
    return (x - MIDDLE_X) * (x - MIDDLE_X) + (y - MIDDLE_Y) * (y - MIDDLE_Y) < RADIUS * RADIUS;
}

static bool in_upright_square(double x, double y)
{
    return x > 20.3 && x < 90.3 && y > 30.6 && y < 100.6;
}

static void over(const double colour[3], double coverage, double at[3])
{
    for (int k = 0; k < 3; k++) at[k] += (colour[k] - at[k]) * coverage;
}

static double distance2(const double a[3], const double b[3])
{
    double sum = 0;
    for (int k = 0; k < 3; k++) sum += (a[k] - b[k]) * (a[k] - b[k]);
    return sum;
}

// Labels 1 black and 2 brown; white is ground. A pixel has the label of the nearer of `inner` and `outer`.
static Scene draw(Inside inside, Paint paint, int inner, int outer)
{
    Scene s = {.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    const double *colours[3] = {white, black, brown};
    s.picture = (Picture){.width_px = SIDE, .height_px = SIDE, .rgba = arena_new(&s.keep, uint8_t, 4 * SIDE * SIDE)};
    s.separation = (Separation){.width_px = SIDE, .height_px = SIDE, .colour_count = 2, .has_ground_colour = true,
                                .ground_colour = {255, 255, 255}};
    s.separation.label = arena_new(&s.keep, uint8_t, SIDE * SIDE);
    s.separation.colours = arena_new(&s.keep, SeparationColour, 2);
    s.separation.colours[0].colour = (Srgb8){0, 0, 0};
    s.separation.colours[1].colour = (Srgb8){165, 121, 57};
    for (int i = 0; i < SIDE * SIDE; i++) {
        int hits = 0;
        double rgb[3];
        for (int k = 0; k < 256; k++) hits += inside(i % SIDE + (k % 16 + 0.5) / 16, i / SIDE + (k / 16 + 0.5) / 16);
        paint(hits / 256.0, i % SIDE, rgb);
        for (int k = 0; k < 3; k++) s.picture.rgba[4 * i + k] = (uint8_t)lround(rgb[k]);
        s.picture.rgba[4 * i + 3] = 255;
        s.separation.label[i] = (uint8_t)(distance2(rgb, colours[inner]) <= distance2(rgb, colours[outer]) ? inner : outer);
    }
    Error err = {0};
    assert_true(arcs_find(s.separation.label, SIDE, SIDE, &s.keep, &s.work, &s.map, &err));
    return s;
}

static void free_scene(Scene *s)
{
    arena_free(&s->keep);
    arena_free(&s->work.scratch);
}

// The loop round the circle: the one arc that is not the picture's frame.
static const CrackArc *circle_arc(const Scene *s)
{
    for (int i = 0; i < s->map.arc_count; i++)
        if (s->map.arcs[i].left && s->map.arcs[i].right) return &s->map.arcs[i];
    return &s->map.arcs[0];
}

static Pixels chosen_pixels(Scene *s)
{
    Pixels pixels;
    Error err = {0};
    assert_true(painting_choose_pixels(&s->picture, &s->separation, &s->map, &s->work, &pixels, &err));
    return pixels;
}

// Mean error of the radius over the points with least_x <= x < most_x.
static double radius_error(Scene *s, double least_x, double most_x)
{
    Pixels pixels = chosen_pixels(s);
    const CrackArc *arc = circle_arc(s);
    ArcPainting painting;
    Error err = {0};
    assert_true(painting_find(&pixels, &s->map, arc, &s->work, &painting, &err));
    Vec *room = arena_new(&s->keep, Vec, arc->count);
    EdgePoint *points = arena_new(&s->keep, EdgePoint, arc->count);
    int count = subpixel_points(&pixels, &painting, &s->map, arc, room, points), used = 0;
    double sum = 0;
    for (int i = 0; i < count; i++) {
        if (points[i].at.x < least_x || points[i].at.x >= most_x) continue;
        double dx = points[i].at.x - MIDDLE_X, dy = points[i].at.y - MIDDLE_Y;
        sum += sqrt(dx * dx + dy * dy) - RADIUS;
        used++;
    }
    assert_true(used > 20);
    return sum / used;
}

static ArcPainting painting_of(Scene *s)
{
    Pixels pixels = blend_prepare(&s->picture, &s->separation, false);
    ArcPainting painting;
    Error err = {0};
    assert_true(painting_find(&pixels, &s->map, circle_arc(s), &s->work, &painting, &err));
    return painting;
}

static void once(double c, int x, double out[3])
{
    (void)x;
    memcpy(out, white, sizeof white);
    over(black, c, out);
}

static void twice(double c, int x, double out[3])
{
    once(c, x, out);
    over(black, c, out);
}

static void thrice(double c, int x, double out[3])
{
    twice(c, x, out);
    over(black, c, out);
}

static void four_times(double c, int x, double out[3])
{
    thrice(c, x, out);
    over(black, c, out);
}

static void outside_twice(double c, int x, double out[3])
{
    (void)x;
    memcpy(out, black, sizeof black);
    over(white, 1 - c, out);
    over(white, 1 - c, out);
}

static void left_half_twice(double c, int x, double out[3])
{
    if (x < 60) twice(c, x, out);
    else once(c, x, out);
}

static void circle_last(double c, int x, double out[3])
{
    (void)x;
    memcpy(out, white, sizeof white);
    over(brown, 1 - c, out);
    over(black, c, out);
}

static void brown_under_left_half(double c, int x, double out[3])
{
    memcpy(out, white, sizeof white);
    if (x < 60) over(brown, c, out);
    over(black, c, out);
}

static void circle_first(double c, int x, double out[3])
{
    (void)x;
    memcpy(out, white, sizeof white);
    over(black, c, out);
    over(brown, 1 - c, out);
}

static void painting_find__edge_painted_once_is_plain(void **state)
{
    (void)state;
    Scene s = draw(in_circle, once, 1, 0);
    ArcPainting p = painting_of(&s);
    Painting plain = painting_plain();
    assert_null(p.ways);
    assert_memory_equal(&p.whole, &plain, sizeof plain);
    assert_true(fabs(radius_error(&s, 0, SIDE)) < 0.01);
    free_scene(&s);
}

static void painting_find__edge_painted_often_is_where_it_was_drawn(void **state)
{
    (void)state;
    // read as plain coverage they are off by 0.17, 0.25, 0.3 and 0.17; 8 bits hardly tell a pixel covered by 0.8 four times from a whole one
    static const struct { Paint paint; double most; } ways[] = {{twice, 0.02}, {thrice, 0.03}, {four_times, 0.07}, {outside_twice, 0.02}};
    for (int i = 0; i < 4; i++) {
        Scene s = draw(in_circle, ways[i].paint, 1, 0);
        assert_true(fabs(radius_error(&s, 0, SIDE)) < ways[i].most);
        free_scene(&s);
    }
}

static void painting_find__way_may_change_along_an_arc(void **state)
{
    (void)state;
    Scene s = draw(in_circle, left_half_twice, 1, 0);
    ArcPainting p = painting_of(&s);
    assert_non_null(p.ways);
    assert_true(fabs(radius_error(&s, 0, 58)) < 0.02);
    assert_true(fabs(radius_error(&s, 62, SIDE)) < 0.02);
    free_scene(&s);
}

static void painting_find__upright_edges_do_not_tell(void **state)
{
    (void)state;
    Scene s = draw(in_upright_square, twice, 1, 0);
    ArcPainting p = painting_of(&s);
    for (int i = 0; p.ways && i < circle_arc(&s)->count; i++) assert_int_equal(p.ways[i], 0);
    assert_int_equal(p.whole.left_times * p.whole.right_times, 1);
    free_scene(&s);
}

static void painting_find__order_of_two_shapes_over_a_third_colour(void **state)
{
    (void)state;
    Scene last = draw(in_circle, circle_last, 1, 2), first = draw(in_circle, circle_first, 1, 2);
    assert_int_equal(painting_of(&last).whole.third_label, 0);
    assert_true(painting_of(&last).whole.last != LAST_UNKNOWN);
    assert_true(painting_of(&first).whole.last != LAST_UNKNOWN);
    assert_true(painting_of(&last).whole.last != painting_of(&first).whole.last);
    assert_true(fabs(radius_error(&last, 0, SIDE)) < 0.02); // half of the third colour to either side: 0.08
    assert_true(fabs(radius_error(&first, 0, SIDE)) < 0.02);
    free_scene(&last);
    free_scene(&first);
}

static void painting_find__colour_under_an_edge_may_change(void **state)
{
    (void)state;
    Scene s = draw(in_circle, brown_under_left_half, 1, 0);
    assert_true(fabs(radius_error(&s, 0, 40)) < 0.02);
    assert_true(fabs(radius_error(&s, 80, SIDE)) < 0.02);
    free_scene(&s);
}

// In proportion to light: the value whose light is the share's.
static void in_light(double c, int x, double out[3])
{
    (void)x;
    int value = 0;
    while (value < 255 && linear_from_srgb8((uint8_t)value) < 1 - c) value++;
    out[0] = out[1] = out[2] = value;
}

static void painting_choose_pixels__edges_blended_in_light_are_read_in_light(void **state)
{
    (void)state;
    Scene s = draw(in_circle, in_light, 1, 0);
    assert_true(chosen_pixels(&s).in_light);
    assert_true(fabs(radius_error(&s, 0, SIDE)) < 0.02);
    free_scene(&s);
}

static void painting_choose_pixels__all_other_edges_are_read_encoded(void **state)
{
    (void)state;
    static const Paint paints[] = {once, twice, thrice, outside_twice, left_half_twice};
    for (int i = 0; i < 5; i++) {
        Scene s = draw(in_circle, paints[i], 1, 0);
        assert_false(chosen_pixels(&s).in_light);
        free_scene(&s);
    }
}

static void painting_find__noisy_pictures_are_plain(void **state)
{
    (void)state;
    Scene s = draw(in_circle, twice, 1, 0);
    s.separation.is_noisy = true;
    assert_null(painting_of(&s).ways);
    free_scene(&s);
}

static void blend_shares__two_sides_of_one_colour_tell_nothing(void **state)
{
    (void)state;
    Scene s = draw(in_circle, once, 1, 0);
    s.separation.colours[0].colour = (Srgb8){255, 255, 255};
    Pixels pixels = blend_prepare(&s.picture, &s.separation, false);
    Blend blend = blend_between(&pixels, 0, 1);
    Shares shares;
    assert_false(blend_shares(&pixels, &blend, -1, 5, 5, &shares));
    free_scene(&s);
}

static void painting_coverage__unknown_order_gives_each_half_with_doubt(void **state)
{
    (void)state;
    Painting plain = painting_plain();
    Shares shares = {.other = 0.5, .third = 0.2, .third_label = 2};
    double doubt;
    assert_true(fabs(painting_coverage(&plain, true, &shares, &doubt) - 0.6) < 1e-12);
    assert_true(fabs(doubt - 0.1) < 1e-12);
}

static void painting_coverage__undoes_what_was_painted(void **state)
{
    (void)state;
    double doubt;
    for (int n = 1; n <= 4; n++)
        for (int i = 0; i <= 10; i++) {
            double c = i / 10.0, left = 1;
            for (int k = 0; k < n; k++) left *= 1 - c;
            Painting right_often = {-1, LAST_UNKNOWN, 1, n};
            Shares of_right = {.other = 1 - left, .third_label = -1}, of_left = {.other = left, .third_label = -1};
            assert_true(fabs(painting_coverage(&right_often, true, &of_right, &doubt) - c) < 1e-6);
            assert_true(fabs(painting_coverage(&right_often, false, &of_left, &doubt) - (1 - c)) < 1e-6);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(painting_find__edge_painted_once_is_plain),
        cmocka_unit_test(painting_find__edge_painted_often_is_where_it_was_drawn),
        cmocka_unit_test(painting_find__way_may_change_along_an_arc),
        cmocka_unit_test(painting_find__upright_edges_do_not_tell),
        cmocka_unit_test(painting_find__order_of_two_shapes_over_a_third_colour),
        cmocka_unit_test(painting_find__colour_under_an_edge_may_change),
        cmocka_unit_test(painting_choose_pixels__edges_blended_in_light_are_read_in_light),
        cmocka_unit_test(painting_choose_pixels__all_other_edges_are_read_encoded),
        cmocka_unit_test(painting_find__noisy_pictures_are_plain),
        cmocka_unit_test(blend_shares__two_sides_of_one_colour_tell_nothing),
        cmocka_unit_test(painting_coverage__unknown_order_gives_each_half_with_doubt),
        cmocka_unit_test(painting_coverage__undoes_what_was_painted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
