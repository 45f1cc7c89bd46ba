// test_missed.c - small areas that look like no flat colour, and edges that only look like such areas.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "separation/missed.h"

#include <math.h>
#include <string.h>

#define SIDE 96

typedef struct Drawn {
    uint8_t rgba[4 * SIDE * SIDE], label[SIDE * SIDE];
    Picture picture;
    Palette palette;
} Drawn;

static Drawn drawn;

static const Srgb8 BLACK = {0, 0, 0}, WHITE = {255, 255, 255}, RED = {210, 47, 39}, YELLOW = {252, 234, 43}, ORANGE = {241, 179, 28};

static void add(Srgb8 c)
{
    drawn.palette.colours[drawn.palette.count++] = (PaletteColour){c, lab_from_srgb8(c), 1000};
}

static void paint(int x, int y, Srgb8 c, int label)
{
    const uint8_t rgba[4] = {c.r, c.g, c.b, 255};
    memcpy(drawn.rgba + 4 * (y * SIDE + x), rgba, 4);
    drawn.label[y * SIDE + x] = (uint8_t)label;
}

static void fill(int x0, int y0, int x1, int y1, Srgb8 c, int label)
{
    for (int y = y0; y < y1; y++)
        for (int x = x0; x < x1; x++) paint(x, y, c, label);
}

// Noise as compression leaves it in small areas.
static void shake(int x0, int y0, int x1, int y1, int codes)
{
    Rng rng = rng_make(3);
    for (int y = y0; y < y1; y++)
        for (int x = x0; x < x1; x++)
            for (int c = 0; c < 3; c++) {
                uint8_t *p = &drawn.rgba[4 * (y * SIDE + x) + c];
                *p = (uint8_t)fmin(fmax(*p + (int)rng_below(&rng, (uint32_t)(2 * codes + 1)) - codes, 0.0), 255.0);
            }
}

static void begin(void)
{
    memset(&drawn, 0, sizeof drawn);
    drawn.picture = (Picture){.width_px = SIDE, .height_px = SIDE, .rgba = drawn.rgba};
    add(BLACK), add(WHITE), add(RED), add(YELLOW);
    fill(0, 0, SIDE, SIDE, BLACK, LABEL_FIRST);
}

static int count(int label)
{
    int px = 0;
    for (int i = 0; i < SIDE * SIDE; i++) px += drawn.label[i] == label;
    return px;
}

static void search(void)
{
    Error err = {0};
    Work work = {.scratch = arena_make(0)};
    assert_true(missed_areas(&drawn.picture, &work, &drawn.palette, drawn.label, &err));
    assert_int_equal(work.scratch.held_bytes, 0);
    arena_free(&work.scratch);
}

// Orange lies between red and yellow, but neither is near.
static void uneven_area__gets_a_colour_of_its_own(void **state)
{
    (void)state;
    begin();
    fill(30, 40, 48, 47, ORANGE, LABEL_FIRST);
    shake(30, 40, 48, 47, 20);
    search();
    assert_int_equal(drawn.palette.count, 5);
    assert_true(lab_difference_2000(drawn.palette.colours[4].lab, lab_from_srgb8(ORANGE)) < 5.0);
    assert_int_equal(count(LABEL_FIRST + 4), 18 * 7);
    assert_int_equal(drawn.label[43 * SIDE + 35], LABEL_FIRST + 4);
}

static void area_of_a_known_colour__gets_that(void **state)
{
    (void)state;
    begin();
    fill(30, 40, 38, 47, RED, LABEL_FIRST);
    shake(30, 40, 38, 47, 12);
    search();
    assert_int_equal(drawn.palette.count, 4);
    assert_int_equal(count(LABEL_FIRST + 2), 8 * 7);
}

static void blend_of_what_lies_beside__stays(void **state)
{
    (void)state;
    begin();
    fill(48, 0, SIDE, SIDE, WHITE, LABEL_FIRST + 1);
    for (int x = 44; x < 52; x++) // a wide blur
        for (int y = 0; y < SIDE; y++) {
            uint8_t v = (uint8_t)(255 * (x - 43) / 9);
            paint(x, y, (Srgb8){v, v, v}, LABEL_FIRST + (x >= 48));
        }
    search();
    assert_int_equal(drawn.palette.count, 4);
    assert_int_equal(count(LABEL_FIRST), SIDE * 48);
}

// Halved colour resolution smears red over the black beside it, which stays as dark.
static void smeared_colour__stays(void **state)
{
    (void)state;
    begin();
    fill(48, 0, SIDE, SIDE, RED, LABEL_FIRST + 2);
    fill(43, 0, 48, SIDE, (Srgb8){70, 0, 0}, LABEL_FIRST);
    search();
    assert_int_equal(drawn.palette.count, 4);
    assert_int_equal(count(LABEL_FIRST), SIDE * 48);
}

// Three colours blend to one that is on no line between two of them.
static void corner_of_three_colours__stays(void **state)
{
    (void)state;
    begin();
    fill(48, 0, SIDE, SIDE, RED, LABEL_FIRST + 2);
    fill(0, 48, SIDE, SIDE, YELLOW, LABEL_FIRST + 3);
    fill(44, 44, 52, 52, (Srgb8){150, 90, 30}, LABEL_FIRST);
    search();
    assert_int_equal(drawn.palette.count, 4);
    assert_int_equal(drawn.label[45 * SIDE + 45], LABEL_FIRST);
}

static void thin_lines_and_specks__are_not_for_here(void **state)
{
    (void)state;
    begin();
    fill(20, 10, 22, 80, ORANGE, LABEL_FIRST);
    fill(60, 60, 63, 63, ORANGE, LABEL_FIRST);
    search();
    assert_int_equal(drawn.palette.count, 4);
    assert_int_equal(count(LABEL_FIRST), SIDE * SIDE);
}

static void transparent__is_left_alone(void **state)
{
    (void)state;
    begin();
    fill(30, 40, 60, 60, ORANGE, LABEL_CLEAR);
    search();
    assert_int_equal(drawn.palette.count, 4);
    assert_int_equal(count(LABEL_CLEAR), 30 * 20);
}

static void full_palette__takes_no_more(void **state)
{
    (void)state;
    begin();
    while (drawn.palette.count < SEPARATION_MAX_COLOURS) add((Srgb8){0, 0, (uint8_t)(190 + drawn.palette.count)});
    fill(30, 40, 48, 47, ORANGE, LABEL_FIRST);
    search();
    assert_int_equal(drawn.palette.count, SEPARATION_MAX_COLOURS);
    assert_int_equal(count(LABEL_FIRST), SIDE * SIDE);
}

static void short_of_memory__is_said(void **state)
{
    (void)state;
    begin();
    fill(30, 40, 48, 47, ORANGE, LABEL_FIRST);
    bool good = false;
    for (size_t budget = 1000; !good; budget = budget * 3 / 2) {
        Error err = {0};
        Work work = {.scratch = arena_make(budget)};
        good = missed_areas(&drawn.picture, &work, &drawn.palette, drawn.label, &err);
        if (!good) assert_int_equal(err.kind, ERROR_SYSTEM);
        arena_free(&work.scratch);
        assert_true(budget < 1u << 30);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(uneven_area__gets_a_colour_of_its_own), cmocka_unit_test(area_of_a_known_colour__gets_that),
        cmocka_unit_test(blend_of_what_lies_beside__stays),      cmocka_unit_test(smeared_colour__stays),
        cmocka_unit_test(corner_of_three_colours__stays),
        cmocka_unit_test(thin_lines_and_specks__are_not_for_here), cmocka_unit_test(transparent__is_left_alone),
        cmocka_unit_test(full_palette__takes_no_more),           cmocka_unit_test(short_of_memory__is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
