// test_band.c - bands 2 to 3 px wide are found, blends and blurs are not.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "separation/band.h"

#include <math.h>
#include <string.h>

#define SIDE 64

typedef struct Drawn {
    uint8_t rgba[4 * SIDE * SIDE], label[SIDE * SIDE];
    Picture picture;
    Palette palette;
} Drawn;

static Drawn drawn;
static const Srgb8 BLACK = {0, 0, 0}, WHITE = {255, 255, 255}, GREY = {200, 200, 200}, BROWN = {165, 121, 57};

// Distance from a line at a slant, positive where it is light.
static double side_of(double x, double y)
{
    return 0.8 * (x - SIDE / 2.0) + 0.6 * (y - SIDE / 2.0) + 0.3;
}

static Srgb8 colour_at(double d, double width, Srgb8 band)
{
    return d < -width / 2 ? BLACK : d < width / 2 ? band : WHITE;
}

// Black, a band, white; 16 samples a pixel, each the mean over `blur` px across the line.
static void draw(double width, Srgb8 band, double blur)
{
    memset(&drawn, 0, sizeof drawn);
    for (int i = 0; i < SIDE * SIDE; i++) { // a corner apart, which has a sharp edge, unless all is blurred
        bool is_corner = blur <= 0.0 && i % SIDE < 14 && i / SIDE < 24;
        double sum[3] = {0};
        for (int k = 0; k < 256; k++) {
            double d = side_of(i % SIDE + (k % 4 + 0.5) / 4, i / SIDE + (k / 4 % 4 + 0.5) / 4) + blur * ((k / 16 + 0.5) / 16 - 0.5);
            Srgb8 c = is_corner ? (i % SIDE == 7 ? (k % 2 ? BLACK : WHITE) : i % SIDE < 7 ? BLACK : WHITE) : colour_at(d, width, band);
            sum[0] += c.r, sum[1] += c.g, sum[2] += c.b;
        }
        for (int c = 0; c < 3; c++) drawn.rgba[4 * i + c] = (uint8_t)(sum[c] / 256 + 0.5);
        drawn.rgba[4 * i + 3] = 255;
    }
    drawn.picture = (Picture){.width_px = SIDE, .height_px = SIDE, .rgba = drawn.rgba};
}

static void add(Srgb8 c)
{
    drawn.palette.colours[drawn.palette.count++] = (PaletteColour){c, lab_from_srgb8(c), 1000};
}

static void find(void)
{
    Error err = {0};
    Work work = {.scratch = arena_make(0)};
    assert_true(bands_find(&drawn.picture, &drawn.palette, &work, drawn.label, &err));
    assert_int_equal(work.scratch.held_bytes, 0);
    arena_free(&work.scratch);
}

static int count(uint8_t label)
{
    int n = 0;
    for (int i = 0; i < SIDE * SIDE; i++) n += drawn.label[i] == label;
    return n;
}

static void band__its_middle_is_found(void **state)
{
    (void)state;
    draw(2.6, GREY, 0.0);
    add(BLACK), add(WHITE), add(GREY);
    find();
    assert_true(count(LABEL_FIRST + 2) >= 40); // about 75 px long, less the picture's frame
    for (int i = 0; i < SIDE * SIDE; i++)
        if (drawn.label[i] == LABEL_FIRST + 2) assert_true(fabs(side_of(i % SIDE + 0.5, i / SIDE + 0.5)) < 1.3);
    assert_int_equal(count(LABEL_FIRST) + count(LABEL_FIRST + 1), 0);
}

static void edge__has_none(void **state)
{
    (void)state;
    draw(0.0, GREY, 0.0);
    add(BLACK), add(WHITE), add(GREY), add((Srgb8){128, 128, 128});
    find();
    assert_int_equal(count(LABEL_UNDECIDED), SIDE * SIDE);
}

static void blurred_edge__has_none(void **state)
{
    (void)state;
    for (double blur = 2.0; blur < 12.0; blur += 1.0) {
        draw(0.0, GREY, blur);
        add(BLACK), add(WHITE), add(GREY), add((Srgb8){128, 128, 128});
        find();
        assert_int_equal(count(LABEL_UNDECIDED), SIDE * SIDE);
    }
}

static void coloured_band__a_grey_of_its_lightness_is_not_taken(void **state)
{
    (void)state;
    draw(2.6, BROWN, 0.0); // lightness 127
    add(BLACK), add(WHITE), add((Srgb8){127, 127, 127});
    find();
    assert_int_equal(count(LABEL_UNDECIDED), SIDE * SIDE);
    draw(2.6, BROWN, 0.0);
    add(BLACK), add(WHITE), add(BROWN);
    find();
    assert_true(count(LABEL_FIRST + 2) >= 40);
}

static void band__two_colours_that_it_might_be_are_not_chosen_from(void **state)
{
    (void)state;
    draw(2.6, GREY, 0.0);
    add(BLACK), add(WHITE), add(GREY), add((Srgb8){196, 198, 200});
    find();
    assert_int_equal(count(LABEL_UNDECIDED), SIDE * SIDE);
}

static void decided_pixels__stay(void **state)
{
    (void)state;
    draw(2.6, GREY, 0.0);
    memset(drawn.label, LABEL_FIRST, sizeof drawn.label);
    add(BLACK), add(WHITE), add(GREY);
    find();
    assert_int_equal(count(LABEL_FIRST), SIDE * SIDE);
}

static void no_memory__is_an_error(void **state)
{
    (void)state;
    draw(2.6, GREY, 0.0);
    add(BLACK), add(WHITE), add(GREY);
    Error err = {0};
    Work work = {.scratch = arena_make(64)};
    assert_false(bands_find(&drawn.picture, &drawn.palette, &work, drawn.label, &err));
    assert_int_equal(err.kind, ERROR_SYSTEM);
    arena_free(&work.scratch);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(band__its_middle_is_found),
        cmocka_unit_test(edge__has_none),
        cmocka_unit_test(blurred_edge__has_none),
        cmocka_unit_test(coloured_band__a_grey_of_its_lightness_is_not_taken),
        cmocka_unit_test(band__two_colours_that_it_might_be_are_not_chosen_from),
        cmocka_unit_test(decided_pixels__stay),
        cmocka_unit_test(no_memory__is_an_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
