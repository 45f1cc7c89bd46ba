// test_fringe.c - strips beside outlines, told from what a JPEG file says of its blocks: drawn with exact blends, saved and read by
// libvips. None where none was drawn.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "picture/jpeg_means.h"
#include "separation/fringe.h"
#include "separation/rim.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <vips/vips.h>

#define SIDE 256
#define SAMPLES 8       // of a pixel's side
#define OUTLINE_PX 26.0
#define BLACK (LABEL_FIRST + 0)
#define WHITE (LABEL_FIRST + 1)
#define FILL (LABEL_FIRST + 2)
#define OTHER (LABEL_FIRST + 3)

typedef struct Scene {
    Palette palette;
    double turn, width_px; // of the edge; of the strip
    bool is_told;          // the file keeps what it says of its blocks
    uint8_t rgba[4 * SIDE * SIDE], label[SIDE * SIDE];
    Picture picture;
} Scene;

static Scene scene;

static const Srgb8 black = {0, 0, 0}, white = {255, 255, 255};

static void set_palette(Srgb8 outside, Srgb8 fill)
{
    const Srgb8 colours[] = {black, outside, fill, {63, 111, 149}};
    scene.palette = (Palette){.count = 4};
    for (int i = 0; i < 4; i++) scene.palette.colours[i] = (PaletteColour){colours[i], lab_from_srgb8(colours[i]), 1000};
}

// From the outline's outer side, outwards: a great circle, so that the edge turns a little.
static double distance_at(double x, double y)
{
    const double radius = 600.0, cx = SIDE / 2.0 - radius * cos(scene.turn), cy = SIDE / 2.0 - radius * sin(scene.turn);
    return sqrt((x - cx) * (x - cx) + (y - cy) * (y - cy)) - radius;
}

static uint8_t truth_at(double x, double y)
{
    double d = distance_at(x, y);
    return d < -OUTLINE_PX ? FILL : d < 0.0 ? BLACK : d < scene.width_px ? FILL : WHITE;
}

static Srgb8 colour_of(uint8_t label)
{
    return scene.palette.colours[label - LABEL_FIRST].colour;
}

static double lightness(const double c[3])
{
    return 0.299 * c[0] + 0.587 * c[1] + 0.114 * c[2];
}

// Blends by the exact share of each colour; labels as lightness has them: without the strip, where it is half-way.
static void draw(void)
{
    Srgb8 w = colour_of(WHITE);
    double half = lightness((const double[3]){w.r, w.g, w.b}) / 2.0;
    for (int i = 0; i < SIDE * SIDE; i++) {
        double sum[3] = {0.0, 0.0, 0.0};
        for (int s = 0; s < SAMPLES * SAMPLES; s++) {
            Srgb8 c = colour_of(truth_at(i % SIDE + (s % SAMPLES + 0.5) / SAMPLES, i / SIDE + (s / SAMPLES + 0.5) / SAMPLES));
            sum[0] += c.r, sum[1] += c.g, sum[2] += c.b;
        }
        for (int c = 0; c < 3; c++) sum[c] /= SAMPLES * SAMPLES, scene.rgba[4 * i + c] = (uint8_t)lround(sum[c]);
        scene.rgba[4 * i + 3] = 255;
        double d = distance_at(i % SIDE + 0.5, i / SIDE + 0.5);
        scene.label[i] = d < -OUTLINE_PX ? FILL : d < -3.0 || lightness(sum) < half ? BLACK : WHITE;
    }
    scene.label[0] = OTHER; // it is in the palette since it lies somewhere
    scene.picture = (Picture){.width_px = SIDE, .height_px = SIDE, .rgba = scene.rgba};
}

static void compress(int quality, bool is_halved)
{
    uint8_t *rgb = malloc((size_t)3 * SIDE * SIDE), *pixels;
    VipsImage *image, *back = NULL;
    void *file = NULL;
    size_t file_bytes, back_bytes;
    assert_non_null(rgb);
    for (int i = 0; i < SIDE * SIDE; i++) memcpy(rgb + 3 * i, scene.rgba + 4 * i, 3);
    image = vips_image_new_from_memory(rgb, (size_t)3 * SIDE * SIDE, SIDE, SIDE, 3, VIPS_FORMAT_UCHAR);
    VipsForeignSubsample mode = is_halved ? VIPS_FOREIGN_SUBSAMPLE_ON : VIPS_FOREIGN_SUBSAMPLE_OFF;
    assert_int_equal(vips_jpegsave_buffer(image, &file, &file_bytes, "Q", quality, "subsample_mode", mode, NULL), 0);
    assert_int_equal(vips_jpegload_buffer(file, file_bytes, &back, NULL), 0);
    pixels = vips_image_write_to_memory(back, &back_bytes);
    assert_int_equal(back_bytes, (size_t)3 * SIDE * SIDE);
    for (int i = 0; i < SIDE * SIDE; i++) memcpy(scene.rgba + 4 * i, pixels + 3 * i, 3);
    if (scene.is_told) assert_true(jpeg_means_read(file, file_bytes, SIDE, SIDE, scene.picture.means));
    g_free(pixels), g_free(file), free(rgb);
    g_object_unref(back), g_object_unref(image);
}

// The width of what was found: its area by the edge's length. What was found lies along the outline's outer side.
static double found_width(void)
{
    Error err = {0};
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    Fringes fringes;
    assert_true(fringes_find(&scene.picture, &scene.palette, &keep, &work, scene.label, &fringes, &err));
    int found = 0;
    double length = 0.0;
    for (int i = 0; i < SIDE * SIDE; i++) {
        double d = distance_at(i % SIDE + 0.5, i / SIDE + 0.5);
        length += fabs(d) < 4.0 ? 1.0 / 8.0 : 0.0;
        found += scene.label[i] == FILL && d > -OUTLINE_PX / 2.0;
        if (scene.label[i] == FILL && d > -OUTLINE_PX / 2.0) assert_true(d > -1.5 && d < scene.width_px + 1.5);
        assert_true(scene.label[i] != OTHER || i == 0);
    }
    if (found == 0) assert_int_equal(fringes.count, 0);
    for (size_t i = 0; i < fringes.count; i++) assert_int_equal(scene.label[fringes.pixels[i].at], FILL);
    assert_int_equal(work.scratch.held_bytes, 0);
    jpeg_means_free(scene.picture.means);
    arena_free(&keep), arena_free(&work.scratch);
    return found / length;
}

static const double turns[] = {0.0, 0.3, 0.78, 1.2, 1.5707963};

// As the blocks tell it, a mean over the whole edge.
static double told_width(void)
{
    uint8_t everywhere[(SIDE / 8) * (SIDE / 8)];
    memset(everywhere, 1, sizeof everywhere);
    const Trio trio = {BLACK, WHITE, FILL};
    Error err = {0};
    Work work = {.scratch = arena_make(0)};
    TintCells cells;
    Rim rim;
    assert_true(tint_can_tell(&scene.picture));
    tint_cells(&scene.picture, &scene.palette, scene.label, &cells);
    assert_true(rim_find(&cells, everywhere, trio, &work, &rim, &err) && rim_measure(&cells, trio, &work, &rim, &err));
    double area = 0.0, length = 0.0;
    for (int i = 0; i < rim.count; i++) area += rim.cracks[i].width_px * rim.cracks[i].length_px, length += rim.cracks[i].length_px;
    arena_free(&work.scratch);
    assert_true(length > SIDE / 2);
    return area / length;
}

static const Srgb8 fills[] = {{210, 47, 39}, {177, 204, 51}, {252, 234, 43}};
static const int qualities[] = {60, 75, 90};
static const double widths[] = {0.9, 1.3, 1.8};

// All ways, shuffled a little: each fill with each width, at some quality and turn, with full and halved colour.
static void draw_case(int i, double width_px)
{
    scene.turn = turns[i % 5], scene.width_px = width_px, scene.is_told = true;
    draw();
    compress(qualities[(i + i / 3) % 3], i / 9);
}

static void strips__are_told_as_wide_as_drawn(void **state)
{
    (void)state;
    for (int i = 0; i < 18; i++) {
        set_palette(white, fills[i % 3]);
        draw_case(i, widths[i / 3 % 3]);
        double told = told_width();
        jpeg_means_free(scene.picture.means);
        if (fabs(told - widths[i / 3 % 3]) > 0.25) fail_msg("case %d: told %.2f px, drawn %.2f", i, told, widths[i / 3 % 3]);
    }
}

// To hang together over corners a strip takes 1.4 px where it leans.
static void strips__are_drawn(void **state)
{
    (void)state;
    for (int i = 0; i < 18; i++) {
        set_palette(white, fills[i % 3]);
        draw_case(i, widths[i / 3 % 3]);
        double width_px = widths[i / 3 % 3], found = found_width();
        if (found < width_px - 0.3 || found > fmax(width_px, 1.2) + 0.3) fail_msg("case %d: %.2f px wide, drawn %.2f", i, found, width_px);
    }
}

static void plain_outlines__have_none(void **state)
{
    (void)state;
    const Srgb8 grounds[] = {white, {220, 235, 242}, {232, 176, 74}};
    for (int i = 0; i < 18; i++) {
        set_palette(grounds[i / 3 % 3], fills[i % 3]);
        draw_case(i, 0.0);
        double found = found_width();
        if (found > 0.0) fail_msg("case %d: a strip of %.2f px that nobody drew", i, found);
    }
}

static void narrow_strips__are_left(void **state)
{
    (void)state;
    set_palette(white, fills[1]);
    draw_case(10, 0.3);
    assert_true(found_width() == 0.0);
}

static void pixels_alone__tell_nothing(void **state)
{
    (void)state;
    set_palette(white, fills[0]);
    scene.turn = 0.3, scene.width_px = 1.5, scene.is_told = false;
    draw();
    compress(75, true);
    assert_true(found_width() == 0.0);
}

// A grey between black and white has no colour to be told by.
static void greys__are_left(void **state)
{
    (void)state;
    set_palette(white, (Srgb8){155, 155, 154});
    draw_case(10, 1.5);
    assert_true(found_width() == 0.0);
}

static void marked_parts__are_those_of_strips(void **state)
{
    (void)state;
    enum { WIDTH = 6, HEIGHT = 3 };
    const uint8_t label[WIDTH * HEIGHT] = {2, 2, 3, 3, 2, 2, 2, 2, 3, 3, 2, 2, 4, 4, 4, 4, 4, 4};
    FringePixel pixels[] = {{8, 3}, {0, 4}}; // the second was given away since
    const Fringes fringes = {pixels, 2};
    Error err = {0};
    Work work = {.scratch = arena_make(0)};
    Runs runs;
    assert_true(runs_make(label, WIDTH, HEIGHT, &work.scratch, &work, &runs, &err));
    fringes_mark(&fringes, &runs);
    for (int i = 0; i < runs.part_count; i++) assert_int_equal((runs.parts[i].flags & PART_TOLD) != 0, runs.parts[i].label == 3);
    arena_free(&work.scratch);
}

int main(int argc, char **argv)
{
    (void)argc;
    if (VIPS_INIT(argv[0])) return 1;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(strips__are_told_as_wide_as_drawn), cmocka_unit_test(strips__are_drawn), cmocka_unit_test(plain_outlines__have_none),
        cmocka_unit_test(narrow_strips__are_left),      cmocka_unit_test(pixels_alone__tell_nothing),
        cmocka_unit_test(greys__are_left),              cmocka_unit_test(marked_parts__are_those_of_strips),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
