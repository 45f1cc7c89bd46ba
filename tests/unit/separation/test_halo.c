// Which thin regions are taken for what compression left along an edge.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "separation/despeckle.h"
#include "separation/halo.h"

#include <string.h>

#define WIDTH 200
#define HEIGHT 200
#define LEFT 2
#define RIGHT 3
#define THIRD 4

typedef struct Map {
    Arena arena;
    Work work;
    uint8_t label[WIDTH * HEIGHT], rgba[4 * WIDTH * HEIGHT];
    Palette palette;
    Runs runs;
    bool is_told; // the part that is looked at: by a file's blocks
} Map;

static Srgb8 COLOURS[3] = {{200, 60, 40}, {240, 230, 90}, {30, 60, 150}}; // of LEFT, RIGHT, THIRD

static void box(Map *m, int x0, int y0, int x1, int y1, uint8_t label)
{
    for (int y = y0; y < y1; y++) memset(m->label + y * WIDTH + x0, label, (size_t)(x1 - x0));
}

// Left and right half, and a large area of the third colour below both.
static void start(Map *m)
{
    *m = (Map){.arena = arena_make(0), .work = {.scratch = arena_make(0)}};
    box(m, 0, 0, WIDTH / 2, HEIGHT, LEFT);
    box(m, WIDTH / 2, 0, WIDTH, HEIGHT, RIGHT);
    box(m, 0, HEIGHT / 2, WIDTH, HEIGHT, THIRD);
}

// A box of another label whose pixels are `share` of the way to its colour; 1 for all the others.
static void paint(Map *m, int x0, int y0, int x1, int y1, uint8_t from, double share)
{
    for (int i = 0; i < WIDTH * HEIGHT; i++) {
        if (m->label[i] < LABEL_FIRST) continue;
        int x = i % WIDTH, y = i / WIDTH;
        Srgb8 c = COLOURS[m->label[i] - LABEL_FIRST], f = COLOURS[from - LABEL_FIRST];
        double t = x >= x0 && x < x1 && y >= y0 && y < y1 ? share : 1.0;
        m->rgba[4 * i] = (uint8_t)(f.r + t * (c.r - f.r)), m->rgba[4 * i + 1] = (uint8_t)(f.g + t * (c.g - f.g));
        m->rgba[4 * i + 2] = (uint8_t)(f.b + t * (c.b - f.b)), m->rgba[4 * i + 3] = 255;
    }
}

static bool look(Map *m, int x, int y)
{
    Error err = {0};
    Picture picture = {.width_px = WIDTH, .height_px = HEIGHT, .rgba = m->rgba};
    m->palette.count = 0;
    for (int i = 0; i < 3; i++)
        m->palette.colours[m->palette.count++] = (PaletteColour){COLOURS[i], lab_from_srgb8(COLOURS[i]), 100};
    assert_true(runs_make(m->label, WIDTH, HEIGHT, &m->arena, &m->work, &m->runs, &err));
    if (m->is_told) m->runs.parts[runs_part_at(&m->runs, x, y)].flags |= PART_TOLD;
    assert_true(halos_find(&picture, &m->palette, LABEL_UNDECIDED, &m->runs, &m->work, &err));
    return m->runs.parts[runs_part_at(&m->runs, x, y)].flags & PART_HALO;
}

static bool is_halo(Map *m, int x, int y)
{
    paint(m, 0, 0, 0, 0, LEFT, 1.0);
    return look(m, x, y);
}

static void done(Map *m)
{
    arena_free(&m->arena);
    arena_free(&m->work.scratch);
}

static void sliver_between_two_colours__is_a_halo(void **state)
{
    (void)state;
    Map m;
    start(&m);
    box(&m, 100, 20, 101, 60, THIRD);
    assert_true(is_halo(&m, 100, 30));
    assert_false(is_halo(&m, 100, 150));
    assert_false(is_halo(&m, 10, 10));
    done(&m);
}

static void sliver_that_blocks_tell_of__is_none(void **state)
{
    (void)state;
    Map m;
    start(&m);
    box(&m, 100, 20, 101, 60, THIRD);
    m.is_told = true;
    assert_false(is_halo(&m, 100, 30));
    done(&m);
}

// Pale pixels between pale grey and a dark edge: bluish ones of another pale colour's label, 3 px wide, which no edge blends to.
static void ringing_between_like_colours__is_a_halo(void **state)
{
    (void)state;
    const Srgb8 was[3] = {COLOURS[0], COLOURS[1], COLOURS[2]};
    Map m;
    for (int is_drawn = 0; is_drawn < 2; is_drawn++) {
        start(&m);
        COLOURS[0] = (Srgb8){225, 232, 237}, COLOURS[1] = (Srgb8){40, 45, 50}, COLOURS[2] = (Srgb8){255, 255, 255};
        box(&m, 98, 20, 101, 50, THIRD);
        paint(&m, 98, 20, 101, 50, LEFT, is_drawn ? 1.0 : 0.4);
        assert_int_equal(look(&m, 99, 30), !is_drawn);
        done(&m);
    }
    memcpy(COLOURS, was, sizeof was);
}

// Two pixels of pale blue between white and blue; as wide of a blue that such an edge passes too quickly is a line.
static void edge_drawn_out_over_a_like_colour__is_a_halo(void **state)
{
    (void)state;
    const Srgb8 was[3] = {COLOURS[0], COLOURS[1], COLOURS[2]}, middle[2] = {{243, 250, 255}, {166, 208, 240}};
    Map m;
    for (int is_line = 0; is_line < 2; is_line++) {
        start(&m);
        COLOURS[0] = (Srgb8){255, 255, 255}, COLOURS[1] = (Srgb8){79, 165, 230}, COLOURS[2] = middle[is_line];
        box(&m, 99, 20, 101, 50, THIRD);
        assert_int_equal(is_halo(&m, 99, 30), !is_line);
        done(&m);
        start(&m);
        box(&m, 98, 20, 101, 50, THIRD); // three pixels
        assert_false(is_halo(&m, 99, 30));
        done(&m);
    }
    memcpy(COLOURS, was, sizeof was);
}

static void line_on_a_plain_field__is_none(void **state)
{
    (void)state;
    Map m;
    start(&m);
    box(&m, 40, 20, 41, 60, THIRD);
    assert_false(is_halo(&m, 40, 30));
    done(&m);
}

static void line_of_two_pixels__is_none(void **state)
{
    (void)state;
    Map m;
    start(&m);
    box(&m, 100, 20, 102, 40, THIRD);
    assert_false(is_halo(&m, 100, 30));
    done(&m);
}

static void line_of_a_colour_without_areas__is_none(void **state)
{
    (void)state;
    Map m;
    start(&m);
    box(&m, 0, HEIGHT / 2, WIDTH, HEIGHT, LEFT);
    box(&m, 100, 20, 101, 60, THIRD);
    assert_false(is_halo(&m, 100, 30));
    done(&m);
}

static bool peeks(Map *m, int x, int y, double width_px)
{
    Error err = {0};
    assert_true(runs_make(m->label, WIDTH, HEIGHT, &m->arena, &m->work, &m->runs, &err));
    const PeekLimits limits = {width_px, 30.0};
    assert_true(peeks_find(&limits, &m->runs, &m->work, &err));
    return m->runs.parts[runs_part_at(&m->runs, x, y)].flags & PART_HALO;
}

static void fill_beside_its_outline__peeks_out(void **state)
{
    (void)state;
    Map m;
    start(&m);
    box(&m, 100, 0, 200, 60, LABEL_CLEAR);  // ground, and an outline with a strip of THIRD beyond it
    box(&m, 100, 20, 103, 38, THIRD);
    assert_true(peeks(&m, 101, 30, 3.0));
    assert_false(peeks(&m, 10, 150, 3.0));  // the fill itself
    assert_false(peeks(&m, 101, 30, 2.5));  // wider than that: it can be cut
    done(&m);
}

static void colour_of_short_scraps__peeks_out_with_all_of_them(void **state)
{
    (void)state;
    Map m;
    start(&m);
    box(&m, 0, HEIGHT / 2, WIDTH, HEIGHT, LEFT);
    box(&m, 100, 0, 200, 60, LABEL_CLEAR);
    box(&m, 100, 5, 102, 20, THIRD);
    box(&m, 100, 30, 102, 55, THIRD);
    assert_true(peeks(&m, 101, 10, 4.0));
    assert_true(peeks(&m, 101, 40, 4.0));
    box(&m, 20, 20, 28, 28, THIRD);         // a part of it that was drawn
    assert_false(peeks(&m, 101, 10, 4.0));
    done(&m);
}

static void strip_between_two_colours__peeks_out_of_nothing(void **state)
{
    (void)state;
    Map m;
    start(&m);
    box(&m, 100, 20, 102, 60, THIRD);
    assert_false(peeks(&m, 101, 30, 4.0));
    done(&m);
}

static void line_of_its_own_on_the_ground__peeks_out_of_nothing(void **state)
{
    (void)state;
    Map m;
    start(&m);
    box(&m, 100, 0, 200, 60, LABEL_CLEAR);
    box(&m, 150, 10, 152, 50, THIRD);       // ground on both sides
    assert_false(peeks(&m, 151, 30, 4.0));
    box(&m, 150, 10, 152, 50, LABEL_CLEAR);
    box(&m, 0, HEIGHT / 2, WIDTH, HEIGHT, LEFT);
    box(&m, 100, 20, 102, 55, THIRD);       // of a colour without areas
    assert_false(peeks(&m, 101, 30, 4.0));
    done(&m);
}

static void halo__joins_however_long_it_is(void **state)
{
    (void)state;
    Map m;
    start(&m);
    box(&m, 100, 20, 101, 70, THIRD);
    assert_true(is_halo(&m, 100, 30));
    Palette palette = {.count = 3};
    SpeckLimits limits = {.part_px = 4, .hole_px = 4};
    Specks specks;
    Error err = {0};
    assert_true(despeckle(&m.runs, &palette, &limits, &m.arena, &m.work, &specks, &err));
    assert_int_equal(specks.count, 1);
    assert_int_equal(m.runs.parts[runs_part_at(&m.runs, 100, 30)].label, RIGHT); // which is above it, too
    done(&m);
}

static void scrap_halfway_to_its_neighbour__is_left_over(void **state)
{
    (void)state;
    Map m;
    start(&m);
    box(&m, 20, 20, 27, 26, RIGHT);
    paint(&m, 20, 20, 27, 26, LEFT, 0.6);
    assert_true(look(&m, 22, 22));
    done(&m);
}

static void dot_that_reaches_its_colour__is_no_scrap(void **state)
{
    (void)state;
    Map m;
    start(&m);
    box(&m, 20, 20, 27, 26, RIGHT);
    paint(&m, 20, 20, 27, 26, LEFT, 0.85);
    assert_false(look(&m, 22, 22));
    done(&m);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(scrap_halfway_to_its_neighbour__is_left_over),
        cmocka_unit_test(dot_that_reaches_its_colour__is_no_scrap),
        cmocka_unit_test(sliver_between_two_colours__is_a_halo),
        cmocka_unit_test(sliver_that_blocks_tell_of__is_none),
        cmocka_unit_test(ringing_between_like_colours__is_a_halo),
        cmocka_unit_test(edge_drawn_out_over_a_like_colour__is_a_halo),
        cmocka_unit_test(line_on_a_plain_field__is_none),
        cmocka_unit_test(line_of_two_pixels__is_none),
        cmocka_unit_test(line_of_a_colour_without_areas__is_none),
        cmocka_unit_test(fill_beside_its_outline__peeks_out),
        cmocka_unit_test(colour_of_short_scraps__peeks_out_with_all_of_them),
        cmocka_unit_test(strip_between_two_colours__peeks_out_of_nothing),
        cmocka_unit_test(line_of_its_own_on_the_ground__peeks_out_of_nothing),
        cmocka_unit_test(halo__joins_however_long_it_is),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
