// test_outline_laws.c - laws of the planar map over seeded random label maps.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "outline_laws.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define MOST_SIDE 12

typedef enum MapKind { MAP_NOISE, MAP_BLOCKS, MAP_HOLES, MAP_COMB, MAP_DIAGONAL, MAP_KINDS } MapKind;

// Label maps that are hard in different ways: noise, larger blocks, single pixels in one area, combs, diagonals.
static int random_labels(Rng *rng, MapKind kind, int width, int height, uint8_t *label)
{
    int colours = 1 + (int)rng_below(rng, 5), block = 1 + (int)rng_below(rng, 4);
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            uint8_t *at = &label[y * width + x];
            switch (kind) {
            case MAP_NOISE: *at = (uint8_t)rng_below(rng, (uint32_t)colours + 1); break;
            case MAP_BLOCKS:
                *at = x % block || y % block ? (y % block ? at[-width] : at[-1]) : (uint8_t)rng_below(rng, (uint32_t)colours + 1);
                break;
            case MAP_HOLES: *at = rng_below(rng, 5) ? 1 : (uint8_t)rng_below(rng, (uint32_t)colours + 1); break;
            case MAP_COMB: *at = (uint8_t)(x % 2 || y == 0 ? 1 : rng_below(rng, 8) ? 0 : colours); break;
            case MAP_DIAGONAL: *at = (uint8_t)((x + y) / block % (colours + 1)); break;
            case MAP_KINDS: break;
            }
        }
    label[rng_below(rng, (uint32_t)(width * height))] = 1; // something to cut
    return colours;
}

// Blends that have little to do with the labels: the worst that a picture can say about its edges.
static void add_lies(Rng *rng, Picture *picture)
{
    for (int i = 0; i < 4 * picture->width_px * picture->height_px; i++)
        if (rng_below(rng, 3) == 0) picture->rgba[i] = (uint8_t)rng_next(rng);
}

// Half of both neighbours' colours here and there: blends that the tracer believes.
static void add_blends(Rng *rng, Picture *picture)
{
    int count = picture->width_px * picture->height_px;
    for (int i = 1; i < count; i++) {
        if (rng_below(rng, 2)) continue;
        int share = (int)rng_below(rng, 256);
        for (int k = 0; k < 4; k++) {
            int a = picture->rgba[4 * i + k], b = picture->rgba[4 * i - 4 + k];
            picture->rgba[4 * i + k] = (uint8_t)((a * share + b * (255 - share)) / 255);
        }
    }
}

typedef struct Case {
    Arena keep;
    Work work;
    Separation separation;
    Picture picture;
    OutlineOptions options;
} Case;

static Case random_case(uint64_t seed)
{
    Case c = {.keep = arena_make(0), .work = {.scratch = arena_make(0)}, .options = outline_defaults()};
    Rng rng = rng_make(seed);
    uint8_t label[MOST_SIDE * MOST_SIDE];
    int width = 1 + (int)rng_below(&rng, MOST_SIDE), height = 1 + (int)rng_below(&rng, MOST_SIDE);
    MapKind kind = (MapKind)rng_below(&rng, MAP_KINDS);
    int colours = random_labels(&rng, kind, width, height, label);
    c.separation = outline_flat_separation(label, width, height, colours, &c.keep);
    c.separation.hard_edged = rng_below(&rng, 3) == 0;
    c.separation.is_noisy = rng_below(&rng, 3) == 0;
    c.picture = outline_flat_picture(&c.separation, &c.keep);
    uint32_t blends = rng_below(&rng, 3);
    if (blends == 1) add_lies(&rng, &c.picture);
    if (blends == 2) add_blends(&rng, &c.picture);
    c.options.figure_height_mm = rng_below(&rng, 2) ? 0.1 * height : 10.0 * height * rng_unit(&rng) + 0.2 * height;
    c.options.offset_mm = 20.0 * rng_unit(&rng);
    c.options.tolerance_mm = 0.05 + rng_unit(&rng);
    return c;
}

static void free_case(Case *c)
{
    arena_free(&c->keep);
    arena_free(&c->work.scratch);
}

static void outline_make__laws_hold_for_random_labels(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 4000; seed++) {
        Case c = random_case(seed);
        Outlines outlines;
        Error err = {0};
        bool ok = outline_make(&c.picture, &c.separation, &c.options, &c.keep, &c.work, &outlines, &err);
        const char *broken = ok ? outline_broken_law(&c.separation, &outlines, seed, &c.keep, &c.work) : err.text;
        if (broken) print_message("seed %llu: %s\n", (unsigned long long)seed, broken);
        assert_null(broken);
        free_case(&c);
    }
}

static void outline_make__same_input_gives_same_points(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 200; seed++) {
        Case c = random_case(seed);
        Outlines a, b;
        Error err = {0};
        assert_true(outline_make(&c.picture, &c.separation, &c.options, &c.keep, &c.work, &a, &err));
        assert_true(outline_make(&c.picture, &c.separation, &c.options, &c.keep, &c.work, &b, &err));
        assert_int_equal(a.arc_count, b.arc_count);
        for (int i = 0; i < a.arc_count; i++) {
            assert_int_equal(a.chains.items[i].point_count, b.chains.items[i].point_count);
            assert_memory_equal(a.chains.items[i].points, b.chains.items[i].points,
                                (size_t)a.chains.items[i].point_count * sizeof(Point));
        }
        free_case(&c);
    }
}

// Flattening and rounding stay as large as they are while the rest grows: two outlines a hair from touching may be held apart at one
// size only, which shows in the number of their curves.
static bool touches_at_one_size(const Outlines *a, const Outlines *b)
{
    return a->curve_count != b->curve_count;
}

static void outline_make__scaling_lengths_scales_the_result(void **state)
{
    (void)state;
    int left_out = 0;
    for (uint64_t seed = 1; seed <= 300; seed++) {
        Case c = random_case(seed);
        c.options.figure_height_mm = 20.0 * c.separation.height_px;
        Outlines a, b;
        Error err = {0};
        assert_true(outline_make(&c.picture, &c.separation, &c.options, &c.keep, &c.work, &a, &err));
        c.options.figure_height_mm *= 4;
        c.options.tolerance_mm *= 4;
        c.options.offset_mm *= 4;
        assert_true(outline_make(&c.picture, &c.separation, &c.options, &c.keep, &c.work, &b, &err));
        if (touches_at_one_size(&a, &b)) {
            left_out++;
            free_case(&c);
            continue;
        }
        assert_true(fabs(b.width_mm - 4 * a.width_mm) < 0.01);
        for (int r = 1; r < a.region_count; r++) {
            double border_mm = 4.0 * a.mm_per_px * sqrt((double)a.regions[r].area_px) + 4.0 * a.regions[r].area_px * a.mm_per_px;
            assert_true(fabs(b.regions[r].area_mm2 / 16 - a.regions[r].area_mm2) < 0.01 * border_mm + 1e-6);
        }
        free_case(&c);
    }
    assert_in_range(left_out, 0, 3);
}

static void outline_make__ends_cleanly_when_memory_runs_out(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 12; seed++) {
        bool done = false;
        for (int64_t after = 0; !done; after += 1 + after / 8) {
            Case c = random_case(seed);
            Arena *arena = seed % 2 ? &c.keep : &c.work.scratch;
            arena->fail_after = after;
            Outlines outlines;
            Error err = {0};
            done = outline_make(&c.picture, &c.separation, &c.options, &c.keep, &c.work, &outlines, &err);
            if (!done) {
                assert_int_equal(err.kind, ERROR_SYSTEM);
                assert_null(outlines.arcs);
            }
            free_case(&c);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(outline_make__laws_hold_for_random_labels),
        cmocka_unit_test(outline_make__same_input_gives_same_points),
        cmocka_unit_test(outline_make__scaling_lengths_scales_the_result),
        cmocka_unit_test(outline_make__ends_cleanly_when_memory_runs_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
