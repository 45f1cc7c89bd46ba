// Several numbers at once: vectors and plain C answer alike, to the last bit.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "nest/lanes.h"

#include <math.h>

#define ROUNDS 200000
#define DISCS 12

static void any_deep__is_the_plain_answer(void **state)
{
    (void)state;
    Rng rng = rng_make(5);
    int deep = 0;
    for (int n = 0; n < ROUNDS; n++) {
        unsigned short cells[LANES_CELLS], reach = (unsigned short)rng_below(&rng, n % 2 ? 65536 : 40);
        for (int i = 0; i < LANES_CELLS; i++) cells[i] = (unsigned short)rng_below(&rng, reach + 1u); // mostly all lower
        if (n % 3 == 0) cells[rng_below(&rng, LANES_CELLS)] = reach;
        bool plain = lanes_any_deep_plain(cells, reach);
        if (n % 3 == 0) assert_true(plain);
        assert_int_equal(lanes_any_deep(cells, reach), plain);
        deep += plain;
    }
    assert_true(deep > ROUNDS / 2 && deep < ROUNDS);
}

// One disc lies where it just touches, give or take the last bits: there rounding decides. The others are far away.
static void disc_meets__is_the_plain_answer(void **state)
{
    (void)state;
    Rng rng = rng_make(6);
    int meet = 0;
    for (int n = 0; n < ROUNDS; n++) {
        float xs[DISCS], ys[DISCS], rs[DISCS], r = (float)(0.1 + 20 * rng_unit(&rng)), share = n % 2 ? 1.0f : 0.9999f;
        int near = (int)rng_below(&rng, DISCS);
        for (int j = 0; j < DISCS; j++) {
            double angle = 6.28 * rng_unit(&rng), other = j == near || rng_below(&rng, 3) ? 0.1 + 10 * rng_unit(&rng) : 0;
            double far = ((double)r + other) * (double)share * (j == near ? 1 + 1e-6 * (rng_unit(&rng) - 0.5) : 1.2 + rng_unit(&rng));
            xs[j] = (float)(7 + far * cos(angle)), ys[j] = (float)(-3 + far * sin(angle)), rs[j] = (float)other;
        }
        bool plain = lanes_disc_meets_plain(7, -3, r, xs, ys, rs, DISCS, share);
        assert_int_equal(lanes_disc_meets(7, -3, r, xs, ys, rs, DISCS, share), plain);
        meet += plain;
    }
    assert_true(meet > ROUNDS / 5 && meet < ROUNDS * 4 / 5);
}

static void disc_meets__a_radius_of_0_is_no_disc(void **state)
{
    (void)state;
    const float at[LANES_DISCS] = {0}, r[LANES_DISCS] = {0}, one[LANES_DISCS] = {0, 0, 0, 1};
    assert_false(lanes_disc_meets(0, 0, 5, at, at, r, LANES_DISCS, 1));
    assert_false(lanes_disc_meets_plain(0, 0, 5, at, at, r, LANES_DISCS, 1));
    assert_true(lanes_disc_meets(0, 0, 5, at, at, one, LANES_DISCS, 1));
    assert_true(lanes_disc_meets_plain(0, 0, 5, at, at, one, LANES_DISCS, 1));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_deep__is_the_plain_answer),
        cmocka_unit_test(disc_meets__is_the_plain_answer),
        cmocka_unit_test(disc_meets__a_radius_of_0_is_no_disc),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
