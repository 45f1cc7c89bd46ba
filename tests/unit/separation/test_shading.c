// test_shading.c - shadows and gradients are seen, edges of every slope and noise are not.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "separation/shading.h"

#include <math.h>
#include <string.h>

#define SIDE_PX 200
#define SAMPLES 8

typedef struct Field { Work work; Picture picture; uint8_t rgba[SIDE_PX * SIDE_PX * 4]; Shading found; } Field;

static void field_make(Field *f)
{
    memset(f, 0, sizeof *f);
    f->work.scratch = arena_make(0);
    f->picture = (Picture){.width_px = SIDE_PX, .height_px = SIDE_PX, .rgba = f->rgba};
    memset(f->rgba, 255, sizeof f->rgba);
}

static void put(Field *f, int x, int y, double lightness)
{
    memset(f->rgba + (y * SIDE_PX + x) * 4, (int)(lightness + 0.5), 3);
}

static bool speaks(Field *f, bool is_noisy)
{
    Error err;
    assert_true(shading_find(&f->picture, is_noisy, &f->work, &f->found, &err));
    bool does = f->found.ramp_count > 0;
    arena_free(&f->work.scratch);
    return does;
}

// A disc's shadow: its edge rises over `blur_px` to each side as a smooth step does.
static double shadow(double x, double y, double blur_px)
{
    double t = (hypot(x - 120, y - 90) - 40) / blur_px;
    t = t < -1 ? -1 : t > 1 ? 1 : t;
    return (1 - t * (3 - t * t) / 2) / 2;
}

static void shading__a_shadow_of_any_softness_is_seen_where_it_is(void **state)
{
    (void)state;
    static Field f;
    for (double blur_px = 4; blur_px < 40; blur_px *= 2)
        for (int in_alpha = 0; in_alpha < 2; in_alpha++) {
            field_make(&f);
            for (int i = 0; i < SIDE_PX * SIDE_PX; i++) {
                double dark = 0.6 * shadow(i % SIDE_PX + 0.5, i / SIDE_PX + 0.5, blur_px);
                if (in_alpha) memset(f.rgba + i * 4, 0, 3), f.rgba[i * 4 + 3] = (uint8_t)(255 * dark);
                else put(&f, i % SIDE_PX, i / SIDE_PX, 255 * (1 - dark));
            }
            assert_true(speaks(&f, false));
            double off = hypot(f.found.at_px[0] - 120, f.found.at_px[1] - 90);
            assert_true(fabs(off - 40) < blur_px);
        }
}

static void shading__a_gradient_is_seen_in_either_direction(void **state)
{
    (void)state;
    static Field f;
    for (int down = 0; down < 2; down++) {
        field_make(&f);
        for (int y = 60; y < 140; y++)
            for (int x = 60; x < 140; x++) put(&f, x, y, 100 + (down ? y : x) - 60);
        assert_true(speaks(&f, false));
        assert_true(f.found.box_px[0] >= 60 && f.found.box_px[1] >= 60 && f.found.box_px[2] <= 140 && f.found.box_px[3] <= 140);
    }
}

static void shading__an_edge_of_any_slope_is_none(void **state)
{
    (void)state;
    static Field f;
    static const double slopes[] = {0.0, 0.005, 0.02, 0.05, 0.1, 0.3, 0.7, 1.0, 2.0, 5.0, 20.0};
    for (size_t i = 0; i < sizeof slopes / sizeof *slopes; i++)
        for (int contrast = 255; contrast > 30; contrast /= 2) {
            field_make(&f);
            for (int at = 0; at < SIDE_PX * SIDE_PX; at++) {
                int in = 0;
                for (int k = 0; k < SAMPLES * SAMPLES; k++) {
                    double x = at % SIDE_PX + (k % SAMPLES + 0.5) / SAMPLES, y = at / SIDE_PX + (k / SAMPLES + 0.5) / SAMPLES;
                    in += y - 100.3 > slopes[i] * (x - 100);
                }
                put(&f, at % SIDE_PX, at / SIDE_PX, 255.0 - contrast * in / (double)(SAMPLES * SAMPLES));
            }
            assert_false(speaks(&f, false));
        }
}

static void shading__compression_noise_is_none_and_hides_none(void **state)
{
    (void)state;
    static Field f;
    for (uint64_t seed = 1; seed <= 10; seed++)
        for (int is_soft = 0; is_soft < 2; is_soft++) {
            Rng rng = rng_make(seed);
            field_make(&f);
            for (int i = 0; i < SIDE_PX * SIDE_PX; i++) {
                double x = i % SIDE_PX + 0.5, y = i / SIDE_PX + 0.5;
                double dark = is_soft ? shadow(x, y, 16) : shadow(x, y, 0.5);
                put(&f, i % SIDE_PX, i / SIDE_PX, 250 - 150 * dark + (int)rng_below(&rng, 3));
            }
            assert_int_equal(speaks(&f, true), is_soft);
        }
}

static void shading__a_picture_that_was_blurred_as_a_whole_has_none(void **state)
{
    (void)state;
    static Field f;
    field_make(&f);
    for (int i = 0; i < SIDE_PX * SIDE_PX; i++) {
        double x = i % SIDE_PX + 0.5, y = i / SIDE_PX + 0.5;
        put(&f, i % SIDE_PX, i / SIDE_PX, 255 - 240 * shadow(x, y, 3.5) - 15 * shadow(x - 60, y, 5));
    }
    assert_false(speaks(&f, false));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shading__a_shadow_of_any_softness_is_seen_where_it_is),
        cmocka_unit_test(shading__a_gradient_is_seen_in_either_direction),
        cmocka_unit_test(shading__an_edge_of_any_slope_is_none),
        cmocka_unit_test(shading__a_picture_that_was_blurred_as_a_whole_has_none),
        cmocka_unit_test(shading__compression_noise_is_none_and_hides_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
