// test_units.c - units run once each, on any number of threads, and so do the parts that they share; the failure with the
// least index is reported.
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
    Units units = {UNITS, visit, note_done, seen, false};
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
    Units units = {0, visit, NULL, &seen, false};
    assert_true(units_run(&units, 2, NULL, &err));
}

// ---- parts ----

#define PARTS 40

typedef struct Sharing {
    atomic_int times[UNITS][PARTS];
    int fail_unit, fail_from;   // of that unit, parts from here on fail
} Sharing;

typedef struct Part { // of a unit
    Sharing *all;
    int unit;
} Part;

static bool visit_part(void *context, int part, Work *work, Error *err)
{
    Part *of = context;
    ArenaMark mark = arena_mark(&work->scratch);
    if (!work->overlay || !arena_new(&work->scratch, int, 1000)) return error_memory(err);
    arena_rewind(&work->scratch, mark);
    atomic_fetch_add(&of->all->times[of->unit][part], 1);
    if (of->unit == of->all->fail_unit && part >= of->all->fail_from) return error_set(err, ERROR_JOB, "unit %d, part %d", of->unit, part);
    return true;
}

static bool share_parts(void *context, int unit, Work *work, Error *err)
{
    Part part = {context, unit};
    int *held = arena_new(&work->scratch, int, 1);
    if (!held) return error_memory(err);
    *held = unit;
    if (!work_share(work, &(WorkParts){PARTS, visit_part, &part}, err)) return false;
    assert_int_equal(*held, unit); // what the unit had in scratch is still there
    return true;
}

static void work_share__each_part_runs_once_whoever_takes_it(void **state)
{
    (void)state;
    for (int threads = 1; threads <= 9; threads += 4)
        for (int units = 1; units <= 5; units += 2) {
            Sharing sharing = {.fail_unit = -1};
            Error err = {0};
            assert_true(units_run(&(Units){units, share_parts, NULL, &sharing, true}, threads, NULL, &err));
            for (int u = 0; u < units; u++)
                for (int i = 0; i < PARTS; i++) assert_int_equal(sharing.times[u][i], 1);
        }
}

static void work_share__the_least_failed_part_is_reported(void **state)
{
    (void)state;
    for (int threads = 1; threads <= 4; threads++) {
        Sharing sharing = {.fail_unit = 2, .fail_from = 11};
        Error err = {0};
        assert_false(units_run(&(Units){4, share_parts, NULL, &sharing, true}, threads, NULL, &err));
        assert_int_equal(err.kind, ERROR_JOB);
        assert_string_equal(err.text, "unit 2, part 11");
        for (int i = 0; i < 11; i++) assert_int_equal(sharing.times[2][i], 1);
        for (int i = 0; i < PARTS; i++) assert_int_equal(sharing.times[3][i], 1);
    }
}

// A part may itself share: nobody waits for somebody who waits.
static bool share_again(void *context, int part, Work *work, Error *err)
{
    return share_parts(context, part, work, err);
}

static bool share_twice(void *context, int unit, Work *work, Error *err)
{
    (void)unit;
    return work_share(work, &(WorkParts){UNITS, share_again, context}, err);
}

static void work_share__parts_may_share_again(void **state)
{
    (void)state;
    for (int threads = 1; threads <= 4; threads++) {
        Sharing sharing = {.fail_unit = -1};
        Error err = {0};
        assert_true(units_run(&(Units){1, share_twice, NULL, &sharing, true}, threads, NULL, &err));
        for (int u = 0; u < UNITS; u++)
            for (int i = 0; i < PARTS; i++) assert_int_equal(sharing.times[u][i], 1);
    }
}

static void work_share__without_a_crew_parts_run_in_order(void **state)
{
    (void)state;
    Sharing sharing = {.fail_unit = 0, .fail_from = 3};
    Part part = {&sharing, 0};
    Work work = {.scratch = arena_make(0), .overlay = (struct Overlay *)&sharing};
    Error err = {0};
    assert_false(work_share(&work, &(WorkParts){PARTS, visit_part, &part}, &err));
    assert_string_equal(err.text, "unit 0, part 3");
    for (int i = 0; i < PARTS; i++) assert_int_equal(sharing.times[0][i], i <= 3);
    arena_free(&work.scratch);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(work_share__each_part_runs_once_whoever_takes_it),
        cmocka_unit_test(work_share__the_least_failed_part_is_reported),
        cmocka_unit_test(work_share__parts_may_share_again),
        cmocka_unit_test(work_share__without_a_crew_parts_run_in_order),
        cmocka_unit_test(units_run__each_unit_runs_once_on_any_number_of_threads),
        cmocka_unit_test(units_run__the_least_failed_unit_is_reported),
        cmocka_unit_test(units_run__no_units_is_fine),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
