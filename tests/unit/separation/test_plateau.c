// test_plateau.c - what is a thin area of one value, and what only an edge's blend.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "separation/plateau.h"

#include <math.h>
#include <string.h>

#define SIDE_PX 48
#define SAMPLES 8
#define RING_PX 18.0

static const Srgb8 white = {255, 255, 255}, grey = {208, 207, 206}, black = {0, 0, 0};

typedef struct Field {
    Work work;
    Picture picture;
    uint8_t rgba[SIDE_PX * SIDE_PX * 4], label[SIDE_PX * SIDE_PX];
    Palette palette;
} Field;

typedef Srgb8 (*Painter)(double x, double y, double width_px);

static Srgb8 ring(double x, double y, double width_px)
{
    double off = hypot(x - SIDE_PX / 2.0, y - SIDE_PX / 2.0) - RING_PX;
    return fabs(off) < width_px / 2 ? grey : off > 0 ? white : black;
}

static Srgb8 slanted_edge(double x, double y, double slope)
{
    return y - 24.3 > slope * (x - 24.0) ? black : white;
}

// Drawn with a box filter, values rounded to whole `step`s.
static void field_make(Field *f, Painter painter, double parameter, int step, int pixel_px)
{
    memset(f, 0, sizeof *f);
    f->work.scratch = arena_make(0);
    f->picture = (Picture){.width_px = SIDE_PX, .height_px = SIDE_PX, .rgba = f->rgba};
    for (int at = 0; at < SIDE_PX * SIDE_PX; at++) {
        int sum[3] = {0}, x0 = at % SIDE_PX / pixel_px * pixel_px, y0 = at / SIDE_PX / pixel_px * pixel_px;
        for (int k = 0; k < SAMPLES * SAMPLES; k++) {
            Srgb8 c = painter(x0 + pixel_px * (k % SAMPLES + 0.5) / SAMPLES, y0 + pixel_px * (k / SAMPLES + 0.5) / SAMPLES, parameter);
            sum[0] += c.r, sum[1] += c.g, sum[2] += c.b;
        }
        for (int i = 0; i < 3; i++) f->rgba[at * 4 + i] = (uint8_t)((sum[i] / (SAMPLES * SAMPLES) + step / 2) / step * step);
        f->rgba[at * 4 + 3] = 255;
    }
    FlatStats stats;
    Error err;
    assert_true(palette_from_cores(&f->picture, 3.0, &f->work, f->label, &f->palette, &stats, &err));
}

static void add_grey(Field *f)
{
    f->palette.colours[f->palette.count++] = (PaletteColour){grey, lab_from_srgb8(grey), 100};
}

static int labelled_by_plateaus(Field *f)
{
    Error err;
    static uint8_t before[SIDE_PX * SIDE_PX];
    memcpy(before, f->label, sizeof before);
    assert_true(plateaus_find(&f->picture, &f->work, &f->palette, f->label, &err));
    int count = 0;
    for (int i = 0; i < SIDE_PX * SIDE_PX; i++) {
        count += f->label[i] != before[i];
        if (f->label[i] != before[i]) assert_memory_equal(&f->palette.colours[f->label[i] - LABEL_FIRST].colour, &grey, sizeof grey);
    }
    arena_free(&f->work.scratch);
    return count;
}

static void plateau__a_thin_band_of_a_colour_is_its_own_though_a_blend_looks_the_same(void **state)
{
    (void)state;
    static Field f;
    for (double width_px = 2.4; width_px < 3.1; width_px += 0.2) {
        field_make(&f, ring, width_px, 1, 1);
        assert_int_equal(f.palette.count, 2);
        add_grey(&f);
        assert_true(labelled_by_plateaus(&f) > 60); // of a ring of 113 px in length
        assert_int_equal(f.palette.count, 3);
    }
}

static void plateau__makes_a_colour_that_nothing_else_has(void **state)
{
    (void)state;
    static Field f;
    field_make(&f, ring, 2.8, 1, 1);
    assert_true(labelled_by_plateaus(&f) > 60);
    assert_int_equal(f.palette.count, 3);
    assert_memory_equal(&f.palette.colours[2].colour, &grey, sizeof grey);
}

static void plateau__an_edge_of_any_slope_is_none(void **state)
{
    (void)state;
    static Field f;
    static const double slopes[] = {0.0, 0.01, 0.1, 0.3, 0.5, 1.0, 1.5, 2.0, 7.0, 100.0};
    for (size_t i = 0; i < sizeof slopes / sizeof *slopes; i++) {
        field_make(&f, slanted_edge, slopes[i], 1, 1);
        add_grey(&f);
        assert_int_equal(labelled_by_plateaus(&f), 0);
        assert_int_equal(f.palette.count, 3);
    }
}

// Rays that meet in the middle, where several edges blend in one pixel.
static Srgb8 rays(double x, double y, double count)
{
    double dx = x - 24.1, dy = y - 23.7;
    return sin(count * atan2(dy, dx)) > 0.0 ? black : white;
}

static void plateau__blends_of_few_values_are_none(void **state)
{
    (void)state;
    static Field f;
    static const int steps[] = {15, 17, 51, 85}; // divisors of 255
    for (int slope = 1; slope < 40; slope++)
        for (int i = 0; i < 4; i++) {
            field_make(&f, slanted_edge, slope / 20.0, steps[i], 1);
            assert_int_equal(labelled_by_plateaus(&f), 0);
            assert_int_equal(f.palette.count, 2);
        }
    for (int count = 13; count < 24; count++)
        for (int i = 0; i < 4; i++) {
            Error err;
            field_make(&f, rays, count, steps[i], 1);
            int flat_colours = f.palette.count; // of few values some lie in a core
            assert_true(plateaus_find(&f.picture, &f.work, &f.palette, f.label, &err));
            assert_int_equal(f.palette.count, flat_colours);
            arena_free(&f.work.scratch);
        }
    for (int i = 0; i < 4; i++) {
        field_make(&f, ring, 0.0, steps[i], 1);
        assert_int_equal(labelled_by_plateaus(&f), 0);
        assert_int_equal(f.palette.count, 2);
    }
}

static void plateau__pixels_that_were_doubled_are_none(void **state)
{
    (void)state;
    static Field f;
    field_make(&f, ring, 0.0, 1, 2);
    assert_int_equal(labelled_by_plateaus(&f), 0);
    assert_int_equal(f.palette.count, 2);
}

static Srgb8 soft_disc(double x, double y, double width_px)
{
    double off = hypot(x - SIDE_PX / 2.0, y - SIDE_PX / 2.0) - RING_PX;
    double share = fmin(1.0, fmax(0.0, 0.5 + off / width_px));
    uint8_t v = (uint8_t)(255.0 * share + 0.5);
    return (Srgb8){v, v, v};
}

static void plateau__a_soft_edge_has_none(void **state)
{
    (void)state;
    static Field f;
    for (double width_px = 8.0; width_px < 33.0; width_px *= 2.0) {
        field_make(&f, soft_disc, width_px, 1, 1);
        int colours = f.palette.count;
        assert_int_equal(labelled_by_plateaus(&f), 0);
        assert_int_equal(f.palette.count, colours);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plateau__a_thin_band_of_a_colour_is_its_own_though_a_blend_looks_the_same),
        cmocka_unit_test(plateau__makes_a_colour_that_nothing_else_has),
        cmocka_unit_test(plateau__an_edge_of_any_slope_is_none),
        cmocka_unit_test(plateau__blends_of_few_values_are_none),
        cmocka_unit_test(plateau__pixels_that_were_doubled_are_none),
        cmocka_unit_test(plateau__a_soft_edge_has_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
