// test_job_file.c - a job comes back as it was saved; what is no job file, damaged or newer is refused and left as it is.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "store/job_file.h"
#include "support/temp_folder.h"

#include <string.h>
#include <sys/stat.h>

static const FileBytes PICTURE = {"kite.png", "\x89PNG\0not really", 15};

static JobFile *fresh(const char *name)
{
    JobFile *file;
    Error err = {0};
    if (!job_file_create(temp_path(name), "kite", "kite.png", &PICTURE, &file, &err)) fail_msg("%s", err.text);
    return file;
}

static JobFileContent content_of(JobFile *file, Arena *keep)
{
    JobFileContent content;
    Error err = {0};
    if (!job_file_read(file, keep, &content, &err)) fail_msg("%s", err.text);
    return content;
}

static int64_t add(JobFile *file, const char *json)
{
    int64_t id;
    Error err = {0};
    if (!job_file_add_line(file, json, &id, &err)) fail_msg("%s", err.text);
    return id;
}

static void job_file__comes_back_as_it_was_saved(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err = {0};
    JobFile *file = fresh("a.pmason");
    int64_t first = add(file, "{\"set\":\"height\",\"to\":\"4ft\"}"), second = add(file, "{\"edit\":\"border\",\"mm\":6}");
    assert_true(job_file_strike(file, first, true, &err));
    assert_true(job_file_tick(file, "A7", TICK_CUT, &err) && job_file_tick(file, "B1", TICK_GLUED, &err) && job_file_tick(file, "A7", TICK_TAPED, &err));
    assert_true(job_file_tick(file, "C1", TICK_CUT, &err) && job_file_tick(file, "C1", TICK_NONE, &err));
    job_file_close(file);
    assert_true(job_file_open(temp_path("a.pmason"), &file, &err));
    JobFileContent content = content_of(file, &keep);
    assert_string_equal(content.name, "kite");
    assert_string_equal(content.picture_name, "kite.png");
    assert_int_equal(content.picture.size_bytes, PICTURE.size_bytes);
    assert_memory_equal(content.picture.bytes, PICTURE.bytes, PICTURE.size_bytes);
    assert_int_equal(content.docket.count, 2);
    assert_true(content.docket.lines[0].struck && !content.docket.lines[1].struck && content.docket.lines[1].id == second);
    assert_int_equal(content.tick_count, 2);
    assert_string_equal(content.ticks[0].piece, "A7");
    assert_int_equal(content.ticks[0].mark, TICK_TAPED);
    job_file_close(file);
    arena_free(&keep);
}

static void job_file_strike__of_a_line_that_is_not_there_is_said(void **state)
{
    (void)state;
    Error err = {0};
    JobFile *file = fresh("b.pmason");
    assert_false(job_file_strike(file, 7, true, &err));
    assert_int_equal(err.kind, ERROR_USAGE);
    job_file_close(file);
}

static void job_file_create__never_replaces_a_file(void **state)
{
    (void)state;
    Error err = {0};
    JobFile *file = fresh("c.pmason"), *second = NULL;
    assert_false(job_file_create(temp_path("c.pmason"), "other", "other.png", &PICTURE, &second, &err));
    assert_int_equal(err.kind, ERROR_JOB);
    assert_null(second);
    job_file_close(file);
}

static void job_file_save_copy__makes_a_second_whole_one(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err = {0};
    JobFile *file = fresh("d.pmason"), *copy;
    add(file, "{\"edit\":\"border\",\"mm\":6}");
    assert_true(job_file_save_copy(file, temp_path("e.pmason"), "for a friend", &err));
    add(file, "{\"edit\":\"border\",\"mm\":7}");
    assert_false(job_file_save_copy(file, temp_path("e.pmason"), "again", &err));
    assert_true(job_file_open(temp_path("e.pmason"), &copy, &err));
    JobFileContent content = content_of(copy, &keep);
    assert_string_equal(content.name, "for a friend");
    assert_int_equal(content.docket.count, 1);
    job_file_close(copy);
    job_file_close(file);
    arena_free(&keep);
}

// ---- what is refused ----

typedef struct Bytes { unsigned char bytes[200000]; size_t size; } Bytes;

static void read_bytes(const char *path, Bytes *out)
{
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    out->size = fread(out->bytes, 1, sizeof out->bytes, file);
    fclose(file);
}

static void write_bytes(const char *path, const Bytes *from)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(from->bytes, 1, from->size, file), from->size);
    assert_int_equal(fclose(file), 0);
}

// Opening, and when that works reading, must say no, and leave every byte.
static void refused(const char *name, const Bytes *given, const char *word)
{
    static Bytes after;
    Arena keep = arena_make(0);
    JobFile *file = NULL;
    JobFileContent content;
    Error err = {0};
    write_bytes(temp_path(name), given);
    bool taken = job_file_open(temp_path(name), &file, &err) && job_file_read(file, &keep, &content, &err);
    job_file_close(file);
    assert_false(taken);
    assert_int_equal(err.kind, ERROR_INPUT);
    if (!strstr(err.text, word)) fail_msg("'%s' lacks '%s'", err.text, word);
    read_bytes(temp_path(name), &after);
    assert_int_equal(after.size, given->size);
    assert_memory_equal(after.bytes, given->bytes, given->size);
    arena_free(&keep);
}

static void job_file_open__refuses_what_it_does_not_know_and_leaves_it(void **state)
{
    (void)state;
    static Bytes good, bad;
    JobFile *file = fresh("f.pmason");
    add(file, "{\"edit\":\"border\",\"mm\":6}");
    job_file_close(file);
    read_bytes(temp_path("f.pmason"), &good);
    assert_true(job_file_looks_like_one(good.bytes, good.size));

    bad = (Bytes){.size = 0};
    refused("empty", &bad, "no job file");
    bad = (Bytes){.bytes = "a letter to a friend", .size = 20};
    refused("letter", &bad, "no job file");
    bad = good, bad.bytes[68] ^= 1; // application id
    refused("foreign", &bad, "no job file");
    bad = good, bad.bytes[63] = 99; // user version
    refused("newer", &bad, "newer");
    bad = good, bad.size = good.size / 2;
    refused("short", &bad, "damaged");
    bad = good, memset(bad.bytes + 4096, 0xa5, 2000); // the second page
    refused("damaged", &bad, "damaged");
}

static void job_file_read__refuses_lines_that_are_none(void **state)
{
    (void)state;
    static Bytes bytes;
    JobFile *file = fresh("g.pmason");
    add(file, "{\"edit\":\"borders\",\"mm\":6}"); // as another program would write it
    job_file_close(file);
    read_bytes(temp_path("g.pmason"), &bytes);
    refused("line", &bytes, "line 1 of the job file");
}

static void job_file_add_line__of_a_read_only_file_is_said(void **state)
{
    (void)state;
    if (geteuid() == 0) skip(); // root writes everything
    int64_t id;
    Error err = {0};
    job_file_close(fresh("h.pmason"));
    JobFile *file;
    assert_int_equal(chmod(temp_path("h.pmason"), 0400), 0);
    assert_true(job_file_open(temp_path("h.pmason"), &file, &err));
    assert_false(job_file_add_line(file, "{\"edit\":\"border\",\"mm\":6}", &id, &err));
    assert_int_equal(err.kind, ERROR_SYSTEM);
    job_file_close(file);
}

// Files of each version that was ever handed out stay readable.
static void job_file_open__reads_samples_of_each_version(void **state)
{
    (void)state;
    static Bytes bytes;
    Arena keep = arena_make(0);
    Error err = {0};
    for (int version = 1; version <= JOB_FILE_VERSION; version++) {
        char sample[600];
        JobFile *file;
        snprintf(sample, sizeof sample, "%s/tests/data/jobs/version-%d.pmason", PM_SOURCE_ROOT, version);
        read_bytes(sample, &bytes);
        write_bytes(temp_path("sample.pmason"), &bytes);
        if (!job_file_open(temp_path("sample.pmason"), &file, &err)) fail_msg("%s: %s", sample, err.text);
        JobFileContent content = content_of(file, &keep);
        assert_string_equal(content.name, "kite");
        assert_true(content.picture.size_bytes > 100);
        assert_true(content.docket.count >= 5 && content.tick_count >= 1);
        Settings settings;
        EditList edits;
        int64_t wrong;
        assert_true(docket_replay(&content.docket, &keep, &settings, &edits, &wrong, &err));
        assert_true(settings.height_mm > 800.0 && settings.has_cutter && edits.count == 2);
        job_file_close(file);
    }
    arena_free(&keep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(job_file__comes_back_as_it_was_saved), cmocka_unit_test(job_file_strike__of_a_line_that_is_not_there_is_said),
        cmocka_unit_test(job_file_create__never_replaces_a_file), cmocka_unit_test(job_file_save_copy__makes_a_second_whole_one),
        cmocka_unit_test(job_file_open__refuses_what_it_does_not_know_and_leaves_it), cmocka_unit_test(job_file_read__refuses_lines_that_are_none),
        cmocka_unit_test(job_file_add_line__of_a_read_only_file_is_said), cmocka_unit_test(job_file_open__reads_samples_of_each_version),
    };
    return cmocka_run_group_tests(tests, temp_folder_open, temp_folder_close);
}
