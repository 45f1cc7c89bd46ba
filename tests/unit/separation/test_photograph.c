// test_photograph.c - photographs, gradients and shadows are said to be what they are; compression is none of them.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "support/painted_picture.h"

#include <stdlib.h>

static void shading__is_said_to_be_a_photograph(void **state)
{
    (void)state;
    Drawing d = canvas(120, 90, white);
    for (int y = 0; y < 90; y++)
        for (int x = 0; x < 120; x++)
            put(&d, x, y, (Paint){(uint8_t)(x * 2 + y % 3), (uint8_t)(y * 2 + x % 2), (uint8_t)(255 - x - y), 255});
    separate_well(&d, 20);
    assert_in_range(d.s.colour_count, 2, 12);
    bool said = false;
    for (size_t i = 0; i < d.s.findings.count; i++) said |= strcmp(d.s.findings.items[i].kind, "photograph") == 0;
    assert_true(said);
    done(&d);
}

// A shaded ball on a flat ground of any kind is no flat picture, however much of it the ground takes.
static void shaded_figure_on_a_flat_ground__is_said_to_be_a_photograph(void **state)
{
    (void)state;
    const Paint grounds[2] = {clear, white};
    for (int n = 0; n < 2; n++) {
        Drawing d = canvas(160, 160, grounds[n]);
        for (int y = 0; y < 160; y++)
            for (int x = 0; x < 160; x++)
                if ((x - 80) * (x - 80) + (y - 80) * (y - 80) < 60 * 60)
                    put(&d, x, y,
                        (Paint){(uint8_t)(60 + x + (x * 7 + y * 3) % 5), (uint8_t)(30 + y + (x * 3 + y * 5) % 7),
                                (uint8_t)(40 + (x * 5 + y * 7) % 11), 255});
        separate_well(&d, 20);
        assert_true(found(&d, "photograph"));
        assert_true(d.s.colour_count >= 2);
        assert_int_equal(d.s.label[0], 0);
        done(&d);
    }
}

static void clean_gradient__is_said_to_be_a_photograph(void **state)
{
    (void)state;
    Drawing d = canvas(200, 300, white);
    for (int y = 0; y < 300; y++) // three rows of each shade: flat in steps, and each step has a core
        box(&d, 0, y, 200, y + 1, (Paint){(uint8_t)(60 + y / 3 * 3 / 2), (uint8_t)(110 + y / 3), (uint8_t)(200 - y / 3 / 2), 255});
    disc(&d, 100, 150, 60, red);
    separate(&d, 20);
    assert_true(d.s.is_photo);
    assert_true(found(&d, "photograph"));
    assert_true(d.s.colour_count <= 12);
    done(&d);
}

// Each pixel the mean of 3 x 3, and a little noise: what compression leaves of hard edges.
static void soften(Drawing *d, int reach, int noise)
{
    int width = d->picture.width_px, height = d->picture.height_px;
    uint8_t *from = arena_copy(&d->keep, d->picture.rgba, (size_t)width * (size_t)height, 4);
    Rng rng = rng_make(7);
    for (int y = reach; y < height - reach; y++)
        for (int x = reach; x < width - reach; x++)
            for (int c = 0; c < 3; c++) {
                int sum = 0, side = 2 * reach + 1;
                for (int k = 0; k < side * side; k++) sum += from[4 * ((y + k / side - reach) * width + x + k % side - reach) + c];
                int v = sum / (side * side) + (int)rng_below(&rng, (uint32_t)(2 * noise + 1)) - noise;
                d->picture.rgba[4 * (y * width + x) + c] = (uint8_t)(v < 0 ? 0 : v > 255 ? 255 : v);
            }
}

#define WAVES_LEFT 4

static const Paint MAP[] = {{201, 79, 61, 255}, {232, 176, 74, 255}, {93, 143, 90, 255}, {63, 111, 148, 255}, {183, 155, 196, 255}};

static void small_fields__of_few_colours_are_no_photograph(void **state)
{
    (void)state;
    Drawing d = canvas(240, 240, white);
    for (int i = 0; i < 15 * 15; i++) // less than half of it lies far from an edge
        box(&d, i % 15 * 16, i / 15 * 16, i % 15 * 16 + 16, i / 15 * 16 + 16, MAP[(i % 15 * 2 + i / 15 * 3 + i / 45) % 5]);
    soften(&d, 1, 2);
    separate_well(&d, 20);
    assert_false(d.s.is_photo);
    assert_true(d.s.is_noisy);
    assert_int_equal(d.s.colour_count, 5);
    done(&d);
}

// What ITU-T T.81 does to an 8 x 8 block of a colour difference when its quantisation leaves only the waves of low frequency.
static void keep_low_waves(double block[64])
{
    double left[64] = {0};
    for (int u = 0; u < WAVES_LEFT; u++)
        for (int v = 0; u + v < WAVES_LEFT; v++) {
            double wave[64], sum = 0;
            for (int k = 0; k < 64; k++) {
                wave[k] = cos((2 * (k % 8) + 1) * u * M_PI / 16) * cos((2 * (k / 8) + 1) * v * M_PI / 16);
                sum += block[k] * wave[k];
            }
            for (int k = 0; k < 64; k++) left[k] += sum * wave[k] * (u ? 2 : 1) * (v ? 2 : 1) / 64;
        }
    memcpy(block, left, sizeof left);
}

// Compression with full colour resolution: colour loses its sharpness in each block, lightness stays.
static void dull_colour_in_blocks(Drawing *d)
{
    for (int block = 0; block < d->picture.width_px / 8 * (d->picture.height_px / 8); block++) {
        int x0 = block % (d->picture.width_px / 8) * 8, y0 = block / (d->picture.width_px / 8) * 8;
        uint8_t *p[64];
        double luma[64], chroma[3][64];
        for (int k = 0; k < 64; k++) {
            p[k] = d->picture.rgba + 4 * ((y0 + k / 8) * d->picture.width_px + x0 + k % 8);
            luma[k] = 0.299 * p[k][0] + 0.587 * p[k][1] + 0.114 * p[k][2];
            for (int c = 0; c < 3; c++) chroma[c][k] = p[k][c] - luma[k];
        }
        for (int c = 0; c < 3; c++) {
            keep_low_waves(chroma[c]);
            for (int k = 0; k < 64; k++) p[k][c] = (uint8_t)lround(fmin(255, fmax(0, luma[k] + chroma[c][k])));
        }
    }
}

static void colour_dulled_along_edges__is_compression_and_no_softness(void **state)
{
    (void)state;
    Drawing d = canvas(240, 240, white);
    for (int i = 0; i < 5 * 5; i++)
        box(&d, i % 5 * 45 + 5, i / 5 * 45 + 5, i % 5 * 45 + 50, i / 5 * 45 + 50, MAP[(i % 5 * 2 + i / 5 * 3 + i / 15) % 5]);
    dull_colour_in_blocks(&d);
    separate_well(&d, 20);
    assert_true(d.s.is_noisy);
    assert_false(d.s.is_photo);
    assert_int_equal(d.s.colour_count, 5);
    for (int i = 0; i < 5 * 5; i++) {
        int label = label_at(&d, i % 5 * 45 + 27, i / 5 * 45 + 27);
        Paint p = MAP[(i % 5 * 2 + i / 5 * 3 + i / 15) % 5];
        assert_in_range(label, 1, 5);
        Srgb8 c = d.s.colours[label - 1].colour;
        assert_true(abs(c.r - p.r) <= 1 && abs(c.g - p.g) <= 1 && abs(c.b - p.b) <= 1);
        for (int k = 2; k < 43; k++) assert_int_equal(label_at(&d, i % 5 * 45 + 5 + k, i / 5 * 45 + 7), label); // close to the edge
    }
    done(&d);
}

static void pale_colour_rounded_in_places__stays_one(void **state)
{
    (void)state;
    Drawing d = canvas(240, 240, (Paint){217, 235, 239, 255});
    for (int i = 0; i < 3; i++) box(&d, 20 + 70 * i, 30, 80 + 70 * i, 90, (Paint){221, 231, 246, 255}); // as light, 9 codes off: dE00 8
    box(&d, 60, 120, 180, 200, MAP[0]);
    box(&d, 100, 140, 140, 180, MAP[1]);
    soften(&d, 1, 2);
    separate_well(&d, 20);
    assert_true(d.s.is_noisy);
    assert_int_equal(d.s.colour_count, 2);
    assert_int_equal(label_at(&d, 50, 60), 0);
    done(&d);
}

// Most neighbours differ much in lightness.
static const Paint BOLD[] = {{20, 20, 70, 255}, {250, 210, 60, 255}, {245, 240, 200, 255}, {120, 10, 20, 255}, {20, 80, 40, 255}};

static double edge_of_squares(bool is_blurred)
{
    Drawing d = canvas(240, 240, white);
    for (int i = 0; i < 5 * 5; i++)
        box(&d, i % 5 * 45 + 5, i / 5 * 45 + 5, i % 5 * 45 + 50, i / 5 * 45 + 50, BOLD[(i % 5 * 2 + i / 5 * 3 + i / 15) % 5]);
    if (is_blurred) soften(&d, 3, 2);
    else dull_colour_in_blocks(&d);
    separate_well(&d, 20);
    assert_true(d.s.is_noisy);
    assert_false(d.s.is_photo);
    double edge_px = d.s.edge_px;
    done(&d);
    return edge_px;
}

// A red disc with its shadow beside it, dark over white.
static Drawing disc_with_shadow(double blur_px)
{
    Drawing d = canvas(240, 240, white);
    for (int i = 0; blur_px > 0.0 && i < 240 * 240; i++) {
        double t = (hypot(i % 240 + 0.5 - 150, i / 240 + 0.5 - 150) - 60) / blur_px;
        t = t < -1 ? -1 : t > 1 ? 1 : t;
        uint8_t v = mix(255, 90, (1 - t * (3 - t * t) / 2) / 2);
        put(&d, i % 240, i / 240, (Paint){v, v, v, 255});
    }
    disc(&d, 110, 110, 70, red);
    return d;
}

static void shadow__is_told_with_its_place_and_colours(void **state)
{
    (void)state;
    for (double blur_px = 5.0; blur_px < 25.0; blur_px *= 2.0) {
        Drawing d = disc_with_shadow(blur_px);
        separate_well(&d, 20);
        assert_false(d.s.is_photo);
        assert_true(d.s.has_shading);
        assert_true(found(&d, "soft-shading"));
        const Finding *f = &d.s.findings.items[0];
        assert_string_equal(f->kind, "soft-shading");
        assert_true(fabs(hypot(f->x_mm - 150, f->y_mm - 150) - 60) < blur_px);
        assert_null(strstr(f->text, "red"));
        done(&d);
    }
    Drawing d = disc_with_shadow(0.0);
    separate_well(&d, 20);
    assert_false(d.s.has_shading);
    assert_false(found(&d, "soft-shading"));
    done(&d);
}

static void softness__is_of_lightness_under_compression(void **state)
{
    (void)state;
    assert_true(edge_of_squares(false) < 1.0);
    assert_true(edge_of_squares(true) > 2.0); // 7 px wide; less shows where neighbours differ little in lightness
}

static void plain_sky_over_texture__is_said_to_be_a_photograph(void **state)
{
    (void)state;
    Drawing d = canvas(240, 240, (Paint){40, 70, 120, 255});
    Rng rng = rng_make(3);
    for (int y = 205; y < 240; y++)
        for (int x = 0; x < 240; x++)
            put(&d, x, y, (Paint){(uint8_t)rng_below(&rng, 256), (uint8_t)rng_below(&rng, 256), (uint8_t)rng_below(&rng, 256), 255});
    for (int i = 0; i < 20; i++) // stones, plain enough to look like flat colours
        box(&d, i * 12, 214, i * 12 + 9, 226, (Paint){(uint8_t)(60 + 7 * i), (uint8_t)(50 + 5 * i), (uint8_t)(40 + 3 * i), 255});
    soften(&d, 1, 2);
    separate(&d, 20);
    assert_true(d.s.is_photo);
    assert_true(found(&d, "photograph"));
    done(&d);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shading__is_said_to_be_a_photograph),
        cmocka_unit_test(shaded_figure_on_a_flat_ground__is_said_to_be_a_photograph),
        cmocka_unit_test(clean_gradient__is_said_to_be_a_photograph),
        cmocka_unit_test(small_fields__of_few_colours_are_no_photograph),
        cmocka_unit_test(colour_dulled_along_edges__is_compression_and_no_softness),
        cmocka_unit_test(pale_colour_rounded_in_places__stays_one),
        cmocka_unit_test(shadow__is_told_with_its_place_and_colours),
        cmocka_unit_test(softness__is_of_lightness_under_compression),
        cmocka_unit_test(plain_sky_over_texture__is_said_to_be_a_photograph),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
