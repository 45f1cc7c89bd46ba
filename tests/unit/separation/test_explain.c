// test_explain.c - the colours near a pixel, and what it can be a blend of.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "separation/explain.h"

#include <string.h>

#define WIDTH_PX 61 // no whole number of blocks
#define HEIGHT_PX 45
#define COLOURS 9

typedef struct Field { // a label map with few pure pixels, so that searches go far
    Arena arena;
    Picture picture;
    Palette palette;
    uint8_t label[WIDTH_PX * HEIGHT_PX];
} Field;

static void field_make(Field *f, uint64_t seed)
{
    memset(f, 0, sizeof *f);
    f->arena = arena_make(0);
    f->picture = (Picture){.width_px = WIDTH_PX, .height_px = HEIGHT_PX, .rgba = arena_new(&f->arena, uint8_t, WIDTH_PX *HEIGHT_PX * 4)};
    f->palette.count = COLOURS;
    for (int i = 0; i < COLOURS; i++) f->palette.colours[i].colour = (Srgb8){(uint8_t)(i * 25), (uint8_t)(200 - i), 7};
    Rng rng = rng_make(seed);
    for (int i = 0; i < 40; i++)
        f->label[rng_below(&rng, WIDTH_PX * HEIGHT_PX)] = (uint8_t)(LABEL_CLEAR + rng_below(&rng, COLOURS + 1));
}

static void assert_same_near(const NearColours *a, const NearColours *b)
{
    assert_int_equal(a->count, b->count);
    for (int i = 0; i < a->count; i++) {
        assert_int_equal(a->items[i].label, b->items[i].label);
        assert_true(a->items[i].distance_px == b->items[i].distance_px);
    }
}

static void near__widening_in_steps_and_block_by_block_finds_the_same(void **state)
{
    (void)state;
    static Field f;
    static Explainer plain, with_blocks;
    Error err;
    int found = 0;
    for (uint64_t seed = 1; seed <= 20; seed++) {
        field_make(&f, seed);
        assert_true(explainer_make(&f.picture, &f.palette, f.label, false, &f.arena, &plain, &err));
        assert_true(explainer_make(&f.picture, &f.palette, f.label, true, &f.arena, &with_blocks, &err));
        for (uint32_t at = 0; at < WIDTH_PX * HEIGHT_PX; at++) {
            NearColours at_once = near_none(&plain, at), in_steps = near_none(&with_blocks, at);
            near_widen(&plain, WIDEST_WINDOW_PX, &at_once);
            for (int window = 2; window <= WIDEST_WINDOW_PX; window += 5) near_widen(&with_blocks, window, &in_steps);
            near_widen(&with_blocks, WIDEST_WINDOW_PX, &in_steps);
            assert_same_near(&at_once, &in_steps);
            found += at_once.count;
        }
        arena_free(&f.arena);
    }
    assert_true(found > 20 * WIDTH_PX * HEIGHT_PX); // the searches did find something
}

static void near__a_changed_map_is_seen_after_forgetting(void **state)
{
    (void)state;
    static Field f;
    static Explainer e;
    Error err;
    field_make(&f, 1);
    memset(f.label, LABEL_UNDECIDED, sizeof f.label);
    assert_true(explainer_make(&f.picture, &f.palette, f.label, true, &f.arena, &e, &err));
    NearColours near = near_none(&e, 0);
    near_widen(&e, 4, &near);
    assert_int_equal(near.count, 0);
    f.label[2] = LABEL_FIRST + 3;
    explainer_forget(&e);
    near = near_none(&e, 0);
    near_widen(&e, 4, &near);
    assert_int_equal(near.count, 1);
    assert_int_equal(near.items[0].label, LABEL_FIRST + 3);
    assert_true(near.items[0].distance_px == 2.0);
    arena_free(&f.arena);
}

static NearColours two_colours(void)
{
    return (NearColours){.items = {{LABEL_FIRST, 1.0, {0, 0, 0}}, {LABEL_FIRST + 1, 1.0, {200, 100, 0}}}, .count = 2};
}

static void explain__a_blend_goes_to_the_larger_share(void **state)
{
    (void)state;
    NearColours near = two_colours();
    assert_int_equal(explain_by_near((Vector){80, 40, 0}, &near, 6.0), LABEL_FIRST);
    assert_int_equal(explain_by_near((Vector){120, 60, 0}, &near, 6.0), LABEL_FIRST + 1);
}

static void explain__a_colour_off_the_line_is_none_of_them(void **state)
{
    (void)state;
    NearColours near = two_colours();
    assert_int_equal(explain_by_near((Vector){100, 50, 60}, &near, 6.0), LABEL_UNDECIDED);
    assert_false(is_explained_with((Vector){100, 50, 60}, (Vector){0, 255, 0}, &near, 6.0));
    assert_true(is_explained_with((Vector){100, 50, 60}, (Vector){200, 100, 120}, &near, 6.0)); // half of it on black
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(near__widening_in_steps_and_block_by_block_finds_the_same),
        cmocka_unit_test(near__a_changed_map_is_seen_after_forgetting),
        cmocka_unit_test(explain__a_blend_goes_to_the_larger_share),
        cmocka_unit_test(explain__a_colour_off_the_line_is_none_of_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
