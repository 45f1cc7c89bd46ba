// test_demix.c - colours nearer to the truth than what blocks of rounded means show.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "separation/demix.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SIDE 320
#define BLOCK 16

typedef struct Drawn {
    uint8_t rgba[4 * SIDE * SIDE], label[SIDE * SIDE];
    Picture picture;
    Palette palette;
} Drawn;

static Drawn drawn;

// Colour `inside` within a disc on `ground`.
static void draw_discs(Srgb8 inside, Srgb8 ground, int pitch, double radius)
{
    for (int i = 0; i < SIDE * SIDE; i++) {
        double x = i % SIDE % pitch - pitch / 2.0 + 0.25, y = i / SIDE % pitch - pitch / 2.0 + 0.75;
        bool is_in = x * x + y * y < radius * radius;
        Srgb8 c = is_in ? inside : ground;
        const uint8_t rgba[4] = {c.r, c.g, c.b, 255};
        memcpy(drawn.rgba + 4 * i, rgba, 4);
        drawn.label[i] = (uint8_t)(LABEL_FIRST + is_in);
    }
    drawn.picture = (Picture){.width_px = SIDE, .height_px = SIDE, .rgba = drawn.rgba};
}

// Each block's mean, a channel, becomes a whole multiple of `step`: the first thing that compression does.
static void round_blocks(double step)
{
    for (int y0 = 0; y0 < SIDE; y0 += BLOCK)
        for (int x0 = 0; x0 < SIDE; x0 += BLOCK)
            for (int c = 0; c < 3; c++) {
                double sum = 0;
                for (int k = 0; k < BLOCK * BLOCK; k++) sum += drawn.rgba[4 * ((y0 + k / BLOCK) * SIDE + x0 + k % BLOCK) + c];
                double mean = sum / (BLOCK * BLOCK), off = step * floor(mean / step + 0.5) - mean;
                for (int k = 0; k < BLOCK * BLOCK; k++) {
                    uint8_t *p = &drawn.rgba[4 * ((y0 + k / BLOCK) * SIDE + x0 + k % BLOCK) + c];
                    *p = (uint8_t)lround(fmin(fmax(*p + off, 0.0), 255.0));
                }
            }
}

static void add(Srgb8 c)
{
    drawn.palette.colours[drawn.palette.count++] = (PaletteColour){c, lab_from_srgb8(c), 1000};
}

static void demix(void)
{
    Error err = {0};
    Work work = {.scratch = arena_make(0)};
    assert_true(demix_colours(&drawn.picture, drawn.label, &work, &drawn.palette, &err));
    assert_int_equal(work.scratch.held_bytes, 0);
    arena_free(&work.scratch);
}

static double error_codes(int index, Srgb8 truth)
{
    Srgb8 c = drawn.palette.colours[index].colour;
    return fmax(fmax(fabs((double)c.r - truth.r), fabs((double)c.g - truth.g)), fabs((double)c.b - truth.b));
}

static void plain_area__mixed_blocks_tell_its_colour(void **state)
{
    (void)state;
    static const Srgb8 inside = {49, 56, 61}, ground = {200, 120, 150};
    memset(&drawn, 0, sizeof drawn);
    draw_discs(inside, ground, 80, 33.0);
    round_blocks(6.0); // whole blocks of (49, 56, 61) become (48, 54, 60)
    add(ground), add((Srgb8){48, 54, 60});
    demix();
    assert_true(error_codes(1, inside) <= 1.0);
    assert_true(abs((int)drawn.palette.colours[1].colour.g - 54) >= 1); // moved, and the right way
}

static void small_parts__their_blocks_tell_their_colour(void **state)
{
    (void)state;
    static const Srgb8 inside = {150, 40, 60}, ground = {120, 180, 90}, pale = {144, 68, 66};
    memset(&drawn, 0, sizeof drawn);
    draw_discs(inside, ground, 40, 3.2);
    // Each part's pixels lost a fifth of their way to the ground, which lies round them; not in lightness, which compression keeps.
    const double way[3] = {ground.r - inside.r, ground.g - inside.g, ground.b - inside.b};
    const double lighter = 0.299 * way[0] + 0.587 * way[1] + 0.114 * way[2];
    for (int i = 0; i < SIDE * SIDE; i++)
        if (drawn.label[i] == LABEL_FIRST + 1)
            for (int c = 0; c < 3; c++) {
                int lost = (int)((way[c] - lighter) / 5);
                drawn.rgba[4 * i + c] = (uint8_t)(drawn.rgba[4 * i + c] + lost);
                drawn.rgba[4 * ((i + 5) % (SIDE * SIDE)) + c] = (uint8_t)(drawn.rgba[4 * ((i + 5) % (SIDE * SIDE)) + c] - lost);
            }
    for (int i = 0; i < SIDE * SIDE; i++) // and the pixels do not agree, as after compression
        for (int c = 0; c < 3 && drawn.label[i] == LABEL_FIRST + 1; c++) drawn.rgba[4 * i + c] = (uint8_t)(drawn.rgba[4 * i + c] + (int)((unsigned)i * 2654435761u >> 24) % 13 - 6);
    add(ground), add(pale);
    demix();
    // The pixels show a fifth too little; a quarter of that and more comes back from the blocks.
    assert_true(error_codes(1, inside) < 0.8 * (lighter - way[0]) / 5);
    assert_true(error_codes(0, ground) <= 1.0);
}

static void small_parts__whose_pixels_agree_are_believed(void **state)
{
    (void)state;
    static const Srgb8 inside = {58, 42, 28}, ground = {230, 225, 210};
    memset(&drawn, 0, sizeof drawn);
    draw_discs(inside, ground, 40, 3.2);
    for (int i = 0; i < SIDE * SIDE; i++) // blends round the parts, of which their blocks know and their labels do not
        if (drawn.label[i] == LABEL_FIRST && drawn.label[(i + 1) % (SIDE * SIDE)] == LABEL_FIRST + 1)
            for (int c = 0; c < 3; c++) drawn.rgba[4 * i + c] = (uint8_t)(drawn.rgba[4 * i + c] / 2);
    add(ground), add(inside);
    demix();
    assert_true(error_codes(1, inside) == 0.0);
}

static void cut_off__black_and_white_stay(void **state)
{
    (void)state;
    static const Srgb8 black = {0, 0, 0}, white = {255, 255, 255};
    memset(&drawn, 0, sizeof drawn);
    draw_discs(black, white, 80, 30.0);
    for (int i = 0; i < SIDE * SIDE; i++)
        if (i % 3 == 0)
            for (int c = 0; c < 3; c++) drawn.rgba[4 * i + c] = drawn.rgba[4 * i + c] ? 250 : 6; // what ringing leaves of its other half
    add(white), add((Srgb8){1, 0, 1});
    demix();
    assert_true(error_codes(0, white) == 0.0);
    assert_true(error_codes(1, black) == 0.0);
}

static void no_pixels__the_colour_stays(void **state)
{
    (void)state;
    static const Srgb8 nowhere = {10, 200, 30};
    memset(&drawn, 0, sizeof drawn);
    draw_discs((Srgb8){49, 55, 61}, (Srgb8){200, 120, 150}, 80, 33.0);
    add((Srgb8){200, 120, 150}), add((Srgb8){49, 55, 61}), add(nowhere);
    demix();
    assert_true(error_codes(2, nowhere) == 0.0);
    assert_true(error_codes(1, (Srgb8){49, 55, 61}) == 0.0);
}

static void transparent__its_pixels_are_no_witnesses(void **state)
{
    (void)state;
    memset(&drawn, 0, sizeof drawn);
    draw_discs((Srgb8){49, 55, 61}, (Srgb8){200, 120, 150}, 80, 33.0);
    for (int i = 0; i < SIDE * SIDE; i++)
        if (drawn.label[i] == LABEL_FIRST) drawn.label[i] = LABEL_CLEAR;
    add((Srgb8){200, 120, 150}), add((Srgb8){50, 54, 63});
    demix();
    assert_true(error_codes(1, (Srgb8){49, 55, 61}) == 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plain_area__mixed_blocks_tell_its_colour), cmocka_unit_test(small_parts__their_blocks_tell_their_colour),
        cmocka_unit_test(small_parts__whose_pixels_agree_are_believed),
        cmocka_unit_test(cut_off__black_and_white_stay),            cmocka_unit_test(no_pixels__the_colour_stays),
        cmocka_unit_test(transparent__its_pixels_are_no_witnesses),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
