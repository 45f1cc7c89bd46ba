// test_killed.c - a writer is killed at 100 moments: whatever it was told to be saved is there, and the file is whole.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/rng.h"
#include "store/job_file.h"
#include "support/temp_folder.h"

#include <signal.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>

#define MOMENTS 100
#define LONGEST_NS 12000000 // a change takes less than a millisecond to some, with the disk

static const FileBytes PICTURE = {"kite.png", "pretend", 7};

// Adds and strikes lines for ever; says each one that is saved by a byte.
static void write_on(const char *path, int pipe_end)
{
    JobFile *file;
    Error err = {0};
    int64_t id;
    if (!job_file_open(path, &file, &err)) _exit(1);
    for (;;) {
        if (!job_file_add_line(file, "{\"edit\":\"border\",\"mm\":6}", &id, &err)) _exit(2);
        if (write(pipe_end, "+", 1) != 1) _exit(3);
    }
}

// `after_first`: the moment counts from the first line that is saved, so that a busy machine has some too.
static int run_and_kill(const char *path, bool after_first, long after_ns)
{
    int ends[2], saved = 0;
    char byte;
    assert_int_equal(pipe(ends), 0);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        close(ends[0]);
        write_on(path, ends[1]);
    }
    close(ends[1]);
    if (after_first) saved += read(ends[0], &byte, 1) == 1;
    struct timespec wait_for = {0, after_ns};
    nanosleep(&wait_for, NULL);
    kill(child, SIGKILL);
    int status;
    waitpid(child, &status, 0);
    assert_true(WIFSIGNALED(status));
    while (read(ends[0], &byte, 1) == 1) saved++;
    close(ends[0]);
    return saved;
}

static int lines_in(const char *path)
{
    Arena keep = arena_make(0);
    JobFile *file;
    JobFileContent content;
    Error err = {0};
    if (!job_file_open(path, &file, &err) || !job_file_read(file, &keep, &content, &err)) fail_msg("%s", err.text);
    int count = (int)content.docket.count;
    assert_int_equal(content.picture.size_bytes, PICTURE.size_bytes);
    job_file_close(file);
    arena_free(&keep);
    return count;
}

static void job_file__killed_at_any_moment_holds_every_change_that_was_saved(void **state)
{
    (void)state;
    JobFile *file;
    Error err = {0};
    Rng rng = rng_make(20);
    int before = 0, in_all = 0;
    temp_folder_make();
    char path[800];
    snprintf(path, sizeof path, "%s", temp_path("k.pmason"));
    assert_true(job_file_create(path, "kite", "kite.png", &PICTURE, &file, &err));
    job_file_close(file);
    for (int i = 0; i < MOMENTS; i++) {
        int saved = run_and_kill(path, i % 2, (long)rng_below(&rng, LONGEST_NS));
        int now = lines_in(path);
        assert_in_range(now, before + saved, before + saved + 1); // the one that was being made may be there or not
        before = now;
        in_all += saved;
    }
    assert_true(in_all > 0);
    temp_folder_remove();
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(job_file__killed_at_any_moment_holds_every_change_that_was_saved)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
