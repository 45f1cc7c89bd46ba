// test_rows.c - rows of a comparison: each is what a build comes to, however many threads; the job stays as it is.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "small_pictures.h"

#include "job/job.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define PAPERS 4
static const char *const WORDS[PAPERS] = {"letter", "5x7", "1x1", "12x12"}; // the third leaves nothing

typedef struct Case {
    Arena keep;
    Job job;
    JobRow rows[PAPERS];
    Error err;
} Case;

static JobInput input_of(Arena *keep)
{
    SmallPicture picture = small_picture(0, keep);
    return (JobInput){picture.bytes, picture.size_bytes, "small.png", "small", NULL};
}

static Settings settings_of(const char *paper, int threads)
{
    Error err = {0};
    Settings settings = settings_defaults();
    settings.height_mm = 420.0;
    settings.threads = threads;
    settings.papers[0] = (PaperChoice){0};
    settings.papers[0].paper.width_mm = settings.papers[0].paper.height_mm = 25.4; // smaller than the allowance: no such word
    snprintf(settings.papers[0].paper.id, sizeof settings.papers[0].paper.id, "%s", paper);
    settings.paper_count = 1;
    if (strcmp(paper, "1x1") != 0) assert_true(paper_parse(paper, &settings.papers[0].paper, &err));
    return settings;
}

static Case begin(int threads)
{
    Case c = {.keep = arena_make(0)};
    JobInput input = input_of(&c.keep);
    assert_true(job_create(&input, &c.job, &c.err));
    for (int i = 0; i < PAPERS; i++) c.rows[i].settings = settings_of(WORDS[i], threads);
    return c;
}

static void end(Case *c)
{
    job_free(&c->job);
    arena_free(&c->keep);
}

// The text of "totals" in a kit.json.
static char *totals_of(const FileSet *kit, Arena *keep)
{
    const FileBytes *file = file_find(kit, "kit.json");
    assert_non_null(file);
    const char *at = memmem(file->bytes, file->size_bytes, "\"totals\"", 8);
    assert_non_null(at);
    char *text = arena_copy(keep, at, (size_t)(file->bytes + file->size_bytes - at) + 1, 1);
    assert_non_null(text);
    char *close = memchr(text, '}', (size_t)(file->bytes + file->size_bytes - at));
    assert_non_null(close);
    close[1] = 0;
    return text;
}

static void rows__are_what_a_build_on_that_paper_comes_to(void **state)
{
    (void)state;
    Case c = begin(2);
    assert_true(job_rows(&c.job, c.rows, PAPERS, NULL, NULL, &c.keep, &c.err));
    for (int i = 0; i < PAPERS; i++) {
        if (i == 2) continue;
        Job job;
        JobInput input = input_of(&c.keep);
        Settings settings = settings_of(WORDS[i], 1);
        assert_int_equal(c.rows[i].why.kind, ERROR_NONE);
        assert_int_equal(c.rows[i].kit.count, 1);
        assert_true(job_build(&input, &settings, NULL, &job, &c.err));
        assert_string_equal(totals_of(&c.rows[i].kit, &c.keep), totals_of(&job.kit, &c.keep));
        job_free(&job);
    }
    end(&c);
}

static void rows__one_that_cannot_be_says_why_and_spoils_no_other(void **state)
{
    (void)state;
    Case c = begin(2);
    assert_true(job_rows(&c.job, c.rows, PAPERS, NULL, NULL, &c.keep, &c.err));
    assert_int_equal(c.rows[2].kit.count, 0);
    assert_true(c.rows[2].why.kind == ERROR_JOB || c.rows[2].why.kind == ERROR_USAGE);
    assert_true(strlen(c.rows[2].why.text) > 20);
    JobRow alone = {.settings = c.rows[2].settings};
    assert_true(job_rows(&c.job, &alone, 1, NULL, NULL, &c.keep, &c.err));
    assert_string_equal(alone.why.text, c.rows[2].why.text);
    end(&c);
}

static void rows__are_the_same_on_any_number_of_threads(void **state)
{
    (void)state;
    Case one = begin(1), many = begin(4);
    assert_true(job_rows(&one.job, one.rows, PAPERS, NULL, NULL, &one.keep, &one.err));
    assert_true(job_rows(&many.job, many.rows, PAPERS, NULL, NULL, &many.keep, &many.err));
    for (int i = 0; i < PAPERS; i++) {
        assert_int_equal(one.rows[i].kit.count, many.rows[i].kit.count);
        if (one.rows[i].kit.count == 0) continue;
        assert_int_equal(one.rows[i].kit.items[0].size_bytes, many.rows[i].kit.items[0].size_bytes);
        assert_memory_equal(one.rows[i].kit.items[0].bytes, many.rows[i].kit.items[0].bytes, one.rows[i].kit.items[0].size_bytes);
    }
    end(&one);
    end(&many);
}

static void assert_same_kit(const FileSet *a, const FileSet *b)
{
    assert_int_equal(a->count, b->count);
    for (int i = 0; i < a->count; i++) {
        assert_string_equal(a->items[i].name, b->items[i].name);
        assert_int_equal(a->items[i].size_bytes, b->items[i].size_bytes);
        assert_memory_equal(a->items[i].bytes, b->items[i].bytes, a->items[i].size_bytes);
    }
}

// Neither kit.json alone nor what rows have shared changes a later build.
static void rows_and_numbers__leave_the_job_as_it_is(void **state)
{
    (void)state;
    Case c = begin(2);
    Job fresh;
    JobInput input = input_of(&c.keep);
    Settings settings = settings_of("letter", 2);
    assert_true(job_build(&input, &settings, NULL, &fresh, &c.err));
    assert_true(job_update(&c.job, &settings, NULL, NULL, &c.err));
    assert_true(job_rows(&c.job, c.rows, PAPERS, NULL, NULL, &c.keep, &c.err));
    assert_same_kit(&c.job.kit, &fresh.kit);
    assert_true(job_numbers(&c.job, &c.rows[1].settings, NULL, NULL, &c.err));
    assert_int_equal(c.job.kit.count, 1);
    assert_string_equal(totals_of(&c.job.kit, &c.keep), totals_of(&c.rows[1].kit, &c.keep));
    assert_true(job_update(&c.job, &settings, NULL, NULL, &c.err));
    assert_same_kit(&c.job.kit, &fresh.kit);
    job_free(&fresh);
    end(&c);
}

static void rows__stop_when_they_are_cancelled(void **state)
{
    (void)state;
    Case c = begin(2);
    atomic_bool cancel = true;
    JobWatch watch = {.cancel = &cancel};
    assert_false(job_rows(&c.job, c.rows, PAPERS, NULL, &watch, &c.keep, &c.err));
    assert_int_equal(c.err.kind, ERROR_CANCELLED);
    cancel = false;
    c.err = (Error){0};
    assert_true(job_rows(&c.job, c.rows, PAPERS, NULL, &watch, &c.keep, &c.err));
    assert_int_equal(c.rows[0].kit.count, 1);
    end(&c);
}

static void best__has_less_than_somebody_and_nobody_has_less(void **state)
{
    (void)state;
    const double values[] = {3.0, 2.0, NAN, 2.0};
    assert_false(job_row_is_best(values, 4, 0));
    assert_true(job_row_is_best(values, 4, 1));
    assert_false(job_row_is_best(values, 4, 2));
    assert_true(job_row_is_best(values, 4, 3));
    const double alike[] = {2.0, 2.0};
    assert_false(job_row_is_best(alike, 2, 0));
    assert_false(job_row_is_best(values, 1, 0));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows__are_what_a_build_on_that_paper_comes_to),
        cmocka_unit_test(rows__one_that_cannot_be_says_why_and_spoils_no_other),
        cmocka_unit_test(rows__are_the_same_on_any_number_of_threads),
        cmocka_unit_test(rows_and_numbers__leave_the_job_as_it_is),
        cmocka_unit_test(rows__stop_when_they_are_cancelled),
        cmocka_unit_test(best__has_less_than_somebody_and_nobody_has_less),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
