// One picture written in many formats, depths and colour spaces: it is read as the same picture.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "picture/picture.h"
#include "picture/raster_read.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <vips/vips.h>

#define SIDE 16 // of a flat square; multiples of a JPEG block
#define COLUMNS 3
#define ROWS 2
#define WIDTH (SIDE * COLUMNS)
#define HEIGHT (SIDE * ROWS)

static const char *decode_child; // from the command line, set once

// Moderate colours, which ink on paper can show as well.
static const uint8_t paints[COLUMNS * ROWS][3] = {{190, 70, 60}, {60, 110, 160}, {220, 190, 90},
                                                  {90, 140, 90}, {60, 60, 65},   {235, 230, 220}};

static int square_at(int x, int y)
{
    return y / SIDE * COLUMNS + x / SIDE;
}

// 8 bits a channel, sRGB; with alpha the first square is half transparent, and its left half fully.
static VipsImage *sample(int bands)
{
    VipsImage *image = vips_image_new_memory(), *copy = NULL;
    assert_non_null(image);
    uint8_t *bytes = calloc(WIDTH * HEIGHT, (size_t)bands);
    for (int i = 0; i < WIDTH * HEIGHT; i++) {
        int x = i % WIDTH, y = i / WIDTH, square = square_at(x, y);
        for (int c = 0; c < bands; c++) bytes[i * bands + c] = c < 3 ? paints[square][c] : 255;
        if (bands == 4 && square == 0) bytes[i * 4 + 3] = x < SIDE / 2 ? 0 : 128;
    }
    g_object_unref(image);
    image = vips_image_new_from_memory_copy(bytes, (size_t)WIDTH * HEIGHT * (size_t)bands, WIDTH, HEIGHT, bands,
                                            VIPS_FORMAT_UCHAR);
    free(bytes);
    assert_non_null(image);
    assert_int_equal(vips_copy(image, &copy, "interpretation", VIPS_INTERPRETATION_sRGB, NULL), 0);
    g_object_unref(image);
    return copy;
}

typedef struct File {
    void *bytes;
    size_t size;
} File;

// Takes over the image. `suffix` chooses the format and its options, as in ".jpg[Q=90]".
static File write_file(VipsImage *image, const char *suffix)
{
    File f = {0};
    if (vips_image_write_to_buffer(image, suffix, &f.bytes, &f.size, NULL))
        fail_msg("%s: %s", suffix, vips_error_buffer());
    g_object_unref(image);
    return f;
}

// A HEIC file of the sample, written beforehand: not every machine that reads them can write them.
static File committed_file(const char *name)
{
    char path[1024];
    snprintf(path, sizeof path, PM_SOURCE_ROOT "/tests/data/picture/%s", name);
    gchar *bytes = NULL;
    gsize size = 0;
    if (!g_file_get_contents(path, &bytes, &size, NULL)) fail_msg("%s is not there", path);
    return (File){bytes, size};
}

typedef struct Reading {
    Arena keep;
    Work work;
    Picture picture;
    Error err;
    bool good;
} Reading;

// In this process and in the child: both give the same. Frees the file.
static Reading read_file(File f)
{
    Reading r = {.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    PictureOptions options = picture_defaults();
    Picture there;
    options.child_program = decode_child;
    bool good_there = picture_read(f.bytes, f.size, "some picture", &options, &r.keep, &r.work, &there, &r.err);
    options.child_program = NULL;
    r.good = picture_read(f.bytes, f.size, "some picture", &options, &r.keep, &r.work, &r.picture, &r.err);
    assert_int_equal(r.good, good_there);
    if (r.good) {
        assert_int_equal(there.width_px, r.picture.width_px);
        assert_int_equal(there.height_px, r.picture.height_px);
        assert_memory_equal(there.rgba, r.picture.rgba, (size_t)(there.width_px * there.height_px) * 4);
    }
    g_free(f.bytes);
    return r;
}

static void done(Reading *r)
{
    arena_free(&r->keep);
    arena_free(&r->work.scratch);
}

static const uint8_t *pixel(const Picture *p, int x, int y)
{
    return p->rgba + ((size_t)y * (size_t)p->width_px + (size_t)x) * 4;
}

// The middles of all squares have their colours within `most` codes a channel.
static void assert_squares(const Reading *r, int most)
{
    if (!r->good) fail_msg("%s", r->err.text);
    assert_int_equal(r->picture.width_px, WIDTH);
    assert_int_equal(r->picture.height_px, HEIGHT);
    for (int i = 0; i < COLUMNS * ROWS; i++) {
        const uint8_t *p = pixel(&r->picture, i % COLUMNS * SIDE + SIDE * 3 / 4, i / COLUMNS * SIDE + SIDE / 2);
        for (int c = 0; c < 3; c++)
            if (abs(p[c] - paints[i][c]) > most)
                fail_msg("square %d, channel %d: %d should be %d", i, c, p[c], paints[i][c]);
    }
}

static void assert_opaque(const Reading *r)
{
    for (int i = 0; i < WIDTH * HEIGHT; i++) assert_int_equal(r->picture.rgba[i * 4 + 3], 255);
}

static void plain_formats__give_the_picture(void **state)
{
    (void)state;
    const struct {
        const char *suffix;
        int most; // codes
    } cases[] = {
        {".png", 0},
        {".png[palette=true]", 2},
        {".png[interlace=true]", 0},
        {".jpg[Q=95,subsample_mode=off]", 3},
        {".jpg[Q=95,interlace=true]", 3},
        {".webp[lossless=true]", 0},
        {".webp[Q=95]", 6},
        {".tif", 0},
        {".tif[compression=lzw,tile=true]", 0},
        {".tif[compression=deflate,predictor=horizontal]", 0},
        {".tif[compression=jpeg,Q=95]", 4},
        {".gif", 4},
        {"sample.heic", 6},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        bool is_committed = cases[i].suffix[0] != '.';
        Reading r = read_file(is_committed ? committed_file(cases[i].suffix) : write_file(sample(3), cases[i].suffix));
        if (!r.good) fail_msg("%s: %s", cases[i].suffix, r.err.text);
        assert_squares(&r, cases[i].most);
        assert_opaque(&r);
        done(&r);
    }
}

static void alpha__is_kept_where_the_format_has_it(void **state)
{
    (void)state;
    const char *suffixes[] = {".png", ".webp[lossless=true]", ".tif", ".gif", "sample-alpha.heic"};
    for (size_t i = 0; i < sizeof suffixes / sizeof *suffixes; i++) {
        bool is_committed = suffixes[i][0] != '.';
        Reading r = read_file(is_committed ? committed_file(suffixes[i]) : write_file(sample(4), suffixes[i]));
        if (!r.good) fail_msg("%s: %s", suffixes[i], r.err.text);
        assert_int_equal(pixel(&r.picture, 2, 8)[3], 0);
        assert_int_equal(pixel(&r.picture, WIDTH - 3, HEIGHT - 3)[3], 255);
        if (strcmp(suffixes[i], ".gif") != 0) assert_int_equal(pixel(&r.picture, SIDE - 3, 8)[3], 128);
        done(&r);
    }
}

static VipsImage *stepped(VipsImage *before, VipsImage *after, int failed)
{
    g_object_unref(before);
    if (failed) fail_msg("%s", vips_error_buffer());
    return after;
}

static VipsImage *of_16_bits(int bands)
{
    VipsImage *image = sample(bands), *next = NULL;
    image = stepped(image, next, vips_linear1(image, &next, 257.0, 0.0, NULL));
    VipsImage *cast = NULL;
    int failed = vips_cast(next, &cast, VIPS_FORMAT_USHORT, NULL);
    VipsImage *wide = stepped(next, cast, failed), *named = NULL;
    failed = vips_copy(wide, &named, "interpretation", VIPS_INTERPRETATION_RGB16, NULL);
    return stepped(wide, named, failed);
}

static void sixteen_bits__become_eight(void **state)
{
    (void)state;
    const char *suffixes[] = {".png", ".tif"};
    for (int i = 0; i < 2; i++) {
        Reading r = read_file(write_file(of_16_bits(3), suffixes[i]));
        assert_squares(&r, 1);
        assert_opaque(&r);
        done(&r);
        r = read_file(write_file(of_16_bits(4), suffixes[i]));
        assert_squares(&r, 1);
        assert_in_range(pixel(&r.picture, SIDE - 3, 8)[3], 127, 129);
        assert_int_equal(pixel(&r.picture, 2, 8)[3], 0);
        done(&r);
    }
}

static void grey__has_three_equal_channels(void **state)
{
    (void)state;
    const char *suffixes[] = {".png", ".jpg[Q=95]", ".tif", ".webp[lossless=true]"};
    for (size_t i = 0; i < sizeof suffixes / sizeof *suffixes; i++) {
        VipsImage *image = sample(3), *grey = NULL;
        int failed = vips_colourspace(image, &grey, VIPS_INTERPRETATION_B_W, NULL);
        Reading r = read_file(write_file(stepped(image, grey, failed), suffixes[i]));
        if (!r.good) fail_msg("%s: %s", suffixes[i], r.err.text);
        assert_opaque(&r);
        const uint8_t *dark = pixel(&r.picture, SIDE + 4, SIDE + 4), *light = pixel(&r.picture, WIDTH - 4, HEIGHT - 4);
        assert_true(abs(dark[0] - dark[1]) <= 2 && abs(dark[1] - dark[2]) <= 2);
        assert_in_range(dark[0], 55, 66);
        assert_in_range(light[0], 226, 233);
        done(&r);
    }
}

static void one_bit__is_black_and_white(void **state)
{
    (void)state;
    const char *suffixes[] = {".png[bitdepth=1,palette=true]", ".tif[bitdepth=1]"};
    for (int i = 0; i < 2; i++) {
        VipsImage *image = sample(3), *grey = NULL, *bits = NULL;
        int failed = vips_colourspace(image, &grey, VIPS_INTERPRETATION_B_W, NULL);
        grey = stepped(image, grey, failed);
        failed = vips_moreeq_const1(grey, &bits, 150.0, NULL);
        Reading r = read_file(write_file(stepped(grey, bits, failed), suffixes[i]));
        if (!r.good) fail_msg("%s: %s", suffixes[i], r.err.text);
        const uint8_t *dark = pixel(&r.picture, SIDE + 4, SIDE + 4), *light = pixel(&r.picture, WIDTH - 4, HEIGHT - 4);
        for (int c = 0; c < 3; c++) {
            assert_int_equal(dark[c], 0);
            assert_int_equal(light[c], 255);
        }
        done(&r);
    }
}

// The same colours, stored in the space of a profile that the library has built in.
static VipsImage *in_profile(const char *profile)
{
    VipsImage *image = sample(3), *other = NULL;
    int failed =
        vips_icc_transform(image, &other, profile, "input_profile", "srgb", "intent", VIPS_INTENT_RELATIVE, NULL);
    return stepped(image, other, failed);
}

static void assert_same_colours_in(File f, const char *profile, const char *suffix, bool is_stored_otherwise)
{
    VipsImage *stored = vips_image_new_from_buffer(f.bytes, f.size, "", NULL);
    assert_non_null(stored);
    double *values = NULL;
    int count = 0;
    assert_int_equal(vips_getpoint(stored, &values, &count, SIDE / 2, SIDE / 2, NULL), 0);
    bool differs = count == 4;
    for (int c = 0; c < 3 && c < count; c++) differs |= fabs(values[c] - paints[0][c]) > 5.0;
    assert_int_equal(differs, is_stored_otherwise);
    g_free(values);
    g_object_unref(stored);

    Reading r = read_file(f);
    if (!r.good) fail_msg("%s in %s: %s", profile, suffix, r.err.text);
    VipsImage *whole =
        vips_image_new_from_memory(r.picture.rgba, (size_t)WIDTH * HEIGHT * 4, WIDTH, HEIGHT, 4, VIPS_FORMAT_UCHAR);
    VipsImage *named = NULL, *rgb = NULL, *wanted = sample(3), *difference = NULL;
    assert_int_equal(vips_copy(whole, &named, "interpretation", VIPS_INTERPRETATION_sRGB, NULL), 0);
    assert_int_equal(vips_extract_band(named, &rgb, 0, "n", 3, NULL), 0);
    assert_int_equal(vips_dE00(rgb, wanted, &difference, NULL), 0);
    for (int i = 0; i < COLUMNS * ROWS; i++) { // middles: JPEG blurs edges
        double *de00 = NULL;
        assert_int_equal(vips_getpoint(difference, &de00, &count, i % COLUMNS * SIDE + SIDE / 2,
                                       i / COLUMNS * SIDE + SIDE / 2, NULL),
                         0);
        if (!(de00[0] <= 2.0)) fail_msg("%s in %s, square %d: dE00 %.2f", profile, suffix, i, de00[0]);
        g_free(de00);
    }
    g_object_unref(whole), g_object_unref(named), g_object_unref(rgb), g_object_unref(wanted);
    g_object_unref(difference);
    done(&r);
}

static void assert_same_colours(const char *profile, const char *suffix, bool is_stored_otherwise)
{
    assert_same_colours_in(write_file(in_profile(profile), suffix), profile, suffix, is_stored_otherwise);
}

static void profiles__give_the_same_colours(void **state)
{
    (void)state;
    assert_same_colours("srgb", ".png", false);
    assert_same_colours("p3", ".png", true);
    assert_same_colours("p3", ".jpg[Q=95,subsample_mode=off]", true);
    assert_same_colours("p3", ".webp[lossless=true]", true);
    assert_same_colours("p3", ".tif", true);
    assert_same_colours_in(committed_file("sample-p3.heic"), "p3", "HEIC", true);
    assert_same_colours("cmyk", ".tif", true);
    assert_same_colours("cmyk", ".jpg[Q=98,subsample_mode=off]", true);
}

static void cmyk_without_profile__is_read(void **state)
{
    (void)state;
    const char *suffixes[] = {".tif[strip=true]", ".jpg[Q=98,strip=true,subsample_mode=off]"};
    for (int i = 0; i < 2; i++) {
        Reading r = read_file(write_file(in_profile("cmyk"), suffixes[i]));
        assert_squares(&r, 12);
        done(&r);
    }
}

static void broken_profile__does_not_cost_the_picture(void **state)
{
    (void)state;
    VipsImage *image = sample(3);
    vips_image_set_blob_copy(image, VIPS_META_ICC_NAME, "no profile at all, only a sentence", 34);
    Reading r = read_file(write_file(image, ".tif"));
    assert_squares(&r, 0);
    done(&r);
}

// ---- orientation: Exif 2.32, tag 0x0112. Where the stored pixel (x, y) of a picture of w x h pixels is shown. ----

static void shown_at(int orientation, int x, int y, int *out_x, int *out_y)
{
    const int right = WIDTH - 1 - x, below = HEIGHT - 1 - y;
    const int at[9][2] = {{0, 0}, {x, y},     {right, y},     {right, below}, {x, below},
                          {y, x}, {below, x}, {below, right}, {y, right}};
    *out_x = at[orientation][0], *out_y = at[orientation][1];
}

static void all_orientations__stand_upright(void **state)
{
    (void)state;
    const char *suffixes[] = {".jpg[Q=95,subsample_mode=off]", ".tif", ".webp[lossless=true]"};
    for (size_t i = 0; i < sizeof suffixes / sizeof *suffixes; i++)
        for (int orientation = 1; orientation <= 8; orientation++) {
            VipsImage *image = sample(3);
            vips_image_set_int(image, VIPS_META_ORIENTATION, orientation);
            Reading r = read_file(write_file(image, suffixes[i]));
            if (!r.good) fail_msg("%s, orientation %d: %s", suffixes[i], orientation, r.err.text);
            assert_int_equal(r.picture.width_px, orientation < 5 ? WIDTH : HEIGHT);
            for (int y = 2; y < HEIGHT; y += 5)
                for (int x = 2; x < WIDTH; x += 5) {
                    int to_x, to_y;
                    shown_at(orientation, x, y, &to_x, &to_y);
                    const uint8_t *p = pixel(&r.picture, to_x, to_y), *wanted = paints[square_at(x, y)];
                    for (int c = 0; c < 3; c++)
                        if (abs(p[c] - wanted[c]) > 24)
                            fail_msg("%s, orientation %d: pixel %d, %d", suffixes[i], orientation, x, y);
                }
            done(&r);
        }
}

static void many_frames__give_the_first(void **state)
{
    (void)state;
    const char *suffixes[] = {".gif", ".tif", ".webp[lossless=true]"};
    for (size_t i = 0; i < sizeof suffixes / sizeof *suffixes; i++) {
        VipsImage *first = sample(3), *second = NULL, *both = NULL;
        assert_int_equal(vips_invert(first, &second, NULL), 0);
        VipsImage *frames[2] = {first, second};
        assert_int_equal(vips_arrayjoin(frames, &both, 2, "across", 1, NULL), 0);
        g_object_unref(second);
        VipsImage *own = vips_image_copy_memory(both);
        g_object_unref(both), g_object_unref(first);
        vips_image_set_int(own, VIPS_META_PAGE_HEIGHT, HEIGHT);
        Reading r = read_file(write_file(own, suffixes[i]));
        if (!r.good) fail_msg("%s: %s", suffixes[i], r.err.text);
        assert_squares(&r, 6);
        done(&r);
    }
}

static void webp_header__tells_its_size_before_it_is_opened(void **state)
{
    (void)state;
    const struct {
        const char *suffix;
        int bands;
        double px;
    } cases[] = {{".webp[lossless=true]", 3, WIDTH * HEIGHT},
                 {".webp[Q=80]", 3, WIDTH * HEIGHT},
                 {".webp[Q=80]", 4, WIDTH * HEIGHT},
                 {".png", 3, 0}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        File f = write_file(sample(cases[i].bands), cases[i].suffix);
        assert_true(raster_claimed_px(f.bytes, f.size) == cases[i].px);
        assert_true(raster_claimed_px(f.bytes, 29) == 0.0);
        g_free(f.bytes);
    }
}

// The library has a canvas of its own for WebP, which the child's limits must leave room for.
static void large_webp__is_read_in_the_child(void **state)
{
    (void)state;
    VipsImage *large = NULL;
    assert_int_equal(vips_black(&large, 8000, 7000, "bands", 3, NULL), 0);
    File f = write_file(large, ".webp[lossless=true,effort=0]");
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    Picture picture;
    PictureOptions options = picture_defaults();
    options.child_program = decode_child;
    Error err = {0};
    if (!picture_read(f.bytes, f.size, "large.webp", &options, &keep, &work, &picture, &err)) fail_msg("%s", err.text);
    assert_int_equal(picture.width_px, 8000);
    g_free(f.bytes);
    arena_free(&keep);
    arena_free(&work.scratch);
}

static void refusal__names_the_formats_that_work(void **state)
{
    (void)state;
    static const char *const files[] = {"%PDF-1.4 and so on", "BM bitmap of old", "hello, world", "P2 2 1 255 10 20"};
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        File f = {g_strdup(files[i]), strlen(files[i])};
        Reading r = read_file(f);
        assert_false(r.good);
        assert_int_equal(r.err.kind, ERROR_INPUT);
        for (int k = 0; k < 6; k++) {
            const char *const names[6] = {"PNG", "JPEG", "WebP", "TIFF", "GIF", "HEIC"};
            if (!strstr(r.err.text, names[k])) fail_msg("\"%s\" should say %s", r.err.text, names[k]);
        }
        done(&r);
    }
}

static int stop_library(void **state)
{
    (void)state;
    vips_shutdown();
    return 0;
}

int main(int argc, char **argv)
{
    if (argc < 2) return 2;
    decode_child = argv[1];
    Error err = {0};
    if (!raster_library_start(&err)) return 2;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plain_formats__give_the_picture),
        cmocka_unit_test(alpha__is_kept_where_the_format_has_it),
        cmocka_unit_test(sixteen_bits__become_eight),
        cmocka_unit_test(grey__has_three_equal_channels),
        cmocka_unit_test(one_bit__is_black_and_white),
        cmocka_unit_test(profiles__give_the_same_colours),
        cmocka_unit_test(cmyk_without_profile__is_read),
        cmocka_unit_test(broken_profile__does_not_cost_the_picture),
        cmocka_unit_test(all_orientations__stand_upright),
        cmocka_unit_test(many_frames__give_the_first),
        cmocka_unit_test(webp_header__tells_its_size_before_it_is_opened),
        cmocka_unit_test(large_webp__is_read_in_the_child),
        cmocka_unit_test(refusal__names_the_formats_that_work),
    };
    return cmocka_run_group_tests(tests, NULL, stop_library);
}
