// test_rounding.c - the step of compression, told from what came back.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "separation/rounding.h"

#include <math.h>
#include <stdlib.h>

#define COLOURS 8

static int rounded(int value, int step)
{
    return (int)floor(floor(value * 8.0 / step + 0.5) * step / 8.0 + 0.5);
}

static void compress(Rng *rng, Rounding by, int was[COLOURS][3], int ycc[COLOURS][3])
{
    for (int i = 0; i < COLOURS; i++) {
        was[i][0] = 20 + (int)rng_below(rng, 216);
        ycc[i][0] = rounded(was[i][0] - 128, by.luma_eighths) + 128;
        for (int c = 1; c < 3; c++) {
            was[i][c] = (int)rng_below(rng, 160) - 80;
            ycc[i][c] = rounded(was[i][c], by.chroma_eighths);
        }
    }
}

static void rounding__is_found(void **state)
{
    (void)state;
    Rng rng = rng_make(3);
    int was[COLOURS][3], ycc[COLOURS][3], found = 0;
    const Rounding true_ones[] = {{16, 17}, {13, 14}, {11, 12}};
    for (int i = 0; i < 60; i++) {
        Rounding by = true_ones[i % 3];
        compress(&rng, by, was, ycc);
        Rounding r = rounding_find((const int (*)[3])ycc, COLOURS);
        found += r.luma_eighths == by.luma_eighths && r.chroma_eighths == by.chroma_eighths;
    }
    assert_true(found >= 57);
}

static void rounding__of_fine_steps_is_none_or_common(void **state)
{
    (void)state;
    Rng rng = rng_make(4);
    int was[COLOURS][3], ycc[COLOURS][3];
    for (int i = 0; i < 60; i++) {
        compress(&rng, (Rounding){3, 3}, was, ycc);
        Rounding r = rounding_find((const int (*)[3])ycc, COLOURS);
        assert_true(r.luma_eighths <= 10 && r.chroma_eighths <= 10);
    }
}

static void rounding_undo__is_the_middle(void **state)
{
    (void)state;
    const int ycc[3] = {54, 5, -3}; // 4.5 and -3.375 before the last rounding
    double middle[3];
    rounding_undo((Rounding){8, 9}, ycc, middle);
    assert_float_equal(middle[0], 54.0, 1e-12);
    assert_float_equal(middle[1], 4.5, 1e-12);
    assert_float_equal(middle[2], -3.375, 1e-12);
}

static void rounding__of_nothing_is_common(void **state)
{
    (void)state;
    Rounding r = rounding_find(NULL, 0);
    assert_int_equal(r.luma_eighths, 8);
    assert_int_equal(r.chroma_eighths, 9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rounding__is_found),
        cmocka_unit_test(rounding__of_fine_steps_is_none_or_common),
        cmocka_unit_test(rounding_undo__is_the_middle),
        cmocka_unit_test(rounding__of_nothing_is_common),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
