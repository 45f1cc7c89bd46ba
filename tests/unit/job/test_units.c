// test_units.c - units run once each, on any number of threads; the failure with the least index is reported.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "job/units.h"

#include <string.h>

#define UNITS 50

typedef struct Seen {
    atomic_int times[UNITS];
    int fail_from;      // units from here on fail
    int last_done;      // what the caller was told last
} Seen;

static bool visit(void *context, int unit, Work *work, Error *err)
{
    Seen *seen = context;
    if (!work->overlay || !arena_new(&work->scratch, int, 1000)) return error_memory(err);
    atomic_fetch_add(&seen->times[unit], 1);
    if (unit >= seen->fail_from) return error_set(err, ERROR_JOB, "unit %d", unit);
    return true;
}

static void note_done(void *context, int done_count)
{
    Seen *seen = context;
    assert_true(done_count > seen->last_done && done_count <= UNITS);
    seen->last_done = done_count;
}

static bool run(Seen *seen, int threads, Error *err)
{
    Units units = {UNITS, visit, note_done, seen};
    return units_run(&units, threads, NULL, err);
}

static void units_run__each_unit_runs_once_on_any_number_of_threads(void **state)
{
    (void)state;
    for (int threads = 1; threads <= 9; threads += 4) {
        Seen seen = {.fail_from = UNITS};
        Error err = {0};
        assert_true(run(&seen, threads, &err));
        for (int i = 0; i < UNITS; i++) assert_int_equal(seen.times[i], 1);
        if (threads == 1) assert_int_equal(seen.last_done, UNITS);
    }
}

static void units_run__the_least_failed_unit_is_reported(void **state)
{
    (void)state;
    for (int threads = 1; threads <= 4; threads++) {
        Seen seen = {.fail_from = 17};
        Error err = {0};
        assert_false(run(&seen, threads, &err));
        assert_int_equal(err.kind, ERROR_JOB);
        assert_string_equal(err.text, "unit 17");
    }
}

static void units_run__no_units_is_fine(void **state)
{
    (void)state;
    Seen seen = {0};
    Error err = {0};
    Units units = {0, visit, NULL, &seen};
    assert_true(units_run(&units, 2, NULL, &err));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(units_run__each_unit_runs_once_on_any_number_of_threads),
        cmocka_unit_test(units_run__the_least_failed_unit_is_reported),
        cmocka_unit_test(units_run__no_units_is_fine),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
