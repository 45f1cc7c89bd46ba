// What is a speck, and where it goes.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "separation/despeckle.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define WIDTH 12
#define HEIGHT 8

typedef struct Case {
    Work work;
    Runs runs;
    Palette palette;
    Specks specks;
    char after[HEIGHT][WIDTH + 1];
} Case;

// '.' is ground, 'a' ... are palette colours 0 ...
static void fill(const char *const rows[HEIGHT], uint8_t label[HEIGHT * WIDTH])
{
    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++)
            label[y * WIDTH + x] = rows[y][x] == '.' ? LABEL_CLEAR : (uint8_t)(LABEL_FIRST + rows[y][x] - 'a');
}

// `sliver`: the letter whose parts nobody drew, as `flags` say; 0: none are.
static Case clean_with(const char *const rows[HEIGHT], SpeckLimits limits, char sliver, int flags)
{
    static const Srgb8 colours[4] = {{0, 0, 0}, {255, 0, 0}, {250, 10, 10}, {255, 255, 255}};
    uint8_t label[HEIGHT * WIDTH];
    Case c = {.work = {.scratch = arena_make(0)}};
    Error err = {0};
    for (int i = 0; i < 4; i++) c.palette.colours[i] = (PaletteColour){colours[i], lab_from_srgb8(colours[i]), 0};
    c.palette.count = 4;
    fill(rows, label);
    assert_true(runs_make(label, WIDTH, HEIGHT, &c.work.scratch, &c.work, &c.runs, &err));
    for (int i = 0; i < c.runs.part_count; i++)
        if (sliver && c.runs.parts[i].label == LABEL_FIRST + sliver - 'a') c.runs.parts[i].flags |= (uint8_t)flags;
    assert_true(despeckle(&c.runs, &c.palette, &limits, &c.work.scratch, &c.work, &c.specks, &err));
    for (int y = 0; y < HEIGHT; y++)
        for (int32_t i = c.runs.row_start[y]; i < c.runs.row_start[y + 1]; i++) {
            uint8_t l = c.runs.parts[runs_root(&c.runs, c.runs.runs[i].part)].label;
            for (int x = c.runs.runs[i].x0; x < c.runs.runs[i].x1; x++)
                c.after[y][x] = l == LABEL_CLEAR ? '.' : (char)('a' + l - LABEL_FIRST);
        }
    return c;
}

static Case clean(const char *const rows[HEIGHT], SpeckLimits limits)
{
    return clean_with(rows, limits, 0, 0);
}

static void assert_rows(Case *c, const char *const rows[HEIGHT])
{
    for (int y = 0; y < HEIGHT; y++) assert_string_equal(c->after[y], rows[y]);
    arena_free(&c->work.scratch);
}

static void speck__joins_the_longest_border(void **state)
{
    (void)state;
    const char *const before[HEIGHT] = {"aaaaaabbbbbb", "aaaaaabbbbbb", "aaaadddbbbbb", "aaaadddbbbbb",
                                        "aaaaaabbbbbb", "aaaaaabbbbbb", "aaaaaabbbbbb", "aaaaaabbbbbb"};
    const char *const after[HEIGHT] = {"aaaaaabbbbbb", "aaaaaabbbbbb", "aaaaaaabbbbb", "aaaaaaabbbbb",
                                       "aaaaaabbbbbb", "aaaaaabbbbbb", "aaaaaabbbbbb", "aaaaaabbbbbb"};
    Case c = clean(before, (SpeckLimits){.area_px = 7});
    assert_int_equal(c.specks.count, 1);
    assert_int_equal(c.specks.items[0].area_px, 6);
    assert_int_equal(c.specks.items[0].from, LABEL_FIRST + 3);
    assert_int_equal(c.specks.items[0].to, LABEL_FIRST);
    assert_true(c.specks.items[0].x_px == 5.5 && c.specks.items[0].y_px == 3.0);
    assert_rows(&c, after);
}

static void speck_with_equal_borders__joins_the_nearer_colour(void **state)
{
    (void)state;
    const char *const before[HEIGHT] = {"aaaaaabbbbbb", "aaaaaabbbbbb", "aaaaaccbbbbb", "aaaaaccbbbbb",
                                        "aaaaaabbbbbb", "aaaaaabbbbbb", "aaaaaabbbbbb", "aaaaaabbbbbb"};
    const char *const after[HEIGHT] = {"aaaaaabbbbbb", "aaaaaabbbbbb", "aaaaabbbbbbb", "aaaaabbbbbbb",
                                       "aaaaaabbbbbb", "aaaaaabbbbbb", "aaaaaabbbbbb", "aaaaaabbbbbb"};
    Case c = clean(before, (SpeckLimits){.area_px = 5});
    assert_rows(&c, after);
}

static void speck_between_two_areas_of_one_colour__unites_them(void **state)
{
    (void)state;
    const char *const before[HEIGHT] = {"bbbbbbbbbbbb", "aaaaadaaaaaa", "bbbbbbbbbbbb", "bbbbbbbbbbbb",
                                        "bbbbbbbbbbbb", "bbbbbbbbbbbb", "bbbbbbbbbbbb", "bbbbbbbbbbbb"};
    Case c = clean(before, (SpeckLimits){.area_px = 2});
    const char *const after[HEIGHT] = {"bbbbbbbbbbbb", "aaaaabaaaaaa", "bbbbbbbbbbbb", "bbbbbbbbbbbb",
                                       "bbbbbbbbbbbb", "bbbbbbbbbbbb", "bbbbbbbbbbbb", "bbbbbbbbbbbb"};
    int32_t top = runs_root(&c.runs, c.runs.runs[0].part),
            low = runs_root(&c.runs, c.runs.runs[c.runs.run_count - 1].part);
    assert_int_equal(top, low);
    assert_int_equal(c.runs.parts[top].area_px, WIDTH * HEIGHT - 11);
    assert_rows(&c, after);
}

static void receiver_that_is_a_speck_still__joins_on(void **state)
{
    (void)state;
    const char *const before[HEIGHT] = {"aaaaaaaaaaaa", "aaabbdaaaaaa", "aaabbdaaaaaa", "aaaaaaaaaaaa",
                                        "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa"};
    const char *const after[HEIGHT] = {"aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa",
                                       "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa"};
    Case c = clean(before, (SpeckLimits){.area_px = 7});
    assert_int_equal(c.specks.count, 2);
    assert_rows(&c, after);
}

static void circle__long_thin_parts_stay(void **state)
{
    (void)state;
    const char *const before[HEIGHT] = {"aaaaaaaaaaaa", "abbbbbbbbaaa", "aaaaaaaaaaaa", "abbbaaaaaaaa",
                                        "abbbaaaaaaaa", "abbbaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa"};
    const char *const after[HEIGHT] = {"aaaaaaaaaaaa", "abbbbbbbbaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa",
                                       "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa"};
    Case c = clean(before, (SpeckLimits){.part_px = 5.0, .hole_px = 1.0}); // 3 x 3 lies in a circle of 4.25
    assert_rows(&c, after);
}

static void holes_and_base__have_their_own_limit(void **state)
{
    (void)state;
    const char *const before[HEIGHT] = {"aaaaaaaaaaaa", "a..adddabbba", "a..adddabbba", "aaaadddabbba",
                                        "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa"};
    const char *const after[HEIGHT] = {"aaaaaaaaaaaa", "a..aaaaabbba", "a..aaaaabbba", "aaaaaaaabbba",
                                       "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa"};
    Case c = clean(before, (SpeckLimits){.part_px = 5.0, .hole_px = 2.0, .base_label = LABEL_FIRST + 1});
    assert_rows(&c, after);
}

static void area_that_comes_to_touch_the_ground__is_ground(void **state)
{
    (void)state;
    // The speck b borders d, which has the ground's colour, with three cracks, a with two, ground with one: it joins d,
    // which then touches the ground.
    const char *const before[HEIGHT] = {"............", ".aaaaaaaaaa.", ".adddaaaaaa.", ".bbddaaaaaa.",
                                        ".adddaaaaaa.", ".aaaaaaaaaa.", "............", "............"};
    const char *const after[HEIGHT] = {"............", ".aaaaaaaaaa.", ".a...aaaaaa.", ".....aaaaaa.",
                                       ".a...aaaaaa.", ".aaaaaaaaaa.", "............", "............"};
    Case c = clean(before, (SpeckLimits){.area_px = 3, .ground_paint = LABEL_FIRST + 3});
    assert_rows(&c, after);
}

static void lone_speck__has_nowhere_to_go(void **state)
{
    (void)state;
    const char *const all[HEIGHT] = {"aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa",
                                     "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa"};
    Case c = clean(all, (SpeckLimits){.area_px = 1000});
    assert_int_equal(c.specks.count, 0);
    assert_rows(&c, all);
}

static void part_circle_px__known_shapes(void **state)
{
    (void)state;
    const char *const rows[HEIGHT] = {"aaaaaaaaaaaa", "abaaabaaaaaa", "aaaabbbaabba", "aaaaabaaaaaa",
                                      "abbbaaaaaaaa", "abaaaaaaaaaa", "abaaaaaaaaaa", "aaaaaaaaaaaa"};
    const double expected[4] = {1.4142135624, 3.1622776602, 2.2360679775, 4.2426406871}; // a pixel, a plus, two, an L
    Case c = clean(rows, (SpeckLimits){.area_px = 1});
    int at = 0;
    for (int32_t i = 0; i < c.runs.part_count; i++)
        if (c.runs.parts[i].label == LABEL_FIRST + 1) {
            assert_true(at < 4);
            double found = part_circle_px(&c.runs, i, 100.0);
            if (fabs(found - expected[at]) > 1e-6) fail_msg("part %d: %.9f, expected %.9f", at, found, expected[at]);
            at++;
        }
    assert_int_equal(at, 4);
    arena_free(&c.work.scratch);
}

// However large: the largest sliver too, when it grows.
static void sliver_that_takes_a_speck__goes_all_the_same(void **state)
{
    (void)state;
    const char *const before[HEIGHT] = {"aaaaaaaaaaaa", "aaaaaaaaaaaa", "bbbbbbbaaaaa", "bddbaaaaaaaa",
                                        "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa"};
    const char *const after[HEIGHT] = {"aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa",
                                       "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa"};
    Case c = clean_with(before, (SpeckLimits){.area_px = 3}, 'b', PART_HALO);
    assert_rows(&c, after);
}

// A crumb that joins two slivers may show that they are one thing; where their pixels say that nobody drew them, it does not.
static void slivers_with_a_crumb_between__stay_but_scraps_go(void **state)
{
    (void)state;
    const char *const before[HEIGHT] = {"aaaaaaaaaaaa", "aaabbaaaaaaa", "abbbdbbbbaaa", "aaaaaaaaaaaa",
                                        "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa"};
    const char *const one[HEIGHT] = {"aaaaaaaaaaaa", "aaabbaaaaaaa", "abbbbbbbbaaa", "aaaaaaaaaaaa",
                                     "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa"};
    const char *const none[HEIGHT] = {"aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa",
                                      "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa", "aaaaaaaaaaaa"};
    Case c = clean_with(before, (SpeckLimits){.area_px = 3}, 'b', PART_HALO);
    assert_rows(&c, one);
    c = clean_with(before, (SpeckLimits){.area_px = 3}, 'b', PART_HALO | PART_SCRAP);
    assert_rows(&c, none);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(speck__joins_the_longest_border),
        cmocka_unit_test(speck_with_equal_borders__joins_the_nearer_colour),
        cmocka_unit_test(speck_between_two_areas_of_one_colour__unites_them),
        cmocka_unit_test(receiver_that_is_a_speck_still__joins_on),
        cmocka_unit_test(sliver_that_takes_a_speck__goes_all_the_same),
        cmocka_unit_test(slivers_with_a_crumb_between__stay_but_scraps_go),
        cmocka_unit_test(circle__long_thin_parts_stay),
        cmocka_unit_test(holes_and_base__have_their_own_limit),
        cmocka_unit_test(area_that_comes_to_touch_the_ground__is_ground),
        cmocka_unit_test(lone_speck__has_nowhere_to_go),
        cmocka_unit_test(part_circle_px__known_shapes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
