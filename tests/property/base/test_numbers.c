// test_numbers.c - laws of the number formatter, lengths and safe names over seeded random inputs.
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "base/length.h"
#include "base/rng.h"
#include "base/text.h"

#define SEED 20240501u
#define ROUNDS 200000

// Numbers of every size: whole, with few digits, with all digits, close to halves.
static double some_number(Rng *rng)
{
    double size = pow(10.0, 24.0 * rng_unit(rng) - 10.0);
    double value = (rng_unit(rng) - 0.5) * size;
    switch (rng_below(rng, 4)) {
    case 0:
        return floor(value);
    case 1:
        return round(value * 1000.0) / 1000.0;
    case 2:
        return (floor(value) + 0.5) / 1024.0; // an exact half in binary
    default:
        return value;
    }
}

// Does value lie exactly between two numbers of so many decimals? The C library prints all its digits.
static bool is_half(double value, int decimals)
{
    char digits[200];
    snprintf(digits, sizeof digits, "%.120f", value);
    const char *rest = strchr(digits, '.') + 1 + decimals;
    return *rest == '5' && strspn(rest + 1, "0") == strlen(rest + 1);
}

static void drop_trailing_zeros(char *number)
{
    if (!strchr(number, '.')) return;
    size_t size = strlen(number);
    while (number[size - 1] == '0') number[--size] = 0;
    if (number[size - 1] == '.') number[--size] = 0;
}

// The C library rounds exact halves to even, we away from zero; all else must agree to the last digit.
static void number_format__agrees_with_the_c_library_except_in_halves(void **state)
{
    (void)state;
    Rng rng = rng_make(SEED);
    int halves = 0;
    for (int i = 0; i < ROUNDS; i++) {
        double value = some_number(&rng);
        int decimals = (int)rng_below(&rng, 10);
        if (is_half(value, decimals)) {
            halves++;
            value = nextafter(value, value < 0.0 ? -INFINITY : INFINITY); // away from zero, as the half itself goes
        }
        char ours[NUMBER_MAX], theirs[80];
        number_format(ours, value, decimals);
        snprintf(theirs, sizeof theirs, "%.*f", decimals, value);
        drop_trailing_zeros(theirs);
        const char *expected = strcmp(theirs, "-0") ? theirs : "0";
        if (strcmp(ours, expected) != 0)
            fail_msg("seed %u round %d: %.17g with %d decimals: %s, the C library says %s", SEED, i, value, decimals,
                     ours, expected);
    }
    assert_true(halves > 100); // else the law above was not put to the test beside a half
}

static void number_format__halves_go_as_the_next_number_away_from_zero(void **state)
{
    (void)state;
    Rng rng = rng_make(SEED + 4);
    for (int i = 0; i < ROUNDS; i++) {
        int decimals = (int)rng_below(&rng, 4);
        double value = ((double)rng_below(&rng, 2000000) - 1000000.0) / 16.0; // a half with 3 decimals, or none
        if (!is_half(value, decimals)) continue;
        char half[NUMBER_MAX], beyond[NUMBER_MAX];
        number_format(half, value, decimals);
        number_format(beyond, nextafter(value, value < 0.0 ? -INFINITY : INFINITY), decimals);
        assert_string_equal(half, beyond);
    }
}

static void number_parse__gives_back_what_was_written(void **state)
{
    (void)state;
    Rng rng = rng_make(SEED + 1);
    for (int i = 0; i < ROUNDS; i++) {
        double value = some_number(&rng), again;
        char once[NUMBER_MAX], twice[NUMBER_MAX];
        int decimals = (int)rng_below(&rng, 10);
        number_format(once, value, decimals);
        assert_true(number_parse(once, &again));
        assert_true(fabs(again - value) <= 0.5 * pow(10.0, -decimals) * (1.0 + 1e-6) + fabs(value) * 1e-15);
        if (strcmp(number_format(twice, again, decimals), once) != 0)
            fail_msg("seed %u round %d: %s became %s", SEED + 1, i, once, twice);
    }
}

static void length_parse__all_units_tell_the_same_length(void **state)
{
    (void)state;
    Rng rng = rng_make(SEED + 2);
    static const struct {
        const char *unit;
        double mm;
    } units[] = {{"in", 25.4}, {"ft", 304.8}, {"mm", 1.0}, {"cm", 10.0}, {"m", 1000.0}};
    for (int i = 0; i < 20000; i++) {
        double mm = 1.0 + 90000.0 * rng_unit(&rng);
        for (size_t u = 0; u < 5; u++) {
            char string[80], number[NUMBER_MAX];
            snprintf(string, sizeof string, "%s%s", number_format(number, mm / units[u].mm, 9), units[u].unit);
            double read_mm;
            Error err = {0};
            assert_true(length_parse(string, "x", &read_mm, &err));
            assert_true(fabs(read_mm - mm) < 1e-5);
        }
    }
}

static void text_safe_name__is_safe_and_stable(void **state)
{
    (void)state;
    Rng rng = rng_make(SEED + 3);
    for (int i = 0; i < 50000; i++) {
        char from[120], once[80], twice[80];
        size_t size = rng_below(&rng, sizeof from);
        for (size_t k = 0; k < size; k++) from[k] = (char)(1 + rng_below(&rng, 255));
        from[size] = 0;
        size_t room = 9 + rng_below(&rng, sizeof once - 9);
        text_safe_name(from, once, room);
        size_t out = strlen(once);
        assert_true(out >= 1 && out <= 60 && out < room);
        assert_true(once[0] != '-' && once[out - 1] != '-');
        assert_int_equal(strspn(once, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-"), out);
        text_safe_name(once, twice, sizeof twice);
        assert_string_equal(once, twice);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(number_format__agrees_with_the_c_library_except_in_halves),
        cmocka_unit_test(number_format__halves_go_as_the_next_number_away_from_zero),
        cmocka_unit_test(number_parse__gives_back_what_was_written),
        cmocka_unit_test(length_parse__all_units_tell_the_same_length),
        cmocka_unit_test(text_safe_name__is_safe_and_stable),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
