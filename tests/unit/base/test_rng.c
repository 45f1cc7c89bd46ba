// test_rng.c - published values, bounds, and that equal seeds give equal runs.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"

// The values of SplitMix64 for seed 1234567 that are commonly printed with its reference code.
static void rng_next__gives_the_published_values(void **state)
{
    (void)state;
    Rng rng = rng_make(1234567);
    assert_true(rng_next(&rng) == 6457827717110365317u);
    assert_true(rng_next(&rng) == 3203168211198807973u);
    assert_true(rng_next(&rng) == 9817491932198370423u);
}

static void rng_below__stays_below_and_reaches_each_value(void **state)
{
    (void)state;
    Rng rng = rng_make(7);
    int seen[6] = {0};
    for (int i = 0; i < 60000; i++) {
        uint32_t value = rng_below(&rng, 6);
        assert_true(value < 6);
        seen[value]++;
    }
    for (int i = 0; i < 6; i++) assert_in_range(seen[i], 9500, 10500); // 10000 expected, deviation 91
}

// Values under 2^32 mod bound are refused; plain remainders would give the lower third twice the weight.
static void rng_below__has_no_bias_for_a_bound_near_the_range(void **state)
{
    (void)state;
    const uint32_t bound = 0xC0000000u;
    Rng rng = rng_make(99);
    int low = 0;
    for (int i = 0; i < 30000; i++) low += rng_below(&rng, bound) < bound / 3;
    assert_in_range(low, 9700, 10300);
}

static void rng_below__one_is_always_zero(void **state)
{
    (void)state;
    Rng rng = rng_make(3);
    for (int i = 0; i < 100; i++) assert_int_equal(rng_below(&rng, 1), 0);
}

static void rng_unit__lies_in_zero_to_one(void **state)
{
    (void)state;
    Rng rng = rng_make(42);
    double sum = 0.0;
    for (int i = 0; i < 10000; i++) {
        double value = rng_unit(&rng);
        assert_true(value >= 0.0 && value < 1.0);
        sum += value;
    }
    assert_true(sum > 4850.0 && sum < 5150.0);
}

static void rng__equal_seeds_give_equal_runs_and_others_do_not(void **state)
{
    (void)state;
    Rng a = rng_make(5), b = rng_make(5), c = rng_make(6);
    for (int i = 0; i < 100; i++) assert_true(rng_next(&a) == rng_next(&b));
    assert_true(rng_next(&a) != rng_next(&c));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rng_next__gives_the_published_values),
        cmocka_unit_test(rng_below__stays_below_and_reaches_each_value),
        cmocka_unit_test(rng_below__has_no_bias_for_a_bound_near_the_range),
        cmocka_unit_test(rng_below__one_is_always_zero),
        cmocka_unit_test(rng_unit__lies_in_zero_to_one),
        cmocka_unit_test(rng__equal_seeds_give_equal_runs_and_others_do_not),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
