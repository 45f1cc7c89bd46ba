// test_work.c - stopping and progress.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/work.h"

static void work_goes_on__counts_steps_and_goes_on(void **state)
{
    (void)state;
    atomic_uint steps = 0;
    atomic_bool cancel = false;
    Work work = {.cancel = &cancel, .steps_done = &steps};
    Error err = {0};
    for (int i = 0; i < 3; i++) assert_true(work_goes_on(&work, &err));
    assert_int_equal(atomic_load(&steps), 3);
    assert_int_equal(err.kind, ERROR_NONE);
}

static void work_goes_on__stops_when_asked(void **state)
{
    (void)state;
    atomic_bool cancel = false;
    Work work = {.cancel = &cancel};
    Error err = {0};
    assert_false(work_cancelled(&work));
    atomic_store(&cancel, true);
    assert_true(work_cancelled(&work));
    assert_false(work_goes_on(&work, &err));
    assert_int_equal(err.kind, ERROR_CANCELLED);
    assert_true(strlen(err.text) > 0);
}

static void work__without_a_flag_or_a_counter_never_stops(void **state)
{
    (void)state;
    Work work = {0};
    Error err = {0};
    assert_false(work_cancelled(&work));
    assert_true(work_goes_on(&work, &err));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(work_goes_on__counts_steps_and_goes_on),
        cmocka_unit_test(work_goes_on__stops_when_asked),
        cmocka_unit_test(work__without_a_flag_or_a_counter_never_stops),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
