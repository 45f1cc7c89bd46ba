// Tiny pictures drawn in code: what becomes a colour, what is ground, what is said about pictures that cannot be cut.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "separation/separation.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct Drawing {
    Arena keep;
    Work work;
    Picture picture;
    Separation s;
    Error err;
    bool good;
} Drawing;

typedef struct Paint {
    uint8_t r, g, b, a;
} Paint;

static const Paint white = {255, 255, 255, 255}, black = {0, 0, 0, 255}, red = {220, 30, 40, 255},
                   grey = {128, 128, 128, 255}, blue = {40, 60, 190, 255}, clear = {0, 0, 0, 0};

static Drawing canvas(int width, int height, Paint ground)
{
    Drawing d = {.keep = arena_make(0), .work = {.scratch = arena_make(0)}, .picture = {width, height, NULL}};
    d.picture.rgba = arena_new(&d.keep, uint8_t, width * height * 4);
    for (int i = 0; i < width * height; i++) memcpy(d.picture.rgba + i * 4, &ground, 4);
    return d;
}

static void put(Drawing *d, int x, int y, Paint p)
{
    memcpy(d->picture.rgba + (y * d->picture.width_px + x) * 4, &p, 4);
}

static void box(Drawing *d, int x0, int y0, int x1, int y1, Paint p)
{
    for (int y = y0; y < y1; y++)
        for (int x = x0; x < x1; x++) put(d, x, y, p);
}

static uint8_t mix(uint8_t a, uint8_t b, double share)
{
    return (uint8_t)lround(a + (b - a) * share);
}

// An antialiased disc: coverage from 8 x 8 points, blended in encoded values; over transparency it becomes alpha.
static void disc(Drawing *d, double cx, double cy, double radius, Paint p)
{
    for (int y = 0; y < d->picture.height_px; y++)
        for (int x = 0; x < d->picture.width_px; x++) {
            int inside = 0;
            for (int k = 0; k < 64; k++)
                inside += hypot(x + (k % 8 + 0.5) / 8 - cx, y + (k / 8 + 0.5) / 8 - cy) < radius;
            if (!inside) continue;
            uint8_t *q = d->picture.rgba + (y * d->picture.width_px + x) * 4;
            double share = inside / 64.0;
            if (q[3] == 0) {
                put(d, x, y, (Paint){p.r, p.g, p.b, (uint8_t)lround(255 * share)});
                continue;
            }
            put(d, x, y, (Paint){mix(q[0], p.r, share), mix(q[1], p.g, share), mix(q[2], p.b, share), q[3]});
        }
}

static void separate(Drawing *d, double smallest_area_px)
{
    SeparationOptions options = separation_defaults();
    options.smallest_area_px = smallest_area_px;
    d->good = separation_make(&d->picture, &options, &d->keep, &d->work, &d->s, &d->err);
}

static void separate_well(Drawing *d, double smallest_area_px)
{
    separate(d, smallest_area_px);
    if (!d->good) fail_msg("%s", d->err.text);
}

static void done(Drawing *d)
{
    arena_free(&d->keep);
    arena_free(&d->work.scratch);
}

static int label_at(const Drawing *d, int x, int y)
{
    return d->s.label[y * d->s.width_px + x];
}

static void assert_colour(const Drawing *d, int label, Paint p)
{
    assert_in_range(label, 1, d->s.colour_count);
    Srgb8 c = d->s.colours[label - 1].colour;
    assert_int_equal(c.r, p.r);
    assert_int_equal(c.g, p.g);
    assert_int_equal(c.b, p.b);
}

static void assert_refused(Drawing *d, ErrorKind kind, const char *words)
{
    separate(d, 1);
    assert_false(d->good);
    assert_null(d->s.label);
    assert_int_equal(d->err.kind, kind);
    if (!strstr(d->err.text, words)) fail_msg("\"%s\" should say \"%s\"", d->err.text, words);
    done(d);
}

static void disc_on_white__two_regions_and_exact_colour(void **state)
{
    (void)state;
    Drawing d = canvas(60, 50, white);
    disc(&d, 30.3, 24.7, 18.2, red);
    separate_well(&d, 2);
    assert_true(d.s.has_ground_colour);
    assert_int_equal(d.s.colour_count, 1);
    assert_int_equal(d.s.colours[0].region_count, 1);
    assert_colour(&d, label_at(&d, 30, 25), red);
    assert_string_equal(d.s.colours[0].name, "red");
    assert_int_equal(label_at(&d, 0, 0), 0);
    double area = 3.14159265 * 18.2 * 18.2;
    assert_true(fabs((double)d.s.colours[0].area_px - area) < 8.0);
    assert_false(d.s.hard_edged);
    assert_false(d.s.is_noisy);
    done(&d);
}

static void grey_between_black_and_white__never_edges_them(void **state)
{
    (void)state;
    Drawing d = canvas(120, 60, white);
    disc(&d, 30, 30, 22.4, black);
    disc(&d, 90, 30, 20.6, grey); // a true grey elsewhere, which is also what black on white blends to
    separate_well(&d, 1);
    assert_int_equal(d.s.colour_count, 2);
    for (int i = 0; i < 2; i++) assert_int_equal(d.s.colours[i].region_count, 1);
    for (int y = 0; y < 60; y++)
        for (int x = 0; x < 60; x++)
            if (label_at(&d, x, y)) assert_colour(&d, label_at(&d, x, y), black);
    assert_int_equal(d.s.findings.count, 0);
    done(&d);
}

static void white_that_is_closed_in__stays_paper(void **state)
{
    (void)state;
    Drawing d = canvas(60, 60, white);
    disc(&d, 30, 30, 25, red);
    disc(&d, 30, 30, 12, white);
    separate_well(&d, 2);
    assert_int_equal(d.s.colour_count, 2);
    assert_int_equal(label_at(&d, 1, 1), 0);
    assert_colour(&d, label_at(&d, 30, 30), white);
    done(&d);
}

static void transparency__is_ground_and_holes_too(void **state)
{
    (void)state;
    Drawing d = canvas(60, 60, clear);
    disc(&d, 30, 30, 25, white);
    box(&d, 25, 25, 35, 35, (Paint){77, 200, 13, 0}); // wild colour under alpha 0
    separate_well(&d, 2);
    assert_false(d.s.has_ground_colour);
    assert_int_equal(d.s.colour_count, 1);
    assert_int_equal(label_at(&d, 30, 30), 0);
    assert_int_equal(label_at(&d, 2, 2), 0);
    assert_colour(&d, label_at(&d, 30, 10), white);
    done(&d);
}

static void half_transparent_edge__belongs_to_the_larger_share(void **state)
{
    (void)state;
    Drawing d = canvas(20, 20, clear);
    box(&d, 5, 5, 15, 15, red);
    for (int y = 5; y < 15; y++) put(&d, 4, y, (Paint){red.r, red.g, red.b, 200});
    for (int y = 5; y < 15; y++) put(&d, 15, y, (Paint){255, 0, 255, 20}); // wild colour at low alpha
    separate_well(&d, 2);
    assert_int_equal(d.s.colour_count, 1);
    assert_int_equal(d.s.colours[0].area_px, 110);
    assert_true(d.s.box_px[0] == 4 && d.s.box_px[2] == 15);
    done(&d);
}

static void art_that_fills_the_frame__has_no_ground(void **state)
{
    (void)state;
    Drawing d = canvas(40, 40, white);
    box(&d, 0, 0, 20, 20, red);
    box(&d, 20, 0, 40, 20, black);
    box(&d, 0, 20, 20, 40, grey);
    separate_well(&d, 2);
    assert_false(d.s.has_ground_colour);
    assert_int_equal(d.s.colour_count, 4);
    for (int i = 0; i < 1600; i++) assert_int_not_equal(d.s.label[i], 0);
    done(&d);
}

static void corners_of_paper__are_ground_though_the_frame_is_not(void **state)
{
    (void)state;
    Drawing d = canvas(60, 60, red);
    for (int i = 0; i < 4; i++) box(&d, i & 1 ? 55 : 0, i & 2 ? 55 : 0, i & 1 ? 60 : 5, i & 2 ? 60 : 5, white);
    box(&d, 0, 20, 60, 40, black);
    separate_well(&d, 2);
    assert_true(d.s.has_ground_colour);
    assert_int_equal(d.s.ground_colour.r, 255);
    assert_int_equal(label_at(&d, 1, 1), 0);
    assert_int_equal(d.s.colour_count, 2);
    done(&d);
}

// Sky and grass, half a flag: a colour that is no bare paper has to go nearly all round to be the ground.
static void colour_on_half_of_the_frame__is_paper_and_told(void **state)
{
    (void)state;
    Drawing d = canvas(60, 60, blue);
    box(&d, 0, 30, 60, 60, red);
    separate_well(&d, 2);
    assert_false(d.s.has_ground_colour);
    assert_int_equal(d.s.colour_count, 2);
    assert_int_equal(d.s.findings.count, 1);
    assert_string_equal(d.s.findings.items[0].kind, "edge-colour");
    assert_non_null(strstr(d.s.findings.items[0].text, " fills half of the picture's edge and more and is cut as paper"));
    done(&d);
}

static void colour_round_a_figure_that_is_cut_off__is_ground(void **state)
{
    (void)state;
    Drawing d = canvas(60, 60, blue);
    box(&d, 10, 10, 60, 60, red); // cut off at the right and below: the blue has three corners and not two thirds
    separate_well(&d, 2);
    assert_false(d.s.has_ground_colour);
    done(&d);
    d = canvas(60, 60, blue);
    box(&d, 40, 20, 60, 60, red); // three corners, and two thirds
    separate_well(&d, 2);
    assert_true(d.s.has_ground_colour);
    assert_int_equal(d.s.findings.count, 0);
    done(&d);
    d = canvas(60, 60, white); // bare paper needs less: a bust cut off below
    box(&d, 0, 35, 60, 60, red);
    separate_well(&d, 2);
    assert_true(d.s.has_ground_colour);
    done(&d);
}

static void hard_edges__keep_thin_lines_exactly(void **state)
{
    (void)state;
    Drawing d = canvas(60, 60, white);
    box(&d, 5, 5, 55, 55, grey);
    for (int i = 8; i < 52; i++) put(&d, i, 20, red); // one pixel wide, a colour of its own
    for (int i = 8; i < 52; i++) put(&d, 12, i, red);
    separate_well(&d, 2);
    assert_true(d.s.hard_edged);
    assert_int_equal(d.s.colour_count, 2);
    assert_colour(&d, label_at(&d, 30, 20), red);
    assert_int_equal(d.s.colours[1].area_px, 87);
    assert_int_equal(d.s.findings.count, 1);
    assert_string_equal(d.s.findings.items[0].kind, "thin-colour");
    done(&d);
}

static void near_twins__are_one_colour(void **state)
{
    (void)state;
    Drawing d = canvas(60, 40, white);
    box(&d, 5, 5, 30, 35, red);
    box(&d, 30, 5, 50, 35, (Paint){221, 31, 41, 255});
    separate_well(&d, 2);
    assert_int_equal(d.s.colour_count, 1);
    assert_int_equal(d.s.colours[0].region_count, 1);
    assert_colour(&d, 1, red); // the larger one's value
    done(&d);
}

static void tiny_pictures__work_pixel_by_pixel(void **state)
{
    (void)state;
    Drawing two = canvas(2, 2, clear);
    put(&two, 0, 0, red);
    separate_well(&two, 1);
    assert_int_equal(two.s.colour_count, 1);
    assert_int_equal(label_at(&two, 0, 0), 1);
    assert_int_equal(label_at(&two, 1, 1), 0);
    done(&two);
    Drawing row = canvas(9, 1, red);
    box(&row, 3, 0, 6, 1, black);
    separate_well(&row, 1);
    assert_int_equal(row.s.colour_count, 1);
    assert_int_equal(label_at(&row, 4, 0), 1);
    done(&row);
    Drawing column = canvas(1, 9, red);
    box(&column, 0, 3, 1, 6, black);
    separate_well(&column, 1);
    assert_int_equal(label_at(&column, 0, 4), 1);
    done(&column);
    Drawing checks = canvas(8, 8, clear);
    for (int i = 0; i < 64; i++) put(&checks, i % 8, i / 8, (i % 8 + i / 8) % 2 ? black : red);
    separate_well(&checks, 1);
    assert_int_equal(checks.s.colour_count, 2);
    assert_int_equal(checks.s.colours[0].region_count, 32);
    done(&checks);
}

static void specks__are_listed_with_place_and_sizes(void **state)
{
    (void)state;
    Drawing d = canvas(100, 100, white);
    box(&d, 10, 10, 90, 90, red);
    box(&d, 40, 50, 43, 53, black); // 3 px: 30 mm at 800 mm for 80 px
    SeparationOptions options = separation_defaults();
    options.figure_height_mm = 800.0;
    options.smallest_part_mm = 45.0;
    assert_true(separation_make(&d.picture, &options, &d.keep, &d.work, &d.s, &d.err));
    assert_int_equal(d.s.colour_count, 1);
    assert_int_equal(d.s.colours[0].area_px, 6400);
    assert_int_equal(d.s.findings.count, 2);
    const Finding *f = &d.s.findings.items[0];
    assert_string_equal(f->kind, "speck-joined");
    assert_string_equal(f->text, "a speck of black, 30 x 30 mm, joined red");
    assert_true(f->x_mm == 41.5 && f->y_mm == 51.5);
    assert_string_equal(d.s.findings.items[1].kind, "colour-gone");
    options.smallest_part_mm = 42.0; // the circle round 3 x 3 has a diameter of 42.4
    assert_true(separation_make(&d.picture, &options, &d.keep, &d.work, &d.s, &d.err));
    assert_int_equal(d.s.colour_count, 2);
    done(&d);
}

// A picture of `size` pixels, 800 mm tall, with a square speck of `speck_px` in it and a part of its colour.
static void separate_with_speck(Drawing *d, int size, int speck_px)
{
    *d = canvas(size, size, white);
    box(d, 10, 10, size - 10, size - 10, red);
    box(d, 100, 100, 100 + size / 15, 100 + size / 15, black);
    box(d, 40, 50, 40 + speck_px, 50 + speck_px, black);
    SeparationOptions options = separation_defaults();
    options.figure_height_mm = 800.0;
    options.smallest_part_mm = 45.0;
    assert_true(separation_make(&d->picture, &options, &d->keep, &d->work, &d->s, &d->err));
}

static void crumbs__are_counted_at_the_end(void **state)
{
    (void)state;
    Drawing d;
    separate_with_speck(&d, 1020, 1); // 0.8 mm
    assert_int_equal(d.s.findings.count, 1);
    const Finding *f = &d.s.findings.items[0];
    assert_string_equal(f->kind, "specks-joined");
    assert_string_equal(f->text, "1 speck too small to list joined its neighbour");
    assert_true(f->x_mm == 40.5 && f->y_mm == 50.5);
    done(&d);
    separate_with_speck(&d, 1020, 2); // 1.6 mm, of four pixels
    assert_string_equal(d.s.findings.items[0].kind, "specks-joined");
    done(&d);
    separate_with_speck(&d, 1020, 3); // 2.4 mm
    assert_string_equal(d.s.findings.items[0].kind, "speck-joined");
    done(&d);
}

static void crumbs__of_a_coarse_picture_are_specks(void **state)
{
    (void)state;
    Drawing d;
    separate_with_speck(&d, 220, 1); // 4 mm
    assert_string_equal(d.s.findings.items[0].kind, "speck-joined");
    assert_string_equal(d.s.findings.items[0].text, "a speck of black, 4 x 4 mm, joined red");
    done(&d);
}

// A pixel of a coarse picture may be an eye, but not a hundred of them.
static void crumbs__that_are_many_are_counted_in_a_coarse_picture_too(void **state)
{
    (void)state;
    Drawing d = canvas(220, 220, white);
    box(&d, 10, 10, 210, 210, red);
    box(&d, 100, 100, 120, 120, black);
    for (int i = 0; i < 13; i++) box(&d, 20 + 12 * i, 50, 21 + 12 * i, 51, black);
    box(&d, 50, 70, 53, 73, black); // 3 x 3 pixels: a speck as ever
    SeparationOptions options = separation_defaults();
    options.figure_height_mm = 800.0; // 4 mm a pixel
    options.smallest_part_mm = 45.0;
    assert_true(separation_make(&d.picture, &options, &d.keep, &d.work, &d.s, &d.err));
    assert_int_equal(d.s.findings.count, 2);
    assert_string_equal(d.s.findings.items[0].text, "a speck of black, 12 x 12 mm, joined red");
    assert_string_equal(d.s.findings.items[1].text, "13 specks too small to list joined their neighbours");
    done(&d);
}

static void names__are_unique(void **state)
{
    (void)state;
    Drawing d = canvas(60, 40, white);
    box(&d, 5, 5, 25, 35, (Paint){130, 130, 130, 255});
    box(&d, 30, 5, 50, 20, (Paint){142, 142, 142, 255});
    separate_well(&d, 2);
    assert_int_equal(d.s.colour_count, 2);
    assert_string_equal(d.s.colours[0].name, "grey");
    assert_string_equal(d.s.colours[1].name, "grey b");
    done(&d);
}

static void nothing_to_cut__is_said(void **state)
{
    (void)state;
    Drawing all_clear = canvas(30, 30, clear), one_colour = canvas(30, 30, red), specks = canvas(200, 200, white);
    assert_refused(&all_clear, ERROR_JOB, "there is nothing to cut");
    assert_refused(&one_colour, ERROR_JOB, "one colour (#dc1e28)");
    box(&specks, 100, 100, 104, 104, red);
    SeparationOptions options = separation_defaults();
    options.smallest_area_px = 50;
    assert_false(separation_make(&specks.picture, &options, &specks.keep, &specks.work, &specks.s, &specks.err));
    assert_int_equal(specks.err.kind, ERROR_JOB);
    assert_non_null(strstr(specks.err.text, "make it taller"));
    done(&specks);
}

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

static bool found(const Drawing *d, const char *kind)
{
    for (size_t i = 0; i < d->s.findings.count; i++)
        if (strcmp(d->s.findings.items[i].kind, kind) == 0) return true;
    return false;
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

static void memory_that_runs_out__is_said_at_each_step(void **state)
{
    (void)state;
    int64_t step = 0;
    for (bool good = false; !good; step++) {
        assert_true(step < 2000);
        Drawing d = canvas(40, 40, white);
        disc(&d, 20, 20, 12, red);
        disc(&d, 20, 20, 3, black);
        if (step % 2)
            d.keep.fail_after = step / 2;
        else
            d.work.scratch.fail_after = step / 2;
        separate(&d, 40);
        good = d.good && step > 100;
        if (!d.good) {
            assert_int_equal(d.err.kind, ERROR_SYSTEM);
            assert_null(d.s.label);
        }
        done(&d);
    }
}

static void wish_to_stop__is_heard(void **state)
{
    (void)state;
    Drawing d = canvas(40, 40, white);
    disc(&d, 20, 20, 12, red);
    atomic_bool cancel = true;
    d.work.cancel = &cancel;
    assert_refused(&d, ERROR_CANCELLED, "stopped");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(disc_on_white__two_regions_and_exact_colour),
        cmocka_unit_test(grey_between_black_and_white__never_edges_them),
        cmocka_unit_test(white_that_is_closed_in__stays_paper),
        cmocka_unit_test(transparency__is_ground_and_holes_too),
        cmocka_unit_test(half_transparent_edge__belongs_to_the_larger_share),
        cmocka_unit_test(art_that_fills_the_frame__has_no_ground),
        cmocka_unit_test(corners_of_paper__are_ground_though_the_frame_is_not),
        cmocka_unit_test(colour_on_half_of_the_frame__is_paper_and_told),
        cmocka_unit_test(colour_round_a_figure_that_is_cut_off__is_ground),
        cmocka_unit_test(hard_edges__keep_thin_lines_exactly),
        cmocka_unit_test(near_twins__are_one_colour),
        cmocka_unit_test(tiny_pictures__work_pixel_by_pixel),
        cmocka_unit_test(specks__are_listed_with_place_and_sizes),
        cmocka_unit_test(crumbs__are_counted_at_the_end),
        cmocka_unit_test(crumbs__of_a_coarse_picture_are_specks),
        cmocka_unit_test(crumbs__that_are_many_are_counted_in_a_coarse_picture_too),
        cmocka_unit_test(names__are_unique),
        cmocka_unit_test(nothing_to_cut__is_said),
        cmocka_unit_test(shading__is_said_to_be_a_photograph),
        cmocka_unit_test(shaded_figure_on_a_flat_ground__is_said_to_be_a_photograph),
        cmocka_unit_test(clean_gradient__is_said_to_be_a_photograph),
        cmocka_unit_test(small_fields__of_few_colours_are_no_photograph),
        cmocka_unit_test(colour_dulled_along_edges__is_compression_and_no_softness),
        cmocka_unit_test(pale_colour_rounded_in_places__stays_one),
        cmocka_unit_test(shadow__is_told_with_its_place_and_colours),
        cmocka_unit_test(softness__is_of_lightness_under_compression),
        cmocka_unit_test(plain_sky_over_texture__is_said_to_be_a_photograph),
        cmocka_unit_test(memory_that_runs_out__is_said_at_each_step),
        cmocka_unit_test(wish_to_stop__is_heard),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
