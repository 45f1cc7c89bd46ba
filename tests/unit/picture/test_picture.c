// Reading pictures: what the pixels are, in this process and in a child, and what is said about bad files.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "picture/picture.h"
#include "support/picture_file.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static const char *decode_child, *crashing_child, *hanging_child, *silent_child; // from the command line, set once

typedef struct Reading {
    Arena keep;
    Work work;
    Picture picture;
    Error err;
    bool good;
} Reading;

static Reading read_with(const Bytes *b, const char *child, double limit_px, const atomic_bool *cancel)
{
    Reading r = {.keep = arena_make(0), .work = {.scratch = arena_make(0), .cancel = cancel}};
    PictureOptions options = picture_defaults();
    options.child_program = child;
    if (limit_px > 0.0) options.limit_px = limit_px;
    r.good = picture_read(b->data, b->size, "some.png", &options, &r.keep, &r.work, &r.picture, &r.err);
    return r;
}

static void done(Reading *r)
{
    arena_free(&r->keep);
    arena_free(&r->work.scratch);
}

static void assert_pixel(const Picture *p, int x, int y, int r, int g, int b, int a, int within)
{
    const uint8_t *q = p->rgba + ((size_t)y * (size_t)p->width_px + (size_t)x) * 4;
    assert_in_range(q[0] + within, r, r + 2 * within);
    assert_in_range(q[1] + within, g, g + 2 * within);
    assert_in_range(q[2] + within, b, b + 2 * within);
    assert_int_equal(q[3], a);
}

static void assert_refused(const Bytes *b, double limit_px, const char *words, ErrorKind kind)
{
    const char *children[2] = {NULL, decode_child};
    for (int i = 0; i < 2; i++) {
        Reading r = read_with(b, children[i], limit_px, NULL);
        assert_false(r.good);
        assert_null(r.picture.rgba);
        assert_int_equal(r.err.kind, kind);
        if (!strstr(r.err.text, words)) fail_msg("\"%s\" should say \"%s\"", r.err.text, words);
        if (strncmp(r.err.text, "some.png: ", 10) != 0) fail_msg("\"%s\" should begin with the name", r.err.text);
        assert_null(strchr(r.err.text, '\n'));
        done(&r);
    }
}

static void both_ways__give_the_same_pixels(void **state)
{
    (void)state;
    static const char *const names[] = {"two-colours.png", "alpha-16-bit.png", "grey.png", "plain.jpg",
                                        "display-p3.png"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        Bytes b = load(names[i]);
        Reading here = read_with(&b, NULL, 0.0, NULL), there = read_with(&b, decode_child, 0.0, NULL);
        assert_true(here.good);
        if (!there.good) fail_msg("%s: %s", names[i], there.err.text);
        assert_int_equal(here.picture.width_px, there.picture.width_px);
        assert_int_equal(here.picture.height_px, there.picture.height_px);
        assert_memory_equal(here.picture.rgba, there.picture.rgba,
                            (size_t)here.picture.width_px * (size_t)here.picture.height_px * 4);
        done(&here);
        done(&there);
    }
}

static void png_without_alpha__becomes_opaque(void **state)
{
    (void)state;
    Bytes b = load("two-colours.png");
    Reading r = read_with(&b, NULL, 0.0, NULL);
    assert_int_equal(r.picture.width_px, 3);
    assert_int_equal(r.picture.height_px, 2);
    assert_pixel(&r.picture, 0, 0, 255, 128, 0, 255, 0);
    assert_pixel(&r.picture, 2, 1, 0x1d, 0x2f, 0x5a, 255, 0);
    done(&r);
}

static void png_of_16_bits__keeps_alpha(void **state)
{
    (void)state;
    Bytes b = load("alpha-16-bit.png");
    Reading r = read_with(&b, NULL, 0.0, NULL);
    assert_int_equal(r.picture.rgba[3], 0);
    assert_pixel(&r.picture, 3, 1, 200, 40, 10, 255, 1);
    done(&r);
}

static void grey_png__becomes_rgb(void **state)
{
    (void)state;
    Bytes b = load("grey.png");
    Reading r = read_with(&b, NULL, 0.0, NULL);
    const uint8_t *p = r.picture.rgba;
    assert_int_equal(p[0], p[1]);
    assert_int_equal(p[1], p[2]);
    assert_in_range(p[0], 120, 135);
    done(&r);
}

static void embedded_profile__is_honoured(void **state)
{
    (void)state;
    Bytes b = load("display-p3.png"); // stored values differ from sRGB by 15 and more
    Reading r = read_with(&b, NULL, 0.0, NULL);
    assert_pixel(&r.picture, 1, 1, 200, 40, 10, 255, 3);
    done(&r);
}

// A JPEG with an orientation tag: TIFF 6.0 tag 0x0112 in an Exif segment; 6 = turn right.
static Bytes with_orientation(const Bytes *jpeg, unsigned char orientation)
{
    const unsigned char exif[] = {0xff, 0xe1, 0,    34, 'E', 'x', 'i', 'f', 0, 0, 'I',         'I', 42, 0, 8, 0, 0, 0,
                                  1,    0,    0x12, 1,  3,   0,   1,   0,   0, 0, orientation, 0,   0,  0, 0, 0, 0, 0};
    Bytes b = {.size = jpeg->size + sizeof exif};
    memcpy(b.data, jpeg->data, 2);
    memcpy(b.data + 2, exif, sizeof exif);
    memcpy(b.data + 2 + sizeof exif, jpeg->data + 2, jpeg->size - 2);
    return b;
}

static void orientation__turns_the_picture(void **state)
{
    (void)state;
    Bytes plain = load("plain.jpg"), b = with_orientation(&plain, 6);
    Reading flat = read_with(&plain, NULL, 0.0, NULL), r = read_with(&b, decode_child, 0.0, NULL);
    if (!r.good) fail_msg("%s", r.err.text);
    assert_int_equal(flat.picture.width_px, 16);
    assert_pixel(&flat.picture, 2, 4, 0, 0, 255, 255, 8);
    assert_int_equal(r.picture.width_px, 8);
    assert_int_equal(r.picture.height_px, 16);
    assert_pixel(&r.picture, 4, 2, 0, 0, 255, 255, 8); // what was left is above
    assert_pixel(&r.picture, 4, 13, 255, 0, 0, 255, 8);
    done(&flat);
    done(&r);
}

static void bad_files__are_refused_in_one_sentence(void **state)
{
    (void)state;
    Bytes empty = {.size = 0}, text = {.size = 13}, svg = {.size = 29};
    memcpy(text.data, "not a picture", 13);
    memcpy(svg.data, "<svg xmlns=\"x\"><rect/></svg>\n", 29);
    assert_refused(&empty, 0.0, "empty", ERROR_INPUT);
    assert_refused(&text, 0.0, "PNG, JPEG", ERROR_INPUT);
    assert_refused(&svg, 0.0, "export it as a PNG", ERROR_INPUT);
    Bytes cut = load("two-colours.png");
    cut.size = 60;
    assert_refused(&cut, 0.0, "cut off", ERROR_INPUT);
}

static void photograph_whose_comment_speaks_of_svg__is_read(void **state)
{
    (void)state;
    Bytes plain = load("plain.jpg"), spoken = plain;
    const unsigned char comment[] = {0xFF, 0xFE, 0, 8, '<', 's', 'v', 'g', '>', '.'};
    assert_true(plain.size + sizeof comment <= sizeof spoken.data);
    memcpy(spoken.data + 2, comment, sizeof comment); // behind the start mark
    memcpy(spoken.data + 2 + sizeof comment, plain.data + 2, plain.size - 2);
    spoken.size += sizeof comment;
    Reading r = read_with(&spoken, NULL, 0.0, NULL);
    assert_true(r.good);
    done(&r);
}

static void truncated_pixels__are_refused(void **state)
{
    (void)state;
    Bytes png = load("display-p3.png"), jpeg = load("plain.jpg");
    png.size -= 40;
    jpeg.size -= 20;
    assert_refused(&png, 0.0, "cut off", ERROR_INPUT);
    assert_refused(&jpeg, 0.0, "cut off", ERROR_INPUT);
}

static uint32_t crc32_of(const unsigned char *bytes, size_t count) // PNG specification, annex D
{
    uint32_t crc = 0xffffffffu;
    for (size_t i = 0; i < count; i++) {
        crc ^= bytes[i];
        for (int k = 0; k < 8; k++) crc = crc & 1 ? crc >> 1 ^ 0xedb88320u : crc >> 1;
    }
    return ~crc;
}

static void put_be32(unsigned char *at, uint32_t value)
{
    for (int i = 0; i < 4; i++) at[i] = (unsigned char)(value >> (24 - 8 * i));
}

static void giant_header__is_refused_with_its_size(void **state)
{
    (void)state;
    Bytes b = load("two-colours.png");
    put_be32(b.data + 16, 65000);
    put_be32(b.data + 20, 65000);
    put_be32(b.data + 29, crc32_of(b.data + 12, 17));
    assert_refused(&b, 0.0, "65000 x 65000 pixels", ERROR_INPUT);
}

static void limit__is_what_the_options_say(void **state)
{
    (void)state;
    Bytes b = load("grey.png"); // 5 x 4
    Reading r = read_with(&b, decode_child, 20.0, NULL);
    assert_true(r.good);
    done(&r);
    assert_refused(&b, 19.0, "5 x 4 pixels", ERROR_INPUT);
}

static void damaged_bytes__never_harm_the_parent(void **state)
{
    (void)state;
    Bytes whole = load("plain.jpg");
    for (size_t i = 2; i < whole.size; i += 3) {
        Bytes b = whole;
        b.data[i] ^= 0x5a;
        Reading r = read_with(&b, i % 30 == 2 ? decode_child : NULL, 0.0, NULL);
        assert_true(r.good ? r.picture.rgba != NULL : r.err.kind == ERROR_INPUT);
        done(&r);
    }
}

static void bad_children__become_errors(void **state)
{
    (void)state;
    Bytes b = load("grey.png");
    const struct {
        const char *program, *words;
        ErrorKind kind;
    } cases[] = {
        {crashing_child, "failed badly", ERROR_INPUT},
        {silent_child, "without an answer", ERROR_SYSTEM},
        {"/nowhere/at/all", "could not be started", ERROR_SYSTEM},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Reading r = read_with(&b, cases[i].program, 0.0, NULL);
        assert_false(r.good);
        assert_int_equal(r.err.kind, cases[i].kind);
        if (!strstr(r.err.text, cases[i].words)) fail_msg("\"%s\"", r.err.text);
        done(&r);
    }
}

static double seconds(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

// It sleeps and uses no processor time, so that only the wait can end it.
static void child_that_takes_too_long__is_ended(void **state)
{
    (void)state;
    Bytes b = {.size = 4, .data = "abcd"};
    Reading r = {.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    PictureOptions options = picture_defaults();
    options.child_program = hanging_child;
    options.wait_s = 0.2;
    assert_false(picture_read(b.data, b.size, "some.png", &options, &r.keep, &r.work, &r.picture, &r.err));
    assert_int_equal(r.err.kind, ERROR_INPUT);
    assert_non_null(strstr(r.err.text, "took more than"));
    assert_null(r.picture.rgba);
    done(&r);
}

static void wish_to_stop__ends_a_hanging_child(void **state)
{
    (void)state;
    Bytes b = load("grey.png");
    atomic_bool cancel = true;
    Reading r = read_with(&b, hanging_child, 0.0, &cancel);
    assert_int_equal(r.err.kind, ERROR_CANCELLED);
    done(&r);
}

static void *wish_later(void *wish)
{
    const struct timespec pause = {.tv_nsec = 100 * 1000 * 1000};
    nanosleep(&pause, NULL);
    atomic_store((atomic_bool *)wish, true);
    return NULL;
}

static void wish_that_comes_late__is_heard_soon(void **state)
{
    (void)state;
    Bytes b = load("grey.png");
    atomic_bool cancel = false;
    pthread_t thread;
    double start = seconds();
    assert_int_equal(pthread_create(&thread, NULL, wish_later, &cancel), 0);
    Reading r = read_with(&b, hanging_child, 0.0, &cancel);
    assert_int_equal(r.err.kind, ERROR_CANCELLED);
    assert_true(seconds() - start >= 0.1);
    assert_true(seconds() - start < 5.0);
    assert_int_equal(pthread_join(thread, NULL), 0);
    done(&r);
}

static void memory_that_runs_out__is_said(void **state)
{
    (void)state;
    Bytes b = load("grey.png");
    Arena keep = arena_make(16);
    Work work = {.scratch = arena_make(0)};
    Picture p;
    Error err = {0};
    PictureOptions options = picture_defaults();
    assert_false(picture_read(b.data, b.size, "some.png", &options, &keep, &work, &p, &err));
    assert_int_equal(err.kind, ERROR_SYSTEM);
    arena_free(&keep);
    arena_free(&work.scratch);
}

int main(int argc, char **argv)
{
    if (argc < 5) return 2;
    decode_child = argv[1], crashing_child = argv[2], hanging_child = argv[3], silent_child = argv[4];
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(both_ways__give_the_same_pixels),
        cmocka_unit_test(png_without_alpha__becomes_opaque),
        cmocka_unit_test(png_of_16_bits__keeps_alpha),
        cmocka_unit_test(grey_png__becomes_rgb),
        cmocka_unit_test(embedded_profile__is_honoured),
        cmocka_unit_test(orientation__turns_the_picture),
        cmocka_unit_test(bad_files__are_refused_in_one_sentence),
        cmocka_unit_test(photograph_whose_comment_speaks_of_svg__is_read),
        cmocka_unit_test(truncated_pixels__are_refused),
        cmocka_unit_test(giant_header__is_refused_with_its_size),
        cmocka_unit_test(limit__is_what_the_options_say),
        cmocka_unit_test(damaged_bytes__never_harm_the_parent),
        cmocka_unit_test(bad_children__become_errors),
        cmocka_unit_test(child_that_takes_too_long__is_ended),
        cmocka_unit_test(wish_to_stop__ends_a_hanging_child),
        cmocka_unit_test(wish_that_comes_late__is_heard_soon),
        cmocka_unit_test(memory_that_runs_out__is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
