// test_outline.c - small pictures whose outlines are known.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "outline/arcs.h"
#include "outline/outline.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SIDE 120

typedef struct Case {
    Arena keep;
    Work work;
    Picture picture;
    Separation separation;
    OutlineOptions options;
} Case;

// A picture with coverage(x, y) of black on transparent, by 16 x 16 samples a pixel.
static Case draw(bool (*inside)(double x, double y))
{
    Case c = {.keep = arena_make(0), .work = {.scratch = arena_make(0)}, .options = outline_defaults()};
    c.picture = (Picture){.width_px = SIDE, .height_px = SIDE, .rgba = arena_new(&c.keep, uint8_t, 4 * SIDE * SIDE)};
    c.separation = (Separation){.width_px = SIDE, .height_px = SIDE, .colour_count = 1};
    c.separation.label = arena_new(&c.keep, uint8_t, SIDE * SIDE);
    c.separation.colours = arena_new(&c.keep, SeparationColour, 1);
    for (int i = 0; i < SIDE * SIDE; i++) {
        int hits = 0;
        for (int k = 0; k < 256; k++) hits += inside(i % SIDE + (k % 16 + 0.5) / 16, i / SIDE + (k / 16 + 0.5) / 16);
        c.picture.rgba[4 * i + 3] = (uint8_t)((hits * 255 + 128) / 256);
        c.separation.label[i] = hits >= 128;
    }
    return c;
}

static void free_case(Case *c)
{
    arena_free(&c->keep);
    arena_free(&c->work.scratch);
}

static Outlines outline_of(Case *c, double height_mm)
{
    Outlines o;
    Error err = {0};
    c->options.figure_height_mm = height_mm;
    assert_true(outline_make(&c->picture, &c->separation, &c->options, &c->keep, &c->work, &o, &err));
    return o;
}

static bool in_circle(double x, double y)
{
    return (x - 60.3) * (x - 60.3) + (y - 59.8) * (y - 59.8) < 40.0 * 40.0;
}

static bool in_square(double x, double y)
{
    return x > 20.3 && x < 90.3 && y > 30.6 && y < 100.6;
}

static bool in_diamond(double x, double y)
{
    return fabs(x - 60.2) + fabs(y - 60.1) < 45.0;
}

static bool in_tilted_square(double x, double y)
{
    double u = 0.96 * (x - 60) + 0.28 * (y - 60), v = -0.28 * (x - 60) + 0.96 * (y - 60);
    return fabs(u) < 35 && fabs(v) < 35;
}

static void outline_make__circle_is_round_and_has_its_area(void **state)
{
    (void)state;
    Case c = draw(in_circle);
    Outlines o = outline_of(&c, 80.0);
    assert_int_equal(o.region_count, 2);
    assert_true(fabs(o.mm_per_px - 1.0) < 0.01);
    double area_px = o.regions[1].area_mm2 / (o.mm_per_px * o.mm_per_px);
    assert_true(fabs(area_px - 3.14159265 * 1600) < 0.05 * 251); // 0.05 px over its length
    assert_true(o.curve_count <= 12);
    const Chain *chain = &o.chains.items[0];
    for (int i = 0; i < chain->point_count; i++) {
        double x = chain->points[i].x / 1000.0 / o.mm_per_px + o.origin_px[0] - 60.3;
        double y = chain->points[i].y / 1000.0 / o.mm_per_px + o.origin_px[1] - 59.8;
        assert_true(fabs(sqrt(x * x + y * y) - 40.0) < 0.3);
    }
    free_case(&c);
}

static void check_four_corners(bool (*inside)(double, double), const double corners[8])
{
    Case c = draw(inside);
    Outlines o = outline_of(&c, 100.0);
    assert_int_equal(o.arc_count, 1);
    const Chain *chain = &o.chains.items[0];
    for (int k = 0; k < 4; k++) {
        double least = INFINITY;
        for (int i = 0; i < chain->point_count; i++) {
            double x = chain->points[i].x / 1000.0 / o.mm_per_px + o.origin_px[0] - corners[2 * k];
            double y = chain->points[i].y / 1000.0 / o.mm_per_px + o.origin_px[1] - corners[2 * k + 1];
            least = fmin(least, sqrt(x * x + y * y));
        }
        assert_true(least < 0.15);
    }
    assert_in_range(o.curve_count, 4, 8);
    for (int i = 0; i < chain->curve_count; i++) assert_true(chain->curves[i].is_line);
    free_case(&c);
}

static void outline_make__square_between_pixels_has_sharp_corners_and_lines(void **state)
{
    (void)state;
    check_four_corners(in_square, (double[]){20.3, 30.6, 90.3, 30.6, 90.3, 100.6, 20.3, 100.6});
}

static void outline_make__tilted_square_has_sharp_corners_and_lines(void **state)
{
    (void)state;
    double a = 35 * 0.96 - 35 * 0.28, b = 35 * 0.28 + 35 * 0.96;
    check_four_corners(in_tilted_square, (double[]){60 + a, 60 + b, 60 - b, 60 + a, 60 - a, 60 - b, 60 + b, 60 - a});
}

static void outline_make__edges_at_45_degrees_are_straight(void **state)
{
    (void)state;
    check_four_corners(in_diamond, (double[]){60.2, 15.1, 105.2, 60.1, 60.2, 105.1, 15.2, 60.1});
}

static double along(double value, double from, double to)
{
    return value < from ? from - value : value > to ? value - to : 0.0;
}

// A box with corners rounded by 8 px.
static bool in_rounded_box(double x, double y)
{
    return hypot(along(x, 38.3, 82.3), along(y, 40.7, 72.7)) < 8.0;
}

// Where a straight side goes over into a round one there is no corner.
static void outline_make__rounded_box_has_no_kink(void **state)
{
    (void)state;
    Case c = draw(in_rounded_box);
    Outlines o = outline_of(&c, 48.0);
    const Chain *chain = &o.chains.items[0];
    for (int i = 0; i < chain->curve_count; i++) {
        const Curve *a = &chain->curves[i], *b = &chain->curves[(i + 1) % chain->curve_count];
        Point in = a->is_line ? a->p0 : a->p2, out = b->is_line ? b->p3 : b->p1;
        double ux = a->p3.x - in.x, uy = a->p3.y - in.y, vx = out.x - b->p0.x, vy = out.y - b->p0.y;
        assert_true(ux * vx + uy * vy > 0.97 * hypot(ux, uy) * hypot(vx, vy)); // 14 degrees
    }
    free_case(&c);
}

static void outline_make__hard_edged_circle_has_no_stairs(void **state)
{
    (void)state;
    Case c = draw(in_circle);
    c.separation.hard_edged = true;
    for (int i = 0; i < SIDE * SIDE; i++) c.picture.rgba[4 * i + 3] = c.separation.label[i] ? 255 : 0;
    Outlines o = outline_of(&c, 80.0);
    assert_true(o.curve_count <= 16);
    double area_px = o.regions[1].area_mm2 / (o.mm_per_px * o.mm_per_px);
    assert_true(fabs(area_px - 3.14159265 * 1600) < 0.2 * 251);
    free_case(&c);
}

static void outline_make__box_is_the_asked_height_at_the_offset(void **state)
{
    (void)state;
    Case c = draw(in_circle);
    c.options.offset_mm = 12.5;
    Outlines o = outline_of(&c, 333.3);
    Box box = area_box(&o.chains, &o.regions[1].area);
    assert_int_equal(box.min.x, 12500);
    assert_int_equal(box.min.y, 12500);
    assert_int_equal(box.max.y, 12500 + 333300);
    assert_true(abs(box.max.x - (int)lround(12500 + o.width_mm * 1000)) <= 1);
    free_case(&c);
}

static void refused(double height_mm, double offset_mm, const char *part)
{
    Case c = draw(in_circle);
    Outlines o;
    Error err = {0};
    c.options.figure_height_mm = height_mm;
    c.options.offset_mm = offset_mm;
    assert_false(outline_make(&c.picture, &c.separation, &c.options, &c.keep, &c.work, &o, &err));
    assert_int_equal(err.kind, ERROR_JOB);
    assert_non_null(strstr(err.text, part));
    assert_null(o.arcs);
    free_case(&c);
}

static void outline_make__impossible_sizes_are_refused_in_words(void **state)
{
    (void)state;
    refused(0.0, 0.0, "more than 0");
    refused(NAN, 0.0, "more than 0");
    refused(100.0, -1.0, "border");
    refused(0.01, 0.0, "a pixel would be");
    refused(1e6, 0.0, "is the most");
}

static bool nowhere(double x, double y)
{
    return x < 0 && y < 0;
}

static void outline_make__nothing_but_ground_is_refused(void **state)
{
    (void)state;
    Case c = draw(nowhere);
    Outlines o;
    Error err = {0};
    assert_false(outline_make(&c.picture, &c.separation, &c.options, &c.keep, &c.work, &o, &err));
    assert_int_equal(err.kind, ERROR_JOB);
    free_case(&c);
}

static CrackMap cracks(const char *rows, int width, int height, Arena *keep)
{
    uint8_t label[64];
    Work work = {.scratch = arena_make(0)};
    Error err;
    CrackMap map;
    for (int i = 0; i < width * height; i++) label[i] = (uint8_t)(rows[i] - '0');
    assert_true(arcs_find(label, width, height, keep, &work, &map, &err));
    arena_free(&work.scratch);
    return map;
}

static void arcs_find__checkerboard_meets_in_one_node(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    CrackMap map = cracks("1001", 2, 2, &keep);
    assert_int_equal(map.region_count, 3);
    assert_int_equal(map.node_count, 1);
    assert_int_equal(map.arc_count, 2);
    arena_free(&keep);
}

static void arcs_find__enclosed_ground_is_a_region_of_its_own(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    CrackMap map = cracks("111101111", 3, 3, &keep);
    assert_int_equal(map.region_count, 3);
    assert_int_equal(map.regions[2].label, 0);
    assert_int_equal(map.regions[2].area_px, 1);
    assert_int_equal(map.arc_count, 2);
    assert_true(map.arcs[0].is_loop && map.arcs[1].is_loop);
    arena_free(&keep);
}

static void arcs_find__ground_at_the_bottom_edge_is_outside(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    CrackMap map = cracks("111101", 3, 2, &keep);
    assert_int_equal(map.region_count, 2);
    arena_free(&keep);
}

static void arcs_find__right_side_of_an_arc_is_clockwise_inside(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    CrackMap map = cracks("000010000", 3, 3, &keep);
    assert_int_equal(map.arc_count, 1);
    assert_int_equal(map.arcs[0].right, 1); // it starts at the top left corner towards the right
    assert_int_equal(map.arcs[0].left, 0);
    assert_int_equal(map.corner_count, 4);
    arena_free(&keep);
}

static void outline_make__carries_pen_details_as_copies(void **state)
{
    (void)state;
    Case c = draw(in_circle);
    double first[] = {50, 50, 52, 50, 52, 52, 50, 52}, second[] = {60, 61, 63, 61, 63, 62, 60, 62};
    PenDetail details[] = {{{1, 2, 3}, first, 4}, {{4, 5, 6}, second, 4}};
    c.separation.pen_details = details;
    c.separation.pen_detail_count = 2;
    Outlines o = outline_of(&c, 800);
    assert_int_equal(o.pen_detail_count, 2);
    for (int i = 0; i < 2; i++) {
        assert_int_equal(o.pen_details[i].point_count, 4);
        assert_memory_equal(&o.pen_details[i].colour, &details[i].colour, sizeof(Srgb8));
        assert_memory_equal(o.pen_details[i].xy_px, details[i].xy_px, sizeof first);
        assert_ptr_not_equal(o.pen_details[i].xy_px, details[i].xy_px);
    }
    free_case(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(outline_make__circle_is_round_and_has_its_area),
        cmocka_unit_test(outline_make__square_between_pixels_has_sharp_corners_and_lines),
        cmocka_unit_test(outline_make__tilted_square_has_sharp_corners_and_lines),
        cmocka_unit_test(outline_make__edges_at_45_degrees_are_straight),
        cmocka_unit_test(outline_make__rounded_box_has_no_kink),
        cmocka_unit_test(outline_make__hard_edged_circle_has_no_stairs),
        cmocka_unit_test(outline_make__box_is_the_asked_height_at_the_offset),
        cmocka_unit_test(outline_make__impossible_sizes_are_refused_in_words),
        cmocka_unit_test(outline_make__nothing_but_ground_is_refused),
        cmocka_unit_test(arcs_find__checkerboard_meets_in_one_node),
        cmocka_unit_test(arcs_find__enclosed_ground_is_a_region_of_its_own),
        cmocka_unit_test(arcs_find__ground_at_the_bottom_edge_is_outside),
        cmocka_unit_test(arcs_find__right_side_of_an_arc_is_clockwise_inside),
        cmocka_unit_test(outline_make__carries_pen_details_as_copies),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
