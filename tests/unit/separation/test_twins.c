// test_twins.c - what becomes of colours that turn out to be one.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "separation/twins.h"

#include <string.h>

static Palette palette_of(const Srgb8 *colours, int count)
{
    Palette p = {.count = count};
    for (int i = 0; i < count; i++) p.colours[i] = (PaletteColour){.colour = colours[i], .lab = lab_from_srgb8(colours[i])};
    return p;
}

// Grey 1, red, grey 2 (nearer to grey 3 than to grey 1), grey 3, blue; the last two come from thin lines.
static const Srgb8 COLOURS[5] = {{120, 120, 120}, {200, 30, 40}, {127, 127, 127}, {130, 130, 130}, {30, 60, 190}};

static void join(uint8_t *label, size_t px, double same_de00, Palette *palette, int *thin)
{
    Work work = {.scratch = arena_make(0)};
    Error err = {0};
    *palette = palette_of(COLOURS, 5);
    *thin = 2;
    assert_true(twins_join(label, px, same_de00, &work, palette, thin, &err));
    arena_free(&work.scratch);
}

static void twins_join__the_larger_stays_and_the_rest_keep_their_order(void **state)
{
    (void)state;
    uint8_t label[] = {0, 1, 2, 2, 2, 3, 4, 4, 5, 6};
    const uint8_t expected[] = {0, 1, 2, 2, 2, 3, 2, 2, 2, 4};
    Palette palette;
    int thin;
    join(label, sizeof label, 3.5, &palette, &thin); // grey 3 into grey 2, and that into grey 1
    assert_memory_equal(label, expected, sizeof label);
    assert_int_equal(palette.count, 3);
    assert_int_equal(palette.colours[0].colour.r, 120);
    assert_int_equal(palette.colours[1].colour.r, 200);
    assert_int_equal(palette.colours[2].colour.b, 190);
    assert_int_equal(thin, 1); // the blue
}

static void twins_join__only_what_is_near_enough(void **state)
{
    (void)state;
    uint8_t label[] = {2, 3, 4, 4, 5, 6};
    const uint8_t expected[] = {2, 3, 4, 4, 4, 5};
    Palette palette;
    int thin;
    join(label, sizeof label, 1.5, &palette, &thin);
    assert_memory_equal(label, expected, sizeof label);
    assert_int_equal(palette.count, 4);
    assert_int_equal(palette.colours[2].colour.r, 127);
    assert_int_equal(thin, 1);
}

static void twins_join__a_colour_without_pixels_is_nobodys_twin(void **state)
{
    (void)state;
    uint8_t label[] = {2, 3, 5, 6}, before[4];
    memcpy(before, label, sizeof label);
    Palette palette;
    int thin;
    join(label, sizeof label, 1.5, &palette, &thin);
    assert_memory_equal(label, before, sizeof label);
    assert_int_equal(palette.count, 5);
    assert_int_equal(thin, 2);
}

static void twins_join__wish_to_stop_is_heard(void **state)
{
    (void)state;
    Work work = {.scratch = arena_make(0)};
    Error err = {0};
    Palette palette = palette_of(COLOURS, 5);
    uint8_t label[] = {2, 3};
    int thin = 2;
    atomic_bool cancel = true;
    work.cancel = &cancel;
    assert_false(twins_join(label, sizeof label, 3.0, &work, &palette, &thin, &err));
    assert_int_equal(err.kind, ERROR_CANCELLED);
    arena_free(&work.scratch);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(twins_join__the_larger_stays_and_the_rest_keep_their_order),
        cmocka_unit_test(twins_join__only_what_is_near_enough),
        cmocka_unit_test(twins_join__a_colour_without_pixels_is_nobodys_twin),
        cmocka_unit_test(twins_join__wish_to_stop_is_heard),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
