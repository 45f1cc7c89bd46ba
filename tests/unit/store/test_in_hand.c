// test_in_hand.c - the shelf's papers become papers in hand, each with a name of its own.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "store/in_hand.h"

#include <string.h>

#define PAPER(words_, name_, count_, ...) (ShelfItem){.kind = SHELF_PAPER, .words = words_, .name = name_, .has_colour = true, .colour = {__VA_ARGS__}, .count = count_}

static int take(ShelfItem *items, int item_count, NamedColour *out)
{
    Error err = {0};
    int count;
    ShelfList list = {items, item_count};
    if (!shelf_in_hand(&list, out, &count, &err)) fail_msg("%s", err.text);
    assert_true(edit_check_papers(out, count, &err));
    for (int i = 0; i < count; i++) assert_true(edit_check_name(out[i].name, &err));
    return count;
}

static void refuse(ShelfItem *items, int item_count, const char *part)
{
    NamedColour out[EDIT_MOST_PAPERS];
    Error err = {0};
    int count;
    ShelfList list = {items, item_count};
    assert_false(shelf_in_hand(&list, out, &count, &err));
    assert_int_equal(err.kind, ERROR_JOB);
    if (!strstr(err.text, part)) fail_msg("'%s' is not in '%s'", part, err.text);
}

static void in_hand__a_colour_counts_once_whatever_its_sizes(void **state)
{
    (void)state;
    NamedColour out[EDIT_MOST_PAPERS];
    ShelfItem items[] = {PAPER("letter", "navy", 12, 29, 47, 90), PAPER("12x12", "deep", -1, 29, 47, 90), PAPER("a4", "cream", -1, 244, 234, 210)};
    assert_int_equal(take(items, 3, out), 2);
    assert_string_equal(out[0].name, "navy");
    assert_string_equal(out[1].name, "cream");
    assert_int_equal(out[1].colour.b, 210);
}

static void in_hand__what_is_used_up_or_has_no_colour_is_not_there(void **state)
{
    (void)state;
    NamedColour out[EDIT_MOST_PAPERS];
    ShelfItem items[] = {PAPER("letter", "navy", 0, 29, 47, 90), {.kind = SHELF_PAPER, .words = "a4", .name = "odd", .count = 3},
                         {.kind = SHELF_CUTTER, .words = "12x24", .name = "the big one"},
                         {.kind = SHELF_OFFCUT, .words = "6x9", .name = "sky", .has_colour = true, .colour = {74, 134, 197}, .count = 1}};
    assert_int_equal(take(items, 4, out), 1);
    assert_string_equal(out[0].name, "sky");
}

static void in_hand__each_has_a_name_of_its_own(void **state)
{
    (void)state;
    NamedColour out[EDIT_MOST_PAPERS];
    ShelfItem items[] = {PAPER("letter", "navy", 1, 29, 47, 90), PAPER("letter", "navy", 1, 30, 47, 90), PAPER("letter", "", 1, 200, 30, 40),
                         PAPER("letter", "  ", 1, 200, 30, 41), PAPER("letter", "a very long name that no colour may have here", 1, 1, 2, 3),
                         PAPER("letter", "a very long name that no colour may have there", 1, 1, 2, 4)};
    assert_int_equal(take(items, 6, out), 6);
    assert_string_equal(out[1].name, "navy b");
    assert_string_equal(out[2].name, colour_name(out[2].colour));
    assert_true(strlen(out[3].name) > 2 && strcmp(out[3].name + strlen(out[3].name) - 2, " b") == 0);
    assert_string_equal(out[4].name, "a very long name that no colour");
    assert_string_equal(out[5].name, "a very long name that no colo b");
}

static void in_hand__long_names_end_with_a_whole_letter(void **state)
{
    (void)state;
    NamedColour out[EDIT_MOST_PAPERS];
    ShelfItem items[] = {PAPER("letter", "ночная тёмная вишня", 1, 90, 10, 30)}; // 36 bytes of two-byte letters and blanks
    (void)take(items, 1, out);
    assert_true(strlen(out[0].name) <= EDIT_LONGEST_NAME && strlen(out[0].name) >= EDIT_LONGEST_NAME - 2);
}

static void in_hand__says_what_is_lacking(void **state)
{
    (void)state;
    ShelfItem many[EDIT_MOST_PAPERS + 1], plain = {.kind = SHELF_PAPER, .words = "letter", .name = "navy", .count = 2};
    ShelfItem cutter = {.kind = SHELF_CUTTER, .words = "12x24", .name = ""}, gone = PAPER("letter", "navy", 0, 29, 47, 90);
    for (int i = 0; i <= EDIT_MOST_PAPERS; i++) many[i] = PAPER("letter", "", 1, (uint8_t)i, 9, 9);
    refuse(NULL, 0, "no paper");
    refuse(&cutter, 1, "no paper");
    refuse(&plain, 1, "has a colour");
    refuse(&gone, 1, "no sheet is left");
    refuse(many, EDIT_MOST_PAPERS + 1, "more than 64");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(in_hand__a_colour_counts_once_whatever_its_sizes),
        cmocka_unit_test(in_hand__what_is_used_up_or_has_no_colour_is_not_there),
        cmocka_unit_test(in_hand__each_has_a_name_of_its_own),
        cmocka_unit_test(in_hand__long_names_end_with_a_whole_letter),
        cmocka_unit_test(in_hand__says_what_is_lacking),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
