// test_node.c - where three colours meet no edge has a nick.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "outline/outline.h"

#include <math.h>

#define SIDE 120
#define RADIUS 34.0
#define MIDDLE 70.0
#define NEAR_PX 8.0     // of the node

typedef struct Scene {
    double slope, height;   // grey lies above the line y = height + slope * (x - MIDDLE), left of a black disc that lies over it
    Arena keep;
    Work work;
    Picture picture;
    Separation separation;
} Scene;

// 0 ground, 1 black, 2 grey.
static int label_at(const Scene *s, double x, double y)
{
    if ((x - MIDDLE) * (x - MIDDLE) + (y - MIDDLE) * (y - MIDDLE) < RADIUS * RADIUS) return 1;
    return x > 6 && x < MIDDLE && y > 6 && y < s->height + s->slope * (x - MIDDLE) ? 2 : 0;
}

// On white, so that a mix of black and white may pass for grey.
static void draw(Scene *s)
{
    static const double values[3] = {255, 0, 208};
    s->keep = arena_make(0);
    s->work = (Work){.scratch = arena_make(0)};
    s->picture = (Picture){.width_px = SIDE, .height_px = SIDE, .rgba = arena_new(&s->keep, uint8_t, 4 * SIDE * SIDE)};
    for (int i = 0; i < SIDE * SIDE; i++) {
        double sum = 0;
        for (int k = 0; k < 256; k++) sum += values[label_at(s, i % SIDE + (k % 16 + 0.5) / 16, i / SIDE + (k / 16 + 0.5) / 16)];
        for (int k = 0; k < 3; k++) s->picture.rgba[4 * i + k] = (uint8_t)lround(sum / 256);
        s->picture.rgba[4 * i + 3] = 255;
    }
    SeparationOptions options = separation_defaults();
    options.figure_height_mm = 40.0;
    Error err = {0};
    assert_true(separation_make(&s->picture, &options, &s->keep, &s->work, &s->separation, &err));
    assert_int_equal(s->separation.colour_count, 2);
}

static double in_px(const Outlines *o, int32_t um, int axis)
{
    return (um / 1000.0 - o->offset_mm) / o->mm_per_px + o->origin_px[axis];
}

// Between grey and ground.
static bool is_grey_edge(const Outlines *o, const Arc *arc)
{
    int a = o->regions[arc->left].label, b = o->regions[arc->right].label, other = a ? a : b;
    return !(a && b) && other && o->colours[other - 1].colour.r > 100;
}

// How far the edge between grey and nothing lies off its line within NEAR_PX of the disc.
static double worst_off(const Scene *s, const Outlines *o)
{
    double worst = 0, length = sqrt(1 + s->slope * s->slope);
    for (int i = 0; i < o->arc_count; i++) {
        if (!is_grey_edge(o, &o->arcs[i])) continue;
        for (int k = 0; k < o->chains.items[i].point_count; k++) {
            Point p = o->chains.items[i].points[k];
            double x = in_px(o, p.x, 0), y = in_px(o, p.y, 1);
            double off_disc = sqrt((x - MIDDLE) * (x - MIDDLE) + (y - MIDDLE) * (y - MIDDLE)) - RADIUS;
            if (off_disc > NEAR_PX || y < MIDDLE - RADIUS) continue;
            worst = fmax(worst, fabs(y - s->height - s->slope * (x - MIDDLE)) / length);
        }
    }
    return worst;
}

static void outline_make__inner_edge_comes_straight_to_its_node(void **state)
{
    (void)state;
    double worst = 0;
    for (int k = 0; k < 24; k++) {
        Scene s = {.slope = 0.1 * (k % 6) + 0.07, .height = 74.3 + 2.37 * (k / 6)};
        draw(&s);
        Outlines o;
        Error err = {0};
        OutlineOptions options = outline_defaults();
        options.figure_height_mm = 40.0;
        assert_true(outline_make(&s.picture, &s.separation, &options, &s.keep, &s.work, &o, &err));
        worst = fmax(worst, worst_off(&s, &o));
        arena_free(&s.keep);
        arena_free(&s.work.scratch);
    }
    assert_true(worst < 0.2); // with the mixed pixels beside the node: 0.38
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(outline_make__inner_edge_comes_straight_to_its_node)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
