// A length in stretches: even where nothing speaks against it, else at the cheapest places.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "shape/parting.h"

#include <math.h>

typedef struct Free { // what lies between is free, the rest costs 1 in
    double low_mm, high_mm;
} Free;

static bool charge(void *data, const double *at_mm, int count, Work *work, double *out_in, Error *err)
{
    const Free *is_free = data;
    (void)work, (void)err;
    for (int i = 0; i < count; i++) out_in[i] = at_mm[i] >= is_free->low_mm && at_mm[i] <= is_free->high_mm ? 0.0 : 1.0;
    return true;
}

static bool part(double length_mm, double limit_mm, Free is_free, Arena *keep, Parting *out, Error *err)
{
    Work work = {.scratch = arena_make(0)};
    bool done = parting_choose(length_mm, limit_mm, charge, &is_free, keep, &work, out, err);
    arena_free(&work.scratch);
    return done;
}

static void parting_choose__nothing_speaks_against_even_stretches(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Parting out;
    Error err = {0};
    assert_true(part(1500, 400, (Free){0, 1500}, &keep, &out, &err));
    assert_int_equal(out.count, 3);
    for (int i = 0; i < 3; i++) assert_true(fabs(out.at_mm[i] - 375.0 * (i + 1)) < 1e-9);
    arena_free(&keep);
}

static void parting_choose__what_fits_stays_whole(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Parting out;
    Error err = {0};
    assert_true(part(400, 400, (Free){0, 1}, &keep, &out, &err));
    assert_int_equal(out.count, 0);
    assert_true(part(401, 400, (Free){0, 1}, &keep, &out, &err));
    assert_int_equal(out.count, 1);
    arena_free(&keep);
}

// One joint in 1000 mm of stretches up to 700: it may lie from 300 to 700. The free place there is taken, at its end that is
// nearer to the middle; one outside of that is not.
static void parting_choose__goes_to_the_cheapest_place_in_reach(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Parting out;
    Error err = {0};
    assert_true(part(1000, 700, (Free){320, 380}, &keep, &out, &err));
    assert_int_equal(out.count, 1);
    assert_true(out.at_mm[0] > 376 && out.at_mm[0] <= 380);
    assert_true(part(1000, 700, (Free){100, 250}, &keep, &out, &err));
    assert_true(fabs(out.at_mm[0] - 500) < 1e-9);
    arena_free(&keep);
}

static void parting_choose__too_many_stretches_are_refused(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Parting out;
    Error err = {0};
    assert_false(part(10000, 100, (Free){0, 1}, &keep, &out, &err));
    assert_int_equal(err.kind, ERROR_JOB);
    arena_free(&keep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(parting_choose__nothing_speaks_against_even_stretches),
        cmocka_unit_test(parting_choose__what_fits_stays_whole),
        cmocka_unit_test(parting_choose__goes_to_the_cheapest_place_in_reach),
        cmocka_unit_test(parting_choose__too_many_stretches_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
