// test_faint.c - small parts of compressed pictures: their colour is found, halos and blends are none.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "separation/faint.h"

#include <math.h>
#include <string.h>

#define SIDE 96
#define BLUR 3  // colour is the mean over 7 x 7 pixels, as halved resolution and coarse steps leave it

static const Srgb8 BLUE = {30, 60, 160}, YELLOW = {252, 234, 43}, WHITE = {255, 255, 255}, RED = {210, 47, 39};

typedef struct Drawn {
    uint8_t rgba[4 * SIDE * SIDE], label[SIDE * SIDE];
    Picture picture;
    Palette palette;
    Arena scratch;
} Drawn;

static uint8_t code(double v)
{
    return (uint8_t)lround(v < 0 ? 0 : v > 255 ? 255 : v);
}

// Keeps lightness but for a little noise, smears the differences to it.
static void compress(Drawn *d, const Srgb8 *flat, uint64_t seed)
{
    Rng rng = rng_make(seed);
    for (int y = 0; y < SIDE; y++)
        for (int x = 0; x < SIDE; x++) {
            Srgb8 c = flat[y * SIDE + x];
            double luma = 0.299 * c.r + 0.587 * c.g + 0.114 * c.b + 4 * rng_unit(&rng) - 2, red = 0, blue = 0;
            int n = 0;
            for (int j = y - BLUR; j <= y + BLUR; j++)
                for (int i = x - BLUR; i <= x + BLUR; i++) {
                    if (i < 0 || j < 0 || i >= SIDE || j >= SIDE) continue;
                    Srgb8 q = flat[j * SIDE + i];
                    double l = 0.299 * q.r + 0.587 * q.g + 0.114 * q.b;
                    red += q.r - l, blue += q.b - l, n++;
                }
            red = luma + red / n, blue = luma + blue / n;
            uint8_t *p = d->rgba + 4 * (y * SIDE + x);
            p[0] = code(red), p[1] = code((luma - 0.299 * red - 0.114 * blue) / 0.587), p[2] = code(blue), p[3] = 255;
        }
    d->picture = (Picture){.width_px = SIDE, .height_px = SIDE, .rgba = d->rgba};
}

static void add(Palette *palette, Srgb8 c)
{
    palette->colours[palette->count++] = (PaletteColour){c, lab_from_srgb8(c), 1000};
}

static void find(Drawn *d)
{
    Error err = {0};
    Work work = {.scratch = arena_make(0)};
    assert_true(faint_colours(&d->picture, &work, &d->palette, d->label, &err));
    arena_free(&work.scratch);
}

static void small_part__its_colour_is_found(void **state)
{
    (void)state;
    static Srgb8 flat[SIDE * SIDE];
    static Drawn d;
    for (uint64_t seed = 1; seed <= 8; seed++) {
        memset(&d, 0, sizeof d);
        for (int i = 0; i < SIDE * SIDE; i++) {
            int x = i % SIDE % 32, y = i / SIDE % 32;
            flat[i] = x >= 12 && x < 22 && y >= 12 && y < 22 ? YELLOW : BLUE;
        }
        compress(&d, flat, seed);
        add(&d.palette, BLUE);
        find(&d);
        assert_int_equal(d.palette.count, 2);
        assert_true(lab_difference_2000(d.palette.colours[1].lab, lab_from_srgb8(YELLOW)) < 6.0);
        assert_int_equal(d.label[17 * SIDE + 17], LABEL_FIRST + 1);
        assert_int_equal(d.label[2 * SIDE + 2], LABEL_FIRST); // even, and of a known colour
    }
}

static void edge_with_its_halo__is_no_colour(void **state)
{
    (void)state;
    static Srgb8 flat[SIDE * SIDE];
    static Drawn d;
    for (uint64_t seed = 1; seed <= 8; seed++) {
        memset(&d, 0, sizeof d);
        for (int i = 0; i < SIDE * SIDE; i++) flat[i] = i % SIDE + i / SIDE / 3 < 60 ? RED : WHITE;
        compress(&d, flat, seed);
        add(&d.palette, RED);
        add(&d.palette, WHITE);
        find(&d);
        assert_int_equal(d.palette.count, 2);
    }
}

// Grey has the lightness of tan and no colour, as the halo of white on tan has: but no tan is near it.
static void small_part__its_colour_is_found_though_far_away_it_could_be_a_halo(void **state)
{
    (void)state;
    static const Srgb8 black = {0, 0, 0}, grey = {155, 155, 155}, tan = {194, 154, 102};
    static Srgb8 flat[SIDE * SIDE];
    static Drawn d;
    for (int with_tan = 0; with_tan < 2; with_tan++) {
        memset(&d, 0, sizeof d);
        for (int i = 0; i < SIDE * SIDE; i++) {
            int x = i % SIDE, y = i / SIDE;
            bool is_in = x >= 20 && x < 32 && y >= 30 && y < 42, is_beside = x >= 32 && x < 50 && y >= 10 && y < 60;
            flat[i] = is_in ? grey : x >= 70 || (with_tan && is_beside) ? tan : y >= 84 ? WHITE : black;
        }
        compress(&d, flat, 5);
        add(&d.palette, black), add(&d.palette, WHITE), add(&d.palette, tan);
        find(&d);
        assert_int_equal(d.palette.count, with_tan ? 3 : 4); // beside tan nobody can tell
        if (!with_tan) assert_int_equal(d.label[36 * SIDE + 26], LABEL_FIRST + 3);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(small_part__its_colour_is_found),
        cmocka_unit_test(small_part__its_colour_is_found_though_far_away_it_could_be_a_halo),
        cmocka_unit_test(edge_with_its_halo__is_no_colour),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
