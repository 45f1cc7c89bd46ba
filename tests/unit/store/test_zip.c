// test_zip.c - a zip is the same twice, in any time zone, and an outside program finds every file in it.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "store/zip.h"
#include "support/temp_folder.h"

#include <string.h>
#include <time.h>

static const FileBytes FILES[] = {{"guide.pdf", "%PDF and more", 13}, {"sheets/01-\xc3\xa4.svg", "<svg/>", 6}, {"sheets/empty", "", 0}};

static FileBytes zip(const char *zone, Arena *keep)
{
    FileSet files = {(FileBytes *)FILES, 3};
    FileBytes out;
    Error err = {0};
    setenv("TZ", zone, 1);
    tzset();
    if (!zip_make(&files, "kite-48in", keep, &out, &err)) fail_msg("%s", err.text);
    return out;
}

static void zip_make__gives_the_same_bytes_in_any_time_zone(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    FileBytes here = zip("UTC", &keep);
    static const char *const zones[] = {"UTC", "JST-9", "PST8", "NZST-13"};
    for (size_t i = 0; i < sizeof zones / sizeof zones[0]; i++) {
        FileBytes there = zip(zones[i], &keep);
        assert_int_equal(there.size_bytes, here.size_bytes);
        assert_memory_equal(there.bytes, here.bytes, here.size_bytes);
    }
    arena_free(&keep);
}

static void zip_make__is_read_by_an_outside_program(void **state)
{
    (void)state;
    if (system("unzip -v >/dev/null 2>&1") != 0) skip();
    Arena keep = arena_make(0);
    FileBytes bytes = zip("UTC", &keep);
    char command[2000];
    FILE *file = fopen(temp_path("kit.zip"), "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes.bytes, 1, bytes.size_bytes, file), bytes.size_bytes);
    fclose(file);
    snprintf(command, sizeof command, "cd '%s' && unzip -tq kit.zip >/dev/null && unzip -q kit.zip && test \"$(cat kite-48in/guide.pdf)\" = '%%PDF and more' "
             "&& test -f kite-48in/sheets/empty && test \"$(cat kite-48in/sheets/01-\xc3\xa4.svg)\" = '<svg/>'", temp_folder);
    setenv("LC_ALL", "C.UTF-8", 1);
    assert_int_equal(system(command), 0);
    arena_free(&keep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(zip_make__gives_the_same_bytes_in_any_time_zone), cmocka_unit_test(zip_make__is_read_by_an_outside_program),
    };
    return cmocka_run_group_tests(tests, temp_folder_open, temp_folder_close);
}
