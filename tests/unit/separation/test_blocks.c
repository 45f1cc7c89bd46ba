// test_blocks.c - what rounded means of blocks say of the colours that lie in them.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "separation/blocks.h"
#include "separation/guess.h"

#include <math.h>
#include <string.h>

#define SIDE 320
#define MOST_BLOCKS ((SIDE / 8) * (SIDE / 8))

typedef struct Drawn {
    uint8_t rgba[4 * SIDE * SIDE], label[SIDE * SIDE], depth[SIDE * SIDE];
    int16_t multiples[PICTURE_MEANS][MOST_BLOCKS];
    Picture picture;
    double start[SEPARATION_MAX_COLOURS][3];
} Drawn;

static Drawn drawn;

static void whole_numbers(const double rgb[3], double whole[3])
{
    guess_ycc(rgb, whole);
    for (int c = 0; c < 3; c++) whole[c] = floor(whole[c] + 0.5);
    whole[0] -= 128.0;
}

// What a file would hold of the pixels: the first coefficient of each block, divided by the step and rounded.
static void compress(int which, int side_px, int step)
{
    BlockMeans *m = &drawn.picture.means[which];
    *m = (BlockMeans){step, side_px, side_px, SIDE / side_px, SIDE / side_px, drawn.multiples[which]};
    for (int b = 0; b < m->across * m->down; b++) {
        double sum = 0.0;
        for (int k = 0; k < side_px * side_px; k++) {
            const uint8_t *p = drawn.rgba + 4 * ((b / m->across * side_px + k / side_px) * SIDE + b % m->across * side_px + k % side_px);
            const double rgb[3] = {p[0], p[1], p[2]};
            double whole[3];
            whole_numbers(rgb, whole);
            sum += whole[which];
        }
        m->multiples[b] = (int16_t)floor(sum / (side_px * side_px) * 8.0 / step + 0.5);
    }
}

// Discs with blended edges on a ground; where a disc has half of a pixel, its label. `inside` of every second row may be another colour.
static void draw(const Srgb8 *colours, int count, int pitch, double radius)
{
    for (int i = 0; i < SIDE * SIDE; i++) {
        double x = i % SIDE % pitch - pitch / 2.0 + 0.25, y = i / SIDE % pitch - pitch / 2.0 + 0.75, off = sqrt(x * x + y * y) - radius;
        double share = fmin(fmax(0.5 - off, 0.0), 1.0);
        int index = count > 2 && i / SIDE / pitch % 2 ? 2 : 1;
        const Srgb8 a = colours[0], b = colours[index];
        const double way[3] = {a.r + share * (b.r - a.r), a.g + share * (b.g - a.g), a.b + share * (b.b - a.b)};
        for (int c = 0; c < 3; c++) drawn.rgba[4 * i + c] = (uint8_t)lround(way[c]);
        drawn.rgba[4 * i + 3] = 255;
        drawn.label[i] = (uint8_t)(LABEL_FIRST + (share >= 0.5 ? index : 0));
        drawn.depth[i] = (uint8_t)fmin(3.0 * floor(fabs(off) + 1.0), 200.0);
    }
    drawn.picture = (Picture){.width_px = SIDE, .height_px = SIDE, .rgba = drawn.rgba};
    for (int i = 0; i < count; i++) {
        const double rgb[3] = {colours[i].r, colours[i].g, colours[i].b};
        memcpy(drawn.start[i], rgb, sizeof rgb);
    }
}

static void tell(int count, BlockTold told[SEPARATION_MAX_COLOURS])
{
    Error err = {0};
    Work work = {.scratch = arena_make(0)};
    const BlockView view = {&drawn.picture, drawn.label, drawn.depth, count, drawn.start};
    assert_true(blocks_can_tell(&drawn.picture));
    assert_true(blocks_tell(&view, &work, told, &err));
    assert_int_equal(work.scratch.held_bytes, 0);
    arena_free(&work.scratch);
}

static void assert_told(const BlockTold *told, Srgb8 truth, double within)
{
    const double rgb[3] = {truth.r, truth.g, truth.b};
    double whole[3];
    whole_numbers(rgb, whole);
    for (int c = 0; c < 3; c++)
        if (fabs(told->value[c] - whole[c]) > within) fail_msg("axis %d: %.2f, should be %.2f", c, told->value[c], whole[c]);
}

static const Srgb8 TWO[2] = {{255, 204, 77}, {49, 55, 61}};

static void plain_blocks__bound_the_whole_numbers(void **state)
{
    (void)state;
    BlockTold told[SEPARATION_MAX_COLOURS];
    draw(TWO, 2, 79, 33.0);
    compress(0, 8, 13), compress(1, 16, 14), compress(2, 16, 14);
    tell(2, told);
    for (int i = 0; i < 2; i++) {
        const double rgb[3] = {TWO[i].r, TWO[i].g, TWO[i].b};
        double whole[3];
        whole_numbers(rgb, whole);
        for (int c = 0; c < 3; c++) {
            assert_true(told[i].is_plain[c]);
            assert_in_range(told[i].most[c] - told[i].least[c], 0, 1); // 13 / 8 and 14 / 8 codes
            assert_true(told[i].least[c] <= whole[c] && whole[c] <= told[i].most[c]);
        }
    }
}

// (49, 55, 61) has a blue difference of 4, which comes back as 4.5 with a step of 9, and so does 5.
static void shared_blocks__tell_which_of_two_whole_numbers(void **state)
{
    (void)state;
    BlockTold told[SEPARATION_MAX_COLOURS];
    draw(TWO, 2, 79, 33.0);
    compress(0, 8, 8), compress(1, 16, 9), compress(2, 16, 9);
    tell(2, told);
    assert_int_equal(told[1].least[1], 4);
    assert_int_equal(told[1].most[1], 5);
    for (int i = 0; i < 2; i++) assert_told(&told[i], TWO[i], 0.3);
}

// All means between 4 and 5 come back as 4.5: there is nothing to tell by, and that is said.
static void shared_blocks__of_like_colours_say_nothing(void **state)
{
    (void)state;
    static const Srgb8 like[2] = {{204, 214, 221}, {49, 55, 61}}; // blue differences 5 and 4
    BlockTold told[SEPARATION_MAX_COLOURS];
    draw(like, 2, 79, 33.0);
    compress(0, 8, 8), compress(1, 16, 9), compress(2, 16, 9);
    tell(2, told);
    for (int i = 0; i < 2; i++) {
        assert_true(fabs(told[i].value[1] - 4.5) < 0.3);
        assert_true(told[i].variance[1] > 0.15);
    }
}

static void shared_blocks__as_coarse_as_quality_50(void **state)
{
    (void)state;
    BlockTold told[SEPARATION_MAX_COLOURS];
    draw(TWO, 2, 79, 33.0);
    compress(0, 8, 16), compress(1, 16, 17), compress(2, 16, 17);
    tell(2, told);
    for (int i = 0; i < 2; i++) assert_told(&told[i], TWO[i], 1.1); // lightness: what the limits leave
}

// What pixels show of small parts is smeared; their blocks lie beside it.
static void small_parts__have_the_colour_that_their_blocks_say(void **state)
{
    (void)state;
    static const Srgb8 colours[3] = {{0, 0, 0}, {210, 47, 39}, {60, 160, 90}};
    BlockTold told[SEPARATION_MAX_COLOURS];
    draw(colours, 3, 37, 6.3);
    compress(0, 8, 8), compress(1, 16, 9), compress(2, 16, 9);
    const double smeared[3] = {96.0, -27.0, 76.0}; // 95, -32 and 82 in truth
    guess_rgb(smeared, drawn.start[1]);
    tell(3, told);
    assert_false(told[1].is_plain[1]);
    assert_told(&told[0], colours[0], 0.3);
    assert_told(&told[2], colours[2], 1.0);
    assert_told(&told[1], colours[1], 1.6);
}

// A line that no label tells of lies across some blocks.
static void what_has_no_label__spoils_nothing(void **state)
{
    (void)state;
    BlockTold told[SEPARATION_MAX_COLOURS];
    draw(TWO, 2, 79, 33.0);
    for (int y = 0; y < SIDE; y++)
        for (int x = 38; x < 41; x++) drawn.rgba[4 * (y * SIDE + x)] = 255, drawn.rgba[4 * (y * SIDE + x) + 1] = 0;
    compress(0, 8, 8), compress(1, 16, 9), compress(2, 16, 9);
    tell(2, told);
    for (int i = 0; i < 2; i++) assert_told(&told[i], TWO[i], 0.5);
}

// A grey of small discs on black has no block of its own, and all that it shares are rounded towards one side.
static void small_parts__are_bounded_by_what_explains_every_block(void **state)
{
    (void)state;
    static const Srgb8 greys[2] = {{0, 0, 0}, {155, 155, 153}}; // a blue difference of -1, which comes back as -1.125
    BlockTold told[SEPARATION_MAX_COLOURS];
    draw(greys, 2, 31, 9.0);
    compress(0, 8, 8), compress(1, 16, 9), compress(2, 16, 9);
    tell(2, told);
    assert_false(told[1].is_plain[1]);
    assert_true(told[1].is_bounded[1]);
    assert_int_equal(told[1].least[1], -1);
    assert_int_equal(told[1].most[1], -1);
}

static void bounds__hold_the_colour(void **state)
{
    (void)state;
    Rng rng = rng_make(11);
    BlockTold told[SEPARATION_MAX_COLOURS];
    int bounded = 0, held = 0;
    for (int n = 0; n < 60; n++) {
        Srgb8 two[2];
        for (int i = 0; i < 2; i++)
            two[i] = (Srgb8){(uint8_t)(20 + rng_below(&rng, 216)), (uint8_t)(20 + rng_below(&rng, 216)), (uint8_t)(20 + rng_below(&rng, 216))};
        draw(two, 2, 31, 9.0);
        compress(0, 8, 8), compress(1, 16, 9), compress(2, 16, 9);
        tell(2, told);
        const double rgb[3] = {two[1].r, two[1].g, two[1].b};
        double whole[3];
        whole_numbers(rgb, whole);
        for (int c = 1; c < 3; c++) {
            if (!told[1].is_bounded[c]) continue;
            bounded++, held += told[1].least[c] <= whole[c] && whole[c] <= told[1].most[c];
        }
    }
    if (bounded < 60 || held < bounded * 9 / 10) fail_msg("%d bounded, %d of them hold the colour", bounded, held);
}

// Two colours that count as one: the larger one's blocks speak, its twin's neither for it nor for its neighbours.
static void twin_under_the_same_label__is_not_mixed_in(void **state)
{
    (void)state;
    static const Srgb8 ground = {10, 190, 10}, twin = {70, 190, 10}, inside = {130, 70, 10};
    const Srgb8 colours[2] = {ground, inside};
    BlockTold told[SEPARATION_MAX_COLOURS];
    draw(colours, 2, 79, 25.0);
    for (int i = 0; i < SIDE * SIDE; i++)
        if (drawn.label[i] == LABEL_FIRST && i / SIDE > SIDE * 3 / 5) drawn.rgba[4 * i] = twin.r;
    compress(0, 8, 8), compress(1, 16, 9), compress(2, 16, 9);
    tell(2, told);
    assert_told(&told[0], ground, 0.5);
    assert_told(&told[1], inside, 0.5);
}

static void transparent_blocks__say_nothing(void **state)
{
    (void)state;
    BlockTold told[SEPARATION_MAX_COLOURS];
    draw(TWO, 2, 79, 33.0);
    compress(0, 8, 8), compress(1, 16, 9), compress(2, 16, 9);
    for (int i = 0; i < SIDE * SIDE; i++)
        if (drawn.label[i] == LABEL_FIRST) drawn.label[i] = LABEL_CLEAR;
    tell(2, told);
    assert_false(told[0].is_plain[0]);
    assert_true(told[1].is_plain[0]);
}

static void finest_steps_or_none__leave_nothing_to_tell(void **state)
{
    (void)state;
    draw(TWO, 2, 79, 33.0);
    assert_false(blocks_can_tell(&drawn.picture));
    compress(0, 8, 1), compress(1, 8, 1), compress(2, 8, 1);
    assert_false(blocks_can_tell(&drawn.picture));
    compress(0, 8, 8), compress(1, 16, 9), compress(2, 8, 9); // no two axes alike
    assert_false(blocks_can_tell(&drawn.picture));
}

static void short_of_memory__is_said(void **state)
{
    (void)state;
    BlockTold told[SEPARATION_MAX_COLOURS];
    draw(TWO, 2, 79, 33.0);
    compress(0, 8, 8), compress(1, 16, 9), compress(2, 16, 9);
    const BlockView view = {&drawn.picture, drawn.label, drawn.depth, 2, drawn.start};
    bool good = false;
    for (size_t budget = 1000; !good; budget = budget * 3 / 2) {
        Error err = {0};
        Work work = {.scratch = arena_make(budget)};
        good = blocks_tell(&view, &work, told, &err);
        if (!good) assert_int_equal(err.kind, ERROR_SYSTEM);
        arena_free(&work.scratch);
        assert_true(budget < 1u << 30);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plain_blocks__bound_the_whole_numbers),
        cmocka_unit_test(shared_blocks__tell_which_of_two_whole_numbers),
        cmocka_unit_test(shared_blocks__of_like_colours_say_nothing),
        cmocka_unit_test(shared_blocks__as_coarse_as_quality_50),
        cmocka_unit_test(small_parts__have_the_colour_that_their_blocks_say),
        cmocka_unit_test(what_has_no_label__spoils_nothing),
        cmocka_unit_test(small_parts__are_bounded_by_what_explains_every_block),
        cmocka_unit_test(bounds__hold_the_colour),
        cmocka_unit_test(twin_under_the_same_label__is_not_mixed_in),
        cmocka_unit_test(transparent_blocks__say_nothing),
        cmocka_unit_test(finest_steps_or_none__leave_nothing_to_tell),
        cmocka_unit_test(short_of_memory__is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
