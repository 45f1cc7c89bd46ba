// test_guess.c - the colour that was most likely there, given what compression left of it.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "separation/guess.h"

#include <math.h>
#include <string.h>

static const bool NONE[3] = {false, false, false};
static const double EXACT[3] = {0.02, 0.02, 0.02};

static double de00(Srgb8 a, Srgb8 b)
{
    return lab_difference_2000(lab_from_srgb8(a), lab_from_srgb8(b));
}

static void whole(Srgb8 c, double rgb[3])
{
    const double exact[3] = {c.r, c.g, c.b};
    double ycc[3];
    guess_ycc(exact, ycc);
    for (int i = 0; i < 3; i++) ycc[i] = floor(ycc[i] + 0.5);
    guess_rgb(ycc, rgb);
}

static void guess_ycc__comes_back(void **state)
{
    (void)state;
    const double rgb[3] = {12.5, 240.0, 99.25};
    double ycc[3], back[3];
    guess_ycc(rgb, ycc);
    guess_rgb(ycc, back);
    for (int i = 0; i < 3; i++) assert_float_equal(back[i], rgb[i], 1e-9);
    const double red[3] = {255, 0, 0}; // ITU-T T.871: 76.245, -43.03, 127.5
    guess_ycc(red, ycc);
    assert_float_equal(ycc[0], 76.245, 1e-6);
    assert_float_equal(ycc[1], -43.0277, 1e-3);
    assert_float_equal(ycc[2], 127.5, 1e-6);
}

// Even exactly measured whole numbers leave several colours; the guess lies among them, never far from any.
static void guess__is_near_whatever_became_those_numbers(void **state)
{
    (void)state;
    Rng rng = rng_make(7);
    double sum = 0.0;
    for (int i = 0; i < 500; i++) {
        Srgb8 c = {(uint8_t)rng_below(&rng, 256), (uint8_t)rng_below(&rng, 256), (uint8_t)rng_below(&rng, 256)};
        double measured[3];
        whole(c, measured);
        double off = de00(guess_colour(measured, NONE, EXACT), c);
        assert_true(off < 1.3);
        sum += off;
    }
    assert_true(sum / 500 < 0.3);
}

static void guess__of_two_that_come_out_alike_none_is_far(void **state)
{
    (void)state;
    const Srgb8 a = {244, 170, 65}, b = {245, 169, 65}; // both are 180, -65, 46
    double measured[3], other[3];
    whole(a, measured), whole(b, other);
    for (int i = 0; i < 3; i++) assert_float_equal(measured[i], other[i], 1e-9);
    Srgb8 guess = guess_colour(measured, NONE, EXACT);
    assert_true(de00(guess, a) < de00(a, b) + 1e-9 && de00(guess, b) < de00(a, b) + 1e-9);
    assert_true(de00(guess, a) + de00(guess, b) < 2 * de00(a, b));
}

static void comes_back__what_was_compressed_and_few_others(void **state)
{
    (void)state;
    Rng rng = rng_make(9);
    int others = 0;
    for (int i = 0; i < 500; i++) {
        Srgb8 c = {(uint8_t)(20 + rng_below(&rng, 216)), (uint8_t)(20 + rng_below(&rng, 216)), (uint8_t)(20 + rng_below(&rng, 216))};
        double back[3];
        whole(c, back);
        Srgb8 came = {(uint8_t)floor(back[0] + 0.5), (uint8_t)floor(back[1] + 0.5), (uint8_t)floor(back[2] + 0.5)};
        assert_true(guess_comes_back(came));
        others += guess_comes_back(c);
    }
    assert_in_range(others, 80, 170); // about a quarter
}

static void guess__leaves_sure_channels(void **state)
{
    (void)state;
    const double measured[3] = {255.0, 203.6, 0.0};
    const bool sure[3] = {true, false, true};
    Srgb8 guess = guess_colour(measured, sure, EXACT);
    assert_int_equal(guess.r, 255);
    assert_int_equal(guess.b, 0);
    assert_in_range(guess.g, 203, 205);
}

// (49, 55, 61) becomes (54, 4, -3): within those limits every guess does, without them one half-way to 5 is another.
static void guess_from_ycc__keeps_its_limits(void **state)
{
    (void)state;
    const double ycc[3] = {54.0, 4.5, -3.0}, variance[3] = {0.02, 0.3, 0.02};
    const GuessLimits limits = {{54, 4, -3}, {54, 4, -3}};
    const Srgb8 truth = {49, 55, 61};
    Srgb8 within = guess_from_ycc(ycc, variance, &limits), free_guess = guess_from_ycc(ycc, variance, NULL);
    assert_true(guess_is_within(truth, &limits));
    assert_true(guess_is_within(within, &limits));
    assert_false(guess_is_within((Srgb8){49, 55, 64}, &limits));
    assert_true(de00(within, truth) < de00(free_guess, truth));
}

static void guess_from_ycc__limits_without_a_colour_are_left(void **state)
{
    (void)state;
    const double ycc[3] = {54.0, 4.0, -3.0};
    const GuessLimits nowhere = {{54, 90, -3}, {54, 91, -3}};
    Srgb8 guess = guess_from_ycc(ycc, EXACT, &nowhere);
    assert_true(de00(guess, (Srgb8){50, 55, 61}) < 1.3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(guess_ycc__comes_back),
        cmocka_unit_test(guess__is_near_whatever_became_those_numbers),
        cmocka_unit_test(guess__of_two_that_come_out_alike_none_is_far),
        cmocka_unit_test(comes_back__what_was_compressed_and_few_others),
        cmocka_unit_test(guess__leaves_sure_channels),
        cmocka_unit_test(guess_from_ycc__keeps_its_limits),
        cmocka_unit_test(guess_from_ycc__limits_without_a_colour_are_left),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
