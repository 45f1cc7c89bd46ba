// test_job_interrupted.c - what an error or a cancel leaves, first answers and what the watch is told. PM_ALL=1 cancels at more moments.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "support/job_case.h"

#include "base/rng.h"

#include <pthread.h>
#include <time.h>

static void job_update__after_an_error_the_job_is_as_it_was_and_goes_on(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    const void *files = u.job.kit.items;
    size_t held = job_held_bytes(&u.job);
    u.settings.height_mm = 1.0;
    assert_false(update(&u));
    assert_int_equal(u.err.kind, ERROR_JOB);
    u.settings.height_mm = undertaking_mm();
    add(&u, (Edit){.kind = EDIT_BORDER, .mm = 100.0}); // more than a quarter of the height
    assert_false(update(&u));
    assert_int_equal(u.err.kind, ERROR_JOB);
    assert_ptr_equal(u.job.kit.items, files);
    assert_int_equal(job_held_bytes(&u.job), held);
    u.edits.items[0].mm = 10.0;
    assert_true(update(&u));
    assert_true(u.job.stack.border_mm == 10.0);
    end(&u);
}

typedef struct Asking {
    atomic_bool cancel;
    double after_s;
    struct timespec asked;
} Asking;

static double seconds_since(struct timespec from)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)(now.tv_sec - from.tv_sec) + (double)(now.tv_nsec - from.tv_nsec) * 1e-9;
}

static void *ask_later(void *argument)
{
    Asking *asking = argument;
    struct timespec wait = {0, (long)(asking->after_s * 1e9)};
    nanosleep(&wait, NULL);
    clock_gettime(CLOCK_MONOTONIC, &asking->asked);
    atomic_store(&asking->cancel, true);
    return NULL;
}

// The release build is measured in bench/job; here sanitizers and other tests may slow it down.
#define CANCEL_MOST_S 2.0
#define CANCELS 12
#define CANCELS_ALL 100

static void job_update__a_cancel_at_any_moment_leaves_the_job_as_it_was(void **state)
{
    (void)state;
    Undertaking u;
    struct timespec start_time;
    begin(&u, 0);
    const void *files = u.job.kit.items;
    clock_gettime(CLOCK_MONOTONIC, &start_time);
    Job other;
    Error err = {0};
    Settings taller = u.settings;
    taller.height_mm = 330.0;
    assert_true(job_build(&u.input, &taller, NULL, &other, &err));
    job_free(&other);
    double whole_s = seconds_since(start_time);
    Rng rng = rng_make(11);
    int caught = 0, cancels = quick_or_all(CANCELS, CANCELS_ALL);
    for (int i = 0; i < cancels; i++) {
        Asking asking = {.after_s = whole_s < 0.9 ? whole_s * rng_unit(&rng) : 0.9 * rng_unit(&rng)};
        JobWatch watch = {.cancel = &asking.cancel};
        pthread_t thread;
        taller.height_mm = 330.0 + i; // never one that is known
        assert_int_equal(pthread_create(&thread, NULL, ask_later, &asking), 0);
        bool done = job_update(&u.job, &taller, NULL, &watch, &err);
        pthread_join(thread, NULL);
        if (done) { // it was faster: back to the start
            assert_true(update(&u));
            files = u.job.kit.items;
            continue;
        }
        caught++;
        assert_int_equal(err.kind, ERROR_CANCELLED);
        assert_true(seconds_since(asking.asked) < CANCEL_MOST_S);
        assert_ptr_equal(u.job.kit.items, files);
    }
    assert_true(caught > cancels / 4);
    assert_true(update(&u));
    end(&u);
}

typedef struct Seen {
    int stages, first_answers;
    double last_share;
    bool falls;
} Seen;

static void note_stage(void *context, const char *stage)
{
    Seen *seen = context;
    seen->stages += stage[0] != 0;
}

static void note_share(void *context, const char *stage, double share)
{
    Seen *seen = context;
    (void)stage;
    seen->falls = seen->falls || share < seen->last_share || share > 1.0;
    seen->last_share = share;
}

static void note_first(void *context, const Job *job)
{
    Seen *seen = context;
    seen->first_answers += job->paper_count > 0 && job->papers[0].nest.sheet_count > 0 && job->pieces[0].piece_count > 0;
}

static void job_update__shows_a_first_answer_and_ends_with_the_same_bytes(void **state)
{
    (void)state;
    for (int which = 0; which < SMALL_PICTURE_COUNT; which++) {
        Undertaking u;
        begin(&u, which);
        Job other;
        Seen seen = {0};
        JobWatch watch = {.context = &seen, .first_answer = note_first};
        assert_true(job_create(&u.input, &other, &u.err));
        assert_true(job_update(&other, &u.settings, NULL, &watch, &u.err));
        assert_int_equal(seen.first_answers, 1);
        assert_null(files_differ(&other.kit, &u.job.kit));
        assert_true(job_update(&other, &u.settings, NULL, &watch, &u.err)); // all is known
        assert_int_equal(seen.first_answers, 2);
        assert_null(files_differ(&other.kit, &u.job.kit));
        job_free(&other);
        end(&u);
    }
}

static void job_update__tells_stages_and_a_share_that_only_rises(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    Seen seen = {0};
    JobWatch watch = {.context = &seen, .stage = note_stage, .progress = note_share};
    u.settings.height_mm = 290.0;
    assert_true(job_update(&u.job, &u.settings, NULL, &watch, &u.err));
    assert_int_equal(seen.stages, 7);
    assert_false(seen.falls);
    assert_true(seen.last_share == 1.0);
    end(&u);
}

static void job_update__threads_do_not_show(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 2);
    Job other;
    u.settings.threads = 1;
    assert_true(job_build(&u.input, &u.settings, NULL, &other, &u.err));
    assert_null(files_differ(&other.kit, &u.job.kit));
    job_free(&other);
    end(&u);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(job_update__after_an_error_the_job_is_as_it_was_and_goes_on),
        cmocka_unit_test(job_update__a_cancel_at_any_moment_leaves_the_job_as_it_was),
        cmocka_unit_test(job_update__shows_a_first_answer_and_ends_with_the_same_bytes),
        cmocka_unit_test(job_update__tells_stages_and_a_share_that_only_rises),
        cmocka_unit_test(job_update__threads_do_not_show),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
