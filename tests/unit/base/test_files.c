// test_files.c - sorted by byte order, found by whole name.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/files.h"

static void files_sort__orders_by_bytes(void **state)
{
    (void)state;
    FileBytes items[] = {{"sheets/b.svg", "2", 1},
                         {"kit.json", "{}", 2},
                         {"Z", "", 0},
                         {"sheets/a.svg", "1", 1},
                         {"sheets-old/a.svg", "", 0}};
    FileSet files = {items, 5};
    files_sort(&files);
    const char *const expected[] = {"Z", "kit.json", "sheets-old/a.svg", "sheets/a.svg", "sheets/b.svg"};
    for (int i = 0; i < 5; i++) assert_string_equal(files.items[i].name, expected[i]);
    assert_string_equal(files.items[3].bytes, "1");
}

static void file_find__wants_the_whole_name(void **state)
{
    (void)state;
    FileBytes items[] = {{"kit.json", "{}", 2}, {"sheets/a.svg", "<svg/>", 6}};
    FileSet files = {items, 2};
    assert_ptr_equal(file_find(&files, "sheets/a.svg"), &items[1]);
    assert_null(file_find(&files, "sheets/a"));
    assert_null(file_find(&files, "a.svg"));
    assert_null(file_find(&files, "KIT.JSON"));
}

static void files__an_empty_set_holds_nothing(void **state)
{
    (void)state;
    FileSet files = {0};
    files_sort(&files);
    assert_null(file_find(&files, ""));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(files_sort__orders_by_bytes),
        cmocka_unit_test(file_find__wants_the_whole_name),
        cmocka_unit_test(files__an_empty_set_holds_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
