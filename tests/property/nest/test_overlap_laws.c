// Overlap and pairs of random outlines, against the exact check.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "overlap_laws.h"

#define ROUNDS 1500
#define BYTES 160

static void any_two__overlap_and_pair_as_the_exact_check_says(void **state)
{
    (void)state;
    OverlapSeen seen = {0};
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Rng rng = rng_make(seed);
        uint8_t bytes[BYTES];
        for (int i = 0; i < BYTES; i++) bytes[i] = (uint8_t)rng_below(&rng, 256);
        const char *broken = overlap_broken_law(bytes, BYTES, &seen);
        if (broken) fail_msg("seed %llu: %s", (unsigned long long)seed, broken);
    }
    print_message("%d cases: %d meet, %d lie apart, %d between; %d too thin; %d lie as pairs, %d found\n", seen.cases, seen.meet, seen.apart,
                  seen.between, seen.thin, seen.pairs, seen.pairs_found);
    assert_true(seen.cases > ROUNDS / 2 && seen.meet > ROUNDS / 10 && seen.apart > ROUNDS / 10 && seen.between > ROUNDS / 50);
    assert_true(seen.pairs > ROUNDS / 20 && seen.thin < ROUNDS / 4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(any_two__overlap_and_pair_as_the_exact_check_says)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
