// test_shelf.c - papers and cutters lie on the shelf as they were put there, and go to a table and back.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "store/shelf.h"
#include "support/temp_folder.h"

#include <string.h>

static Shelf *open_shelf(const char *name)
{
    Shelf *shelf;
    Error err = {0};
    if (!shelf_open(temp_path(name), &shelf, &err)) fail_msg("%s", err.text);
    return shelf;
}

static int64_t put(Shelf *shelf, ShelfItem item)
{
    int64_t id;
    Error err = {0};
    if (!shelf_add(shelf, &item, &id, &err)) fail_msg("%s", err.text);
    return id;
}

static ShelfList list_of(Shelf *shelf, Arena *keep)
{
    ShelfList list;
    Error err = {0};
    if (!shelf_read(shelf, keep, &list, &err)) fail_msg("%s", err.text);
    return list;
}

static void fill(Shelf *shelf)
{
    put(shelf, (ShelfItem){.kind = SHELF_CUTTER, .words = "12x24,score", .name = "the big one", .count = -1});
    put(shelf, (ShelfItem){.kind = SHELF_PAPER, .words = "letter,250gsm,25 for 8.99", .name = "navy, \"deep\"", .has_colour = true, .colour = {0x1d, 0x2f, 0x5a}, .count = 12});
    put(shelf, (ShelfItem){.kind = SHELF_OFFCUT, .words = "6x9in", .name = "", .count = 1});
    put(shelf, (ShelfItem){.kind = SHELF_PAPER, .words = "a4", .name = "вишня", .count = 0});
}

static void shelf__keeps_what_was_put_there(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err = {0};
    Shelf *shelf = open_shelf("deep/er/a.sqlite");
    fill(shelf);
    shelf_close(shelf);
    shelf = open_shelf("deep/er/a.sqlite");
    ShelfList list = list_of(shelf, &keep);
    assert_int_equal(list.count, 4);
    assert_string_equal(list.items[0].name, "navy, \"deep\"");
    assert_true(list.items[0].has_colour && list.items[0].colour.b == 0x5a && list.items[0].count == 12);
    assert_string_equal(list.items[1].words, "a4");
    assert_int_equal(list.items[1].count, 0);
    assert_int_equal(list.items[2].kind, SHELF_OFFCUT);
    assert_int_equal(list.items[3].kind, SHELF_CUTTER);
    assert_int_equal(list.items[3].count, -1);
    assert_true(shelf_set_count(shelf, list.items[0].id, 8, &err) && shelf_remove(shelf, list.items[2].id, &err));
    ShelfList after = list_of(shelf, &keep);
    assert_int_equal(after.count, 3);
    assert_int_equal(after.items[0].count, 8);
    assert_false(shelf_remove(shelf, list.items[2].id, &err));
    assert_int_equal(err.kind, ERROR_JOB);
    shelf_close(shelf);
    arena_free(&keep);
}

static void shelf_add__takes_only_words_that_can_be_read(void **state)
{
    (void)state;
    static const ShelfItem wrong[] = {
        {.kind = SHELF_PAPER, .words = "leter", .name = ""}, {.kind = SHELF_CUTTER, .words = "letter paper", .name = ""}, {.kind = SHELF_PAPER, .words = "letter", .name = "", .count = -2},
        {.kind = SHELF_PAPER, .words = "letter", .name = "a\nb"}, {.kind = SHELF_PAPER, .words = "letter", .name = "\xff"}, {.kind = SHELF_PAPER, .words = "", .name = ""},
    };
    Arena keep = arena_make(0);
    Shelf *shelf = open_shelf("b.sqlite");
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        int64_t id;
        Error err = {0};
        assert_false(shelf_add(shelf, &wrong[i], &id, &err));
        assert_true(strlen(err.text) > 10);
    }
    assert_int_equal(list_of(shelf, &keep).count, 0);
    shelf_close(shelf);
    arena_free(&keep);
}

static void shelf_csv__goes_out_and_comes_back_the_same(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err = {0};
    int added;
    Shelf *shelf = open_shelf("c.sqlite"), *second = open_shelf("d.sqlite");
    fill(shelf);
    Text text = text_make(&keep), again = text_make(&keep);
    ShelfList list = list_of(shelf, &keep);
    assert_true(shelf_write_csv(&list, &text, &err));
    assert_non_null(strstr(text.bytes, "kind,words,name,colour,count\r\npaper,\"letter,250gsm,25 for 8.99\",\"navy, \"\"deep\"\"\",#1d2f5a,12\r\n"));
    assert_true(shelf_read_csv(second, text.bytes, text.size_bytes, &added, &err));
    assert_int_equal(added, 4);
    ShelfList back = list_of(second, &keep);
    assert_true(shelf_write_csv(&back, &again, &err));
    assert_string_equal(again.bytes, text.bytes);
    shelf_close(shelf);
    shelf_close(second);
    arena_free(&keep);
}

static void shelf_read_csv__takes_all_or_nothing_and_names_the_line(void **state)
{
    (void)state;
    static const struct { const char *csv, *word; } CASES[] = {
        {"", "empty"}, {"kind,words\n", "first line"}, {"kind,words,name,colour,count\npaper,letter,,,3\npaper,leter,,,3\n", "line 3"},
        {"kind,words,name,colour,count\npaper,letter,,blue,3\n", "line 2"}, {"kind,words,name,colour,count\npaper,letter,,,3.5\n", "count"},
        {"kind,words,name,colour,count\npaper,letter,,\n", "fields"}, {"kind,words,name,colour,count\nbook,letter,,,\n", "book"},
        {"kind,words,name,colour,count\npaper,\"letter,,,1\n", "no end"}, {"kind,words,name,colour,count\npaper,letter,\xff,,1\n", "UTF-8"},
        {"kind,words,name,colour,count\npaper,letter,\"two\nlines\",,1\n", "control"},
    };
    Arena keep = arena_make(0);
    Shelf *shelf = open_shelf("e.sqlite");
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        int added;
        Error err = {0};
        assert_false(shelf_read_csv(shelf, CASES[i].csv, strlen(CASES[i].csv), &added, &err));
        if (!strstr(err.text, CASES[i].word)) fail_msg("'%s' lacks '%s'", err.text, CASES[i].word);
        assert_int_equal(list_of(shelf, &keep).count, 0);
    }
    const char *fine = "\xef\xbb\xbfkind,words,name,colour,count\r\n\r\npaper,letter,white,#FFFFFF,\r\n";
    int added;
    Error err = {0};
    assert_true(shelf_read_csv(shelf, fine, strlen(fine), &added, &err));
    assert_int_equal(added, 1);
    shelf_close(shelf);
    arena_free(&keep);
}

static void shelf_open__refuses_what_is_no_shelf(void **state)
{
    (void)state;
    Error err = {0};
    Shelf *shelf;
    FILE *file = fopen(temp_path("f.sqlite"), "w");
    assert_non_null(file);
    fputs("my papers: navy, white", file);
    fclose(file);
    assert_false(shelf_open(temp_path("f.sqlite"), &shelf, &err));
    assert_int_equal(err.kind, ERROR_INPUT);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shelf__keeps_what_was_put_there), cmocka_unit_test(shelf_add__takes_only_words_that_can_be_read),
        cmocka_unit_test(shelf_csv__goes_out_and_comes_back_the_same), cmocka_unit_test(shelf_read_csv__takes_all_or_nothing_and_names_the_line),
        cmocka_unit_test(shelf_open__refuses_what_is_no_shelf),
    };
    return cmocka_run_group_tests(tests, temp_folder_open, temp_folder_close);
}
