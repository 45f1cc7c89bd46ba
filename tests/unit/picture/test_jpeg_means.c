// test_jpeg_means.c - what a JPEG file says of its blocks, in this process and through a child; and nothing from bad bytes.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "picture/jpeg_means.h"
#include "support/picture_file.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *decode_child; // from the command line, set once

static double mean(const BlockMeans *m, int x, int y)
{
    return (double)m->multiples[y * m->across + x] * m->step / 8.0;
}

// 16 x 8: blue on the left, red on the right. Values: ITU-T T.871.
static void jpeg__blocks_have_the_means_of_their_colours(void **state)
{
    (void)state;
    Bytes b = load("plain.jpg");
    BlockMeans m[PICTURE_MEANS];
    assert_true(jpeg_means_read(b.data, b.size, 16, 8, m));
    assert_int_equal(m[0].across, 2);
    assert_int_equal(m[0].down, 1);
    assert_true(fabs(mean(&m[0], 0, 0) - (29.1 - 128.0)) <= m[0].step / 8.0 + 1.0);
    assert_true(fabs(mean(&m[0], 1, 0) - (76.2 - 128.0)) <= m[0].step / 8.0 + 1.0);
    for (int c = 1; c < PICTURE_MEANS; c++) {
        const double blue = c == 1 ? 127.5 : -20.7, red = c == 1 ? -43.0 : 127.5;
        bool is_halved = m[c].across == 1;
        double expected = is_halved ? (blue + red) / 2.0 : blue;
        assert_int_equal(m[c].width_px, is_halved ? 16 : 8);
        assert_true(fabs(mean(&m[c], 0, 0) - expected) <= m[c].step / 8.0 + 1.0);
    }
    jpeg_means_free(m);
    assert_null(m[0].multiples);
}

static Picture read_by(const Bytes *b, const char *child, Arena *keep)
{
    Picture p;
    Error err = {0};
    Work work = {.scratch = arena_make(0)};
    PictureOptions options = picture_defaults();
    options.child_program = child;
    if (!picture_read(b->data, b->size, "some.jpg", &options, keep, &work, &p, &err)) fail_msg("%s", err.text);
    arena_free(&work.scratch);
    return p;
}

static void child__gives_the_same_means(void **state)
{
    (void)state;
    Bytes b = load("plain.jpg");
    Arena keep = arena_make(0);
    Picture here = read_by(&b, NULL, &keep), there = read_by(&b, decode_child, &keep);
    assert_true(picture_has_means(&here) && picture_has_means(&there));
    for (int c = 0; c < PICTURE_MEANS; c++) {
        assert_int_equal(here.means[c].step, there.means[c].step);
        assert_int_equal(block_means_count(&here.means[c]), block_means_count(&there.means[c]));
        assert_memory_equal(here.means[c].multiples, there.means[c].multiples, block_means_count(&here.means[c]) * sizeof(int16_t));
    }
    arena_free(&keep);
}

static void other_files__have_none(void **state)
{
    (void)state;
    static const char *const names[] = {"two-colours.png", "grey.png"};
    Arena keep = arena_make(0);
    for (int i = 0; i < 2; i++) {
        Bytes b = load(names[i]);
        Picture p = read_by(&b, decode_child, &keep);
        assert_false(picture_has_means(&p));
    }
    arena_free(&keep);
}

// Turned pixels lie elsewhere than the file's blocks. TIFF 6.0 tag 0x0112 in an Exif segment; 3 = upside down, which keeps the size.
static void turned_jpeg__has_none(void **state)
{
    (void)state;
    const unsigned char exif[] = {0xff, 0xe1, 0, 34, 'E', 'x', 'i', 'f', 0, 0, 'I', 'I', 42, 0, 8, 0, 0, 0,
                                  1,    0,    0x12, 1,  3,   0,   1,   0,   0, 0, 3,   0,   0,  0, 0, 0, 0, 0};
    Bytes plain = load("plain.jpg"), b = {.size = plain.size + sizeof exif};
    memcpy(b.data, plain.data, 2);
    memcpy(b.data + 2, exif, sizeof exif);
    memcpy(b.data + 2 + sizeof exif, plain.data + 2, plain.size - 2);
    Arena keep = arena_make(0);
    Picture p = read_by(&b, NULL, &keep);
    assert_false(picture_has_means(&p));
    arena_free(&keep);
}

static void wrong_size_and_cut_file__give_nothing(void **state)
{
    (void)state;
    Bytes b = load("plain.jpg");
    BlockMeans m[PICTURE_MEANS];
    assert_false(jpeg_means_read(b.data, b.size, 16, 9, m));
    assert_false(jpeg_means_read(b.data, b.size / 2, 16, 8, m));
    assert_false(jpeg_means_read(b.data, 0, 16, 8, m));
    assert_int_equal(m[0].step, 0);
}

static void damaged_bytes__give_fitting_means_or_nothing(void **state)
{
    (void)state;
    Bytes whole = load("plain.jpg");
    Rng rng = rng_make(11);
    int given = 0;
    for (int i = 0; i < 2000; i++) {
        Bytes b = whole;
        BlockMeans m[PICTURE_MEANS];
        for (int k = 0; k < 3; k++) b.data[2 + rng_below(&rng, (uint32_t)b.size - 2)] = (unsigned char)rng_below(&rng, 256);
        if (!jpeg_means_read(b.data, b.size, 16, 8, m)) {
            assert_null(m[2].multiples);
            continue;
        }
        for (int c = 0; c < PICTURE_MEANS; c++) assert_true(block_means_fit(&m[c], 16, 8));
        jpeg_means_free(m);
        given++;
    }
    assert_true(given > 0 && given < 2000);
}

static void shapes_that_do_not_cover_the_picture__do_not_fit(void **state)
{
    (void)state;
    const BlockMeans good = {.step = 8, .width_px = 16, .height_px = 8, .across = 3, .down = 5};
    assert_true(block_means_fit(&good, 33, 40));
    assert_true(block_means_fit(&good, 48, 33));
    assert_false(block_means_fit(&good, 49, 40));
    assert_false(block_means_fit(&good, 48, 41));
    BlockMeans bad[6] = {good, good, good, good, good, good};
    bad[0].step = 0, bad[1].step = -8, bad[2].width_px = 0, bad[3].height_px = 12, bad[4].across = 1 << 30, bad[5].down = -5;
    for (int i = 0; i < 6; i++) assert_false(block_means_fit(&bad[i], 48, 40));
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(jpeg__blocks_have_the_means_of_their_colours),
        cmocka_unit_test(child__gives_the_same_means),
        cmocka_unit_test(other_files__have_none),
        cmocka_unit_test(turned_jpeg__has_none),
        cmocka_unit_test(wrong_size_and_cut_file__give_nothing),
        cmocka_unit_test(damaged_bytes__give_fitting_means_or_nothing),
        cmocka_unit_test(shapes_that_do_not_cover_the_picture__do_not_fit),
    };
    if (argc < 2) return 2;
    decode_child = argv[1];
    return cmocka_run_group_tests(tests, NULL, NULL);
}
