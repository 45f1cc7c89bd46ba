// Laws over seeded drawings: shapes antialiased from 4 x 4 points, turned in hue, mirrored, padded, noisy, on
// coloured ground or transparency.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "separation/despeckle.h"
#include "separation/runs.h"
#include "separation/separation.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define ROUNDS 60
#define MOST_SHAPES 7
#define MOST_PAINTS 5

typedef struct Shape {
    double x, y, width, height; // centre and half sizes
    bool is_disc;
    int paint;
} Shape;

typedef struct Scene { // unit square; painted in order
    Shape shapes[MOST_SHAPES];
    int shape_count;
    uint8_t paints[MOST_PAINTS][3]; // [0] = ground
    int paint_count;
} Scene;

typedef struct Result {
    Arena keep;
    Work work;
    Picture picture;
    Separation s;
} Result;

static double paint_distance(const uint8_t a[3], const uint8_t b[3])
{
    return lab_difference_2000(lab_from_srgb8((Srgb8){a[0], a[1], a[2]}), lab_from_srgb8((Srgb8){b[0], b[1], b[2]}));
}

static Scene random_scene(Rng *rng)
{
    Scene s = {.shape_count = 2 + (int)rng_below(rng, MOST_SHAPES - 1),
               .paint_count = 3 + (int)rng_below(rng, MOST_PAINTS - 2)};
    for (int i = 0; i < s.paint_count;) {
        for (int c = 0; c < 3; c++) s.paints[i][c] = (uint8_t)(rng_below(rng, 18) * 15);
        bool apart = true;
        for (int k = 0; k < i; k++) apart = apart && paint_distance(s.paints[i], s.paints[k]) > 12.0;
        i += apart;
    }
    for (int i = 0; i < s.shape_count; i++)
        s.shapes[i] = (Shape){0.25 + 0.5 * rng_unit(rng),  0.25 + 0.5 * rng_unit(rng),
                              0.04 + 0.16 * rng_unit(rng), 0.04 + 0.16 * rng_unit(rng),
                              rng_below(rng, 2) == 0,      1 + (int)rng_below(rng, (uint32_t)s.paint_count - 1)};
    return s;
}

static int paint_at(const Scene *s, double x, double y)
{
    int paint = 0;
    for (int i = 0; i < s->shape_count; i++) {
        const Shape *h = &s->shapes[i];
        double dx = fabs(x - h->x) / h->width, dy = fabs(y - h->y) / h->height;
        if (h->is_disc ? dx * dx + dy * dy < 1.0 : dx < 1.0 && dy < 1.0) paint = h->paint;
    }
    return paint;
}

// `truth` gets the paints with the largest share of each pixel, as bits: an edge may halve a pixel exactly.
static void draw(const Scene *s, int side, bool on_clear, uint8_t *rgba, uint8_t *truth)
{
    for (int y = 0; y < side; y++)
        for (int x = 0; x < side; x++) {
            int share[MOST_PAINTS] = {0}, sum[3] = {0}, solid = 0, most = 0, best = 0;
            for (int k = 0; k < 16; k++)
                share[paint_at(s, (x + (k % 4 + 0.5) / 4) / side, (y + (k / 4 + 0.5) / 4) / side)]++;
            for (int p = 0; p < s->paint_count; p++) {
                if (share[p] > most) most = share[p], best = 0;
                if (share[p] == most) best |= 1 << p;
                if (on_clear && p == 0) continue;
                solid += share[p];
                for (int c = 0; c < 3; c++) sum[c] += share[p] * s->paints[p][c];
            }
            uint8_t *q = rgba + ((size_t)y * (size_t)side + (size_t)x) * 4;
            for (int c = 0; c < 3; c++) q[c] = solid ? (uint8_t)((sum[c] + solid / 2) / solid) : (uint8_t)(x * y);
            q[3] = (uint8_t)((solid * 255 + 8) / 16);
            truth[(size_t)y * (size_t)side + (size_t)x] = (uint8_t)best;
        }
}

static Result separate(const uint8_t *rgba, int width, int height, const SeparationOptions *options)
{
    Result r = {.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    Error err = {0};
    r.picture = (Picture){.width_px = width, .height_px = height, .rgba = arena_copy(&r.keep, rgba, (size_t)width * (size_t)height, 4)};
    if (!separation_make(&r.picture, options, &r.keep, &r.work, &r.s, &err)) fail_msg("%s", err.text);
    return r;
}

static void done(Result *r)
{
    arena_free(&r->keep);
    arena_free(&r->work.scratch);
}

static SeparationOptions by_area(double px)
{
    SeparationOptions o = separation_defaults();
    o.smallest_area_px = px;
    return o;
}

static void assert_counts_are_those_of_the_map(Result *r)
{
    const Separation *s = &r->s;
    int64_t area[256] = {0}, sum = 0;
    int regions[256] = {0};
    Runs runs;
    Error err = {0};
    assert_true(runs_make(s->label, s->width_px, s->height_px, &r->work.scratch, &r->work, &runs, &err));
    for (int32_t i = 0; i < runs.part_count; i++) {
        area[runs.parts[i].label] += runs.parts[i].area_px;
        regions[runs.parts[i].label]++;
    }
    for (int i = 0; i <= s->colour_count; i++) sum += area[i];
    assert_int_equal(sum, (int64_t)s->width_px * s->height_px); // no label beyond the colours
    for (int i = 0; i < s->colour_count; i++) {
        assert_int_equal(s->colours[i].area_px, area[i + 1]);
        assert_int_equal(s->colours[i].region_count, regions[i + 1]);
        assert_true(i == 0 || s->colours[i - 1].area_px >= s->colours[i].area_px);
    }
}

static int paint_of_label(const Scene *scene, const Separation *s, int label)
{
    if (!label) return 0;
    const Srgb8 c = s->colours[label - 1].colour;
    int at = 0;
    while (at < scene->paint_count && memcmp(scene->paints[at], &c, 3) != 0) at++;
    if (at == scene->paint_count) fail_msg("#%02x%02x%02x was not drawn", c.r, c.g, c.b);
    return at;
}

static void labels__partition_the_picture_and_counts_hold(void **state)
{
    (void)state;
    enum { SIDE = 120 };
    static uint8_t rgba[SIDE * SIDE * 4], truth[SIDE * SIDE];
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Rng rng = rng_make(seed);
        Scene scene = random_scene(&rng);
        bool on_clear = rng_below(&rng, 2) == 0;
        draw(&scene, SIDE, on_clear, rgba, truth);
        SeparationOptions o = by_area(seed % 3 ? 1 : 1 + rng_below(&rng, 30));
        Result r = separate(rgba, SIDE, SIDE, &o);
        assert_counts_are_those_of_the_map(&r);
        int wrong = 0;
        for (int i = 0; i < SIDE * SIDE; i++) {
            int mine = paint_of_label(&scene, &r.s, r.s.label[i]);
            wrong += !(truth[i] >> mine & 1);
        }
        if (o.smallest_area_px == 1 && wrong > SIDE * SIDE / 500)
            fail_msg("seed %d: %d pixels have a wrong label", (int)seed, wrong);
        done(&r);
    }
}

static void clean_up__leaves_no_speck_under_the_limit(void **state)
{
    (void)state;
    enum { SIDE = 64 };
    static uint8_t rgba[SIDE * SIDE * 4];
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Rng rng = rng_make(1000 + seed);
        int share = 2 + (int)rng_below(&rng, 30); // dots on two halves
        for (int i = 0; i < SIDE * SIDE; i++) {
            int paint = rng_below(&rng, (uint32_t)share) == 0 ? (int)rng_below(&rng, 3) : i % SIDE < SIDE / 2 ? 0 : 1;
            const uint8_t paints[3][4] = {{0, 0, 0, 255}, {240, 30, 60, 255}, {20, 200, 90, 255}};
            memcpy(rgba + i * 4, paints[paint], 4);
        }
        SeparationOptions o = by_area(0);
        o.figure_height_mm = SIDE; // 1 mm a pixel: nothing is ground here, or half is
        o.smallest_part_mm = 1.5 + 6 * rng_unit(&rng);
        o.smallest_hole_mm = o.smallest_part_mm;
        if (seed % 2) o.smallest_area_px = 1 + rng_below(&rng, 40);
        Result r = separate(rgba, SIDE, SIDE, &o);
        assert_counts_are_those_of_the_map(&r);
        Runs runs;
        Error err = {0};
        assert_true(runs_make(r.s.label, SIDE, SIDE, &r.work.scratch, &r.work, &runs, &err));
        double mm_per_px = o.figure_height_mm / (r.s.box_px[3] - r.s.box_px[1]);
        for (int32_t i = 0; i < runs.part_count; i++) {
            if (o.smallest_area_px > 0)
                assert_true((double)runs.parts[i].area_px >= o.smallest_area_px);
            else
                assert_true(part_circle_px(&runs, i, 1e9) * mm_per_px > o.smallest_part_mm - 1e-6);
        }
        done(&r);
    }
}

static void mirror__gives_the_mirrored_counts(void **state)
{
    (void)state;
    enum { SIDE = 100 };
    static uint8_t rgba[SIDE * SIDE * 4], mirrored[SIDE * SIDE * 4], truth[SIDE * SIDE];
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Rng rng = rng_make(2000 + seed);
        Scene scene = random_scene(&rng);
        draw(&scene, SIDE, seed % 2, rgba, truth);
        for (int i = 0; i < SIDE * SIDE; i++)
            memcpy(mirrored + i * 4, rgba + (i / SIDE * SIDE + SIDE - 1 - i % SIDE) * 4, 4);
        SeparationOptions o = by_area(12);
        Result a = separate(rgba, SIDE, SIDE, &o), b = separate(mirrored, SIDE, SIDE, &o);
        if (a.s.colour_count != b.s.colour_count)
            fail_msg("seed %d: %d and %d colours", (int)seed, a.s.colour_count, b.s.colour_count);
        for (int i = 0; i < a.s.colour_count; i++) {
            assert_int_equal(a.s.colours[i].region_count, b.s.colours[i].region_count);
            assert_true(llabs(a.s.colours[i].area_px - b.s.colours[i].area_px) <= 8);
        }
        done(&a);
        done(&b);
    }
}

static void other_hues__give_the_same_map(void **state)
{
    (void)state;
    enum { SIDE = 100 };
    static uint8_t rgba[SIDE * SIDE * 4], turned[SIDE * SIDE * 4], truth[SIDE * SIDE];
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Rng rng = rng_make(3000 + seed);
        Scene scene = random_scene(&rng);
        draw(&scene, SIDE, false, rgba, truth);
        for (int i = 0; i < SIDE * SIDE; i++) { // red to green to blue to red
            for (int c = 0; c < 3; c++) turned[i * 4 + c] = rgba[i * 4 + (c + 1) % 3];
            turned[i * 4 + 3] = 255;
        }
        SeparationOptions o = by_area(1);
        o.same_de00 = 0.5;
        Result a = separate(rgba, SIDE, SIDE, &o), b = separate(turned, SIDE, SIDE, &o);
        assert_int_equal(a.s.colour_count, b.s.colour_count);
        int unlike = 0;
        for (int i = 0; i < SIDE * SIDE; i++) {
            Srgb8 p = a.s.label[i] ? a.s.colours[a.s.label[i] - 1].colour : a.s.ground_colour;
            Srgb8 q = b.s.label[i] ? b.s.colours[b.s.label[i] - 1].colour : b.s.ground_colour;
            unlike += p.g != q.r || p.b != q.g || p.r != q.b;
        }
        if (unlike > 20) fail_msg("seed %d: %d pixels differ", (int)seed, unlike); // ties at exact halves only
        done(&a);
        done(&b);
    }
}

static void padding__changes_nothing_inside(void **state)
{
    (void)state;
    enum { SIDE = 90, WIDE = 130 };
    static uint8_t rgba[SIDE * SIDE * 4], padded[WIDE * WIDE * 4], truth[SIDE * SIDE];
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Rng rng = rng_make(4000 + seed);
        Scene scene = random_scene(&rng);
        draw(&scene, SIDE, false, rgba, truth);
        int dx = (int)rng_below(&rng, WIDE - SIDE), dy = (int)rng_below(&rng, WIDE - SIDE);
        for (int i = 0; i < WIDE * WIDE; i++) {
            int x = i % WIDE - dx, y = i / WIDE - dy;
            const uint8_t ground[4] = {scene.paints[0][0], scene.paints[0][1], scene.paints[0][2], 255};
            memcpy(padded + i * 4, x >= 0 && y >= 0 && x < SIDE && y < SIDE ? rgba + (y * SIDE + x) * 4 : ground, 4);
        }
        SeparationOptions o = by_area(8);
        Result a = separate(rgba, SIDE, SIDE, &o), b = separate(padded, WIDE, WIDE, &o);
        assert_int_equal(a.s.colour_count, b.s.colour_count);
        for (int i = 0; i < SIDE * SIDE; i++)
            assert_int_equal(a.s.label[i], b.s.label[(i / SIDE + dy) * WIDE + i % SIDE + dx]);
        done(&a);
        done(&b);
    }
}

static void noise__is_separated_all_the_same(void **state)
{
    (void)state;
    enum { SIDE = 200 };
    static uint8_t rgba[SIDE * SIDE * 4], truth[SIDE * SIDE];
    for (uint64_t seed = 1; seed <= 20; seed++) {
        Rng rng = rng_make(5000 + seed);
        Scene scene = random_scene(&rng);
        draw(&scene, SIDE, false, rgba, truth);
        for (int i = 0; i < SIDE * SIDE; i++)
            for (int c = 0; c < 3; c++) {
                int v = rgba[i * 4 + c] + (int)rng_below(&rng, 5) - 2;
                rgba[i * 4 + c] = (uint8_t)(v < 0 ? 0 : v > 255 ? 255 : v);
            }
        SeparationOptions o = by_area(40);
        Result r = separate(rgba, SIDE, SIDE, &o);
        assert_true(r.s.is_noisy);
        assert_counts_are_those_of_the_map(&r);
        for (int i = 0; i < r.s.colour_count; i++) {
            const Srgb8 c = r.s.colours[i].colour;
            double nearest = 1e9;
            for (int p = 0; p < scene.paint_count; p++)
                nearest = fmin(nearest, paint_distance(scene.paints[p], (const uint8_t[3]){c.r, c.g, c.b}));
            if (nearest > 3.0) fail_msg("seed %d: a colour that was not drawn, %.1f off", (int)seed, nearest);
        }
        done(&r);
    }
}

static void same_picture_twice__same_bytes(void **state)
{
    (void)state;
    enum { SIDE = 160 };
    static uint8_t rgba[SIDE * SIDE * 4];
    Rng rng = rng_make(77);
    for (int i = 0; i < SIDE * SIDE * 4; i++) rgba[i] = (uint8_t)(i % 4 == 3 ? 255 : rng_next(&rng)); // plain noise
    SeparationOptions o = by_area(9);
    Result a = separate(rgba, SIDE, SIDE, &o), b = separate(rgba, SIDE, SIDE, &o);
    assert_memory_equal(a.s.label, b.s.label, SIDE * SIDE);
    assert_int_equal(a.s.findings.count, b.s.findings.count);
    for (size_t i = 0; i < a.s.findings.count; i++)
        assert_string_equal(a.s.findings.items[i].text, b.s.findings.items[i].text);
    done(&a);
    done(&b);
}

static void fewer_colours_and_thicker_lines__keep_the_laws(void **state)
{
    (void)state;
    enum { SIDE = 120 };
    static uint8_t rgba[SIDE * SIDE * 4], truth[SIDE * SIDE];
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Rng rng = rng_make(seed);
        Scene scene = random_scene(&rng);
        draw(&scene, SIDE, rng_below(&rng, 2) == 0, rgba, truth);
        SeparationOptions o = by_area(4);
        o.most_colours = (int)rng_below(&rng, 5);
        o.figure_height_mm = SIDE;
        o.least_width_mm = rng_below(&rng, 2) ? 2.0 + 10.0 * rng_unit(&rng) : 0.0;
        Result r = separate(rgba, SIDE, SIDE, &o);
        assert_counts_are_those_of_the_map(&r);
        if (o.most_colours > 0) assert_true(r.s.colour_count <= o.most_colours);
        for (int i = 0; i < SIDE * SIDE; i++) {
            bool in_box = i % SIDE >= r.s.box_px[0] && i % SIDE < r.s.box_px[2] && i / SIDE >= r.s.box_px[1] && i / SIDE < r.s.box_px[3];
            assert_true(in_box || r.s.label[i] == 0); // nothing grows out of the figure's box
            if (r.s.repainted && r.s.repainted[i]) assert_int_not_equal(r.s.label[i], 0);
        }
        done(&r);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(labels__partition_the_picture_and_counts_hold),
        cmocka_unit_test(clean_up__leaves_no_speck_under_the_limit),
        cmocka_unit_test(mirror__gives_the_mirrored_counts),
        cmocka_unit_test(other_hues__give_the_same_map),
        cmocka_unit_test(padding__changes_nothing_inside),
        cmocka_unit_test(noise__is_separated_all_the_same),
        cmocka_unit_test(same_picture_twice__same_bytes),
        cmocka_unit_test(fewer_colours_and_thicker_lines__keep_the_laws),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
