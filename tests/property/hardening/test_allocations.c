// test_allocations.c - memory runs out once, at each of the first allocations of a job with edits and at some spread over
// the whole: the job is done as if nothing had been, byte for byte, or ends with a clean ERROR_SYSTEM; nothing is leaked.
// A job that lives on is as it was before, and does the same when there is memory again.
// PM_ALLOCATIONS=spread takes a larger piece, more moments and two threads; "KIND:NUMBER" only that one (for looking at a failure).
#include "../../support/same_files.h"
#include "../../support/scarce_memory.h"
#include "../../support/tiny_picture.h"
#include "job/job.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FIRST_COUNT 150
#define FIRST_COUNT_SLOW 300
#define SPREAD_COUNT 50
#define SPREAD_COUNT_SLOW 1000
#define UPDATE_COUNT 15
#define UPDATE_COUNT_SLOW 30
#define HEIGHT_MM 114.3     // of a piece that must be divided all the same
#define HEIGHT_SLOW_MM 152.4
#define SHOWN_COUNT 10      // failures that are told one by one

static const char *const KIND_WORDS[] = {"hand-out", "block", "object"};
static const char EDITS[] =
    "[{\"edit\": \"border\", \"mm\": 3},"
    " {\"edit\": \"name\", \"colour\": \"#1e32a0\", \"name\": \"night\"},"
    " {\"edit\": \"paper\", \"at\": [0.489, 0.705]},"
    " {\"edit\": \"tiny\", \"at\": [0.148, 0.148], \"fate\": \"pen\"},"
    " {\"edit\": \"over\", \"colour\": \"#3c8c50\", \"other\": \"#1e32a0\"},"
    " {\"edit\": \"sheet\", \"colour\": \"#c81e28\", \"paper\": \"a5\"},"
    " {\"edit\": \"seam\", \"colour\": \"#1e32a0\", \"points\": [[0.0, 0.62], [1.0, 0.62]]},"
    " {\"edit\": \"no-seam\", \"colour\": \"#1e32a0\", \"points\": [[0.5, 0.0], [0.5, 0.2]]},"
    " {\"edit\": \"keep-clear\", \"points\": [[0.3, 0.2], [0.7, 0.2], [0.7, 0.5], [0.3, 0.5]]}]";

typedef struct Trial {
    const uint8_t *picture;
    size_t picture_bytes;
    Settings settings;
    Arena expected_keep;
    FileSet expected;       // the kit's bytes and the proof's text when memory never runs out
    const char *expected_text;
} Trial;

// What one run gave: a kit with a proof, or an error.
typedef struct Outcome {
    bool built, proved;
    Error err;
    Job job;
    Arena keep;
    Proof proof;
} Outcome;

static bool begin_job(const Trial *trial, Outcome *out)
{
    *out = (Outcome){.keep = arena_make(0)};
    JobInput input = {trial->picture, trial->picture_bytes, "tiny.png", "tiny", NULL};
    return job_create(&input, &out->job, &out->err);
}

static bool update_job(const Trial *trial, Outcome *out)
{
    EditList edits;
    return edits_parse(EDITS, sizeof EDITS - 1, &out->keep, &edits, &out->err) &&
           job_update(&out->job, &trial->settings, &edits, NULL, &out->err);
}

static void run_job(const Trial *trial, Outcome *out)
{
    out->built = begin_job(trial, out) && update_job(trial, out);
    out->proved = out->built && job_prove(&out->job.kit, 1, NULL, &out->keep, &out->proof, &out->err);
}

static void outcome_free(Outcome *outcome)
{
    job_free(&outcome->job);
    arena_free(&outcome->keep);
}

// NULL when the outcome is one of the two that are allowed.
static const char *what_is_wrong(const Trial *trial, const Outcome *outcome)
{
    if (!outcome->built && outcome->job.kit.count != 0) return "a failed job hands out files";
    if (!outcome->proved) {
        if (outcome->err.kind != ERROR_SYSTEM) return "the error is not one of the system";
        return outcome->err.text[0] ? NULL : "the error says nothing";
    }
    if (outcome->proof.fault_count > 0) return "the kit is not the one that was promised";
    if (files_differ(&outcome->job.kit, &trial->expected)) return "the kit is another than with enough memory";
    return strcmp(outcome->proof.text, trial->expected_text) == 0 ? NULL : "the proof says something else";
}

// Lets the allocation with this number fail; tells whether all was well.
static bool survives(const Trial *trial, MemoryKind kind, long number)
{
    long held = scarce_memory_blocks_held();
    Outcome outcome;
    scarce_memory_begin(kind, number);
    run_job(trial, &outcome);
    scarce_memory_end();
    const char *wrong = what_is_wrong(trial, &outcome);
    char text[sizeof outcome.err.text];
    snprintf(text, sizeof text, "%s", outcome.err.text);
    outcome_free(&outcome);
    if (!wrong && scarce_memory_blocks_held() != held) wrong = "blocks are left behind";
    if (wrong) print_error("%s %ld: %s (%s)\n", KIND_WORDS[kind], number, wrong, text[0] ? text : "done");
    return !wrong;
}

// How many allocations of this kind a whole job makes.
static long count_all(const Trial *trial, MemoryKind kind)
{
    Outcome outcome;
    scarce_memory_begin(kind, -1);
    run_job(trial, &outcome);
    long all = scarce_memory_end();
    assert_true(outcome.proved);
    outcome_free(&outcome);
    return all;
}

static void fail_each(const Trial *trial, MemoryKind kind, long first, long spread)
{
    long all = count_all(trial, kind), failures = 0;
    if (first > all) first = all;
    if (spread > all - first) spread = all - first;
    for (long i = 0; i < first && failures < SHOWN_COUNT; i++) failures += !survives(trial, kind, i);
    for (long i = 0; i < spread && failures < SHOWN_COUNT; i++)
        failures += !survives(trial, kind, first + (long)((double)i * (double)(all - first) / (double)spread));
    print_message("%s: %ld in a job, %ld of them failed in turn\n", KIND_WORDS[kind], all, first + spread);
    assert_true(all > 100);
    assert_int_equal(failures, 0);
}

static void fail_as_asked(Trial *trial, MemoryKind kind)
{
    const char *how = getenv("PM_ALLOCATIONS");
    if (how && strncmp(how, KIND_WORDS[kind], strlen(KIND_WORDS[kind])) == 0) {
        const char *colon = strchr(how, ':');
        assert_true(survives(trial, kind, colon ? strtol(colon + 1, NULL, 10) : 0));
    } else if (how && strcmp(how, "spread") == 0) {
        fail_each(trial, kind, FIRST_COUNT_SLOW, SPREAD_COUNT_SLOW);
        trial->settings.threads = 2;
        fail_each(trial, kind, 0, SPREAD_COUNT_SLOW / 4);
        trial->settings.threads = 1;
    } else if (!how) {
        fail_each(trial, kind, FIRST_COUNT, SPREAD_COUNT);
    }
}

static void hand_outs_may_fail(void **state)
{
    fail_as_asked(*state, MEMORY_HAND_OUT);
}

static void blocks_may_fail(void **state)
{
    fail_as_asked(*state, MEMORY_BLOCK);
}

static void objects_of_the_polygon_library_may_fail(void **state)
{
    fail_as_asked(*state, MEMORY_OBJECT);
}

// One update of a living job runs out of memory, the next does not: tells what was wrong then.
static const char *try_update(const Trial *trial, long number, Outcome *outcome)
{
    FileSet before;
    Settings settings = trial->settings;
    settings.height_mm += 20.0;
    if (!begin_job(trial, outcome) || !job_update(&outcome->job, &settings, NULL, NULL, &outcome->err))
        return "the first kit is not made";
    assert_true(files_copy(&outcome->job.kit, &outcome->keep, &before));
    scarce_memory_begin(MEMORY_HAND_OUT, number);
    bool done = update_job(trial, outcome);
    scarce_memory_end();
    if (!done && outcome->err.kind != ERROR_SYSTEM) return "the error is not one of the system";
    if (!done && files_differ(&outcome->job.kit, &before)) return "the job is not as it was before";
    if (!done && !update_job(trial, outcome)) return "it fails again, with enough memory";
    return files_differ(&outcome->job.kit, &trial->expected) ? "the kit is another than with enough memory" : NULL;
}

static void a_job_that_ran_out_of_memory_goes_on(void **state)
{
    const Trial *trial = *state;
    const char *how = getenv("PM_ALLOCATIONS");
    if (how && strcmp(how, "spread") != 0) return;
    long all = count_all(trial, MEMORY_HAND_OUT), failures = 0, updates = how ? UPDATE_COUNT_SLOW : UPDATE_COUNT;
    for (long i = 0; i < updates && failures < SHOWN_COUNT; i++) {
        Outcome outcome;
        long number = (long)((double)i * (double)all / (double)updates), held = scarce_memory_blocks_held();
        const char *wrong = try_update(trial, number, &outcome);
        outcome_free(&outcome);
        if (!wrong && scarce_memory_blocks_held() != held) wrong = "blocks are left behind";
        if (wrong) print_error("update, hand-out %ld: %s (%s)\n", number, wrong, outcome.err.text);
        failures += wrong != NULL;
    }
    assert_int_equal(failures, 0);
}

static int set_up(void **state)
{
    static uint8_t picture[TINY_PICTURE_BYTES];
    tiny_picture_png(picture);
    static Trial trial;
    Error err = {0};
    Outcome outcome;
    trial = (Trial){.picture = picture, .picture_bytes = sizeof picture, .settings = settings_defaults(),
                    .expected_keep = arena_make(0)};
    trial.settings.height_mm = getenv("PM_ALLOCATIONS") ? HEIGHT_SLOW_MM : HEIGHT_MM;
    trial.settings.threads = 1;
    if (!settings_add_paper(&trial.settings, "4x4in", &err)) return -1;
    run_job(&trial, &outcome);
    if (!outcome.proved || outcome.proof.fault_count > 0) {
        print_error("%s\n", outcome.err.text);
        return -1;
    }
    if (!files_copy(&outcome.job.kit, &trial.expected_keep, &trial.expected)) return -1;
    trial.expected_text = arena_text(&trial.expected_keep, outcome.proof.text);
    outcome_free(&outcome);
    *state = &trial;
    return trial.expected_text ? 0 : -1;
}

static int tear_down(void **state)
{
    arena_free(&((Trial *)*state)->expected_keep);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hand_outs_may_fail),
        cmocka_unit_test(blocks_may_fail),
        cmocka_unit_test(objects_of_the_polygon_library_may_fail),
        cmocka_unit_test(a_job_that_ran_out_of_memory_goes_on),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
