// test_shelf_match.c - which paper of the shelf a job's is: by size and colour, each sheet once; what the shelf has not.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "store/shelf_match.h"

#include <math.h>
#include <string.h>

#define IN 25.4

static const Srgb8 NAVY = {0x1d, 0x2f, 0x5a}, NEAR_NAVY = {0x22, 0x34, 0x60}, RED = {0xc0, 0x20, 0x20};

static ShelfItem ITEMS[] = {
    {.kind = SHELF_CUTTER, .words = "12x12,score", .name = "", .count = -1},
    {.kind = SHELF_PAPER, .words = "letter,250gsm", .name = "any", .count = 3},
    {.kind = SHELF_PAPER, .words = "11x8.5", .name = "about navy", .has_colour = true, .colour = {0x22, 0x34, 0x60}, .count = 2},
    {.kind = SHELF_PAPER, .words = "letter", .name = "navy", .has_colour = true, .colour = {0x1d, 0x2f, 0x5a}, .count = 4},
    {.kind = SHELF_PAPER, .words = "12x12", .name = "red", .has_colour = true, .colour = {0xc0, 0x20, 0x20}, .count = -1},
};
static const ShelfList LIST = {ITEMS, 5};

static Arena keep;

static int make_arena(void **state)
{
    (void)state;
    keep = arena_make(0);
    return 0;
}

static int free_arena(void **state)
{
    (void)state;
    arena_free(&keep);
    return 0;
}

static ShelfPiles piles_of(const ShelfList *list)
{
    ShelfPiles piles;
    Error err = {0};
    if (!shelf_piles(list, &keep, &piles, &err)) fail_msg("%s", err.text);
    return piles;
}

static ShelfWanted letter(Srgb8 colour)
{
    return (ShelfWanted){8.5 * IN, 11.0 * IN, colour};
}

static void find__nearest_colour_first_in_any_turn(void **state)
{
    (void)state;
    ShelfPiles piles = piles_of(&LIST);
    ShelfWanted navy = letter(NAVY), near = letter(NEAR_NAVY), red = letter(RED);
    assert_string_equal(shelf_find(&piles, &navy)->item->name, "navy");
    assert_string_equal(shelf_find(&piles, &near)->item->name, "about navy");
    assert_string_equal(shelf_find(&piles, &red)->item->name, "any");
    ShelfWanted a4 = {210.0, 297.0, NAVY};
    assert_null(shelf_find(&piles, &a4));
}

static void find__other_weight_is_the_same_paper_but_216_mm_are_not_8_5_in(void **state)
{
    (void)state;
    ShelfPiles piles = piles_of(&LIST);
    ShelfWanted wide = {216.0, 11.0 * IN, NAVY};
    ShelfWanted red = {12.0 * IN, 304.8, RED};
    assert_null(shelf_find(&piles, &wide));
    assert_string_equal(shelf_find(&piles, &red)->item->words, "12x12");
}

static void take__each_sheet_once_then_the_next_pile(void **state)
{
    (void)state;
    ShelfPiles piles = piles_of(&LIST);
    ShelfWanted navy = letter(NAVY), red = letter(RED);
    assert_float_equal(shelf_left(&piles, &navy), 9.0, 0.0);
    assert_int_equal(shelf_take(&piles, &navy, 5), 0);
    assert_string_equal(shelf_find(&piles, &navy)->item->name, "about navy");
    assert_int_equal(shelf_take(&piles, &red, 2), 0);
    assert_int_equal(shelf_take(&piles, &navy, 4), 2); // one of the near ones, one of no colour
    assert_float_equal(shelf_left(&piles, &navy), 0.0, 0.0);
}

static void take__what_nobody_counted_never_runs_out(void **state)
{
    (void)state;
    ShelfPiles piles = piles_of(&LIST);
    ShelfWanted red = {12.0 * IN, 12.0 * IN, RED};
    assert_int_equal(shelf_take(&piles, &red, 100000), 0);
    assert_true(shelf_left(&piles, &red) == INFINITY);
}

static const char *paper_lacks(const ShelfList *list, const char *words)
{
    Text text = text_make(&keep);
    ShelfPiles piles = piles_of(list);
    Error err = {0};
    if (!shelf_say_no_paper(&piles, words, &text, &err)) fail_msg("%s", err.text);
    return text.bytes ? text.bytes : "";
}

static const char *cutter_lacks(const ShelfList *list, const char *words)
{
    Text text = text_make(&keep);
    Error err = {0};
    if (!shelf_say_no_cutter(list, words, &text, &err)) fail_msg("%s", err.text);
    return text.bytes ? text.bytes : "";
}

static void say__names_what_is_there_instead(void **state)
{
    (void)state;
    const ShelfList none = {0}, cutter = {ITEMS, 1};
    assert_string_equal(paper_lacks(&LIST, "a4,250gsm"), "no a4 lies on the shelf; there is letter and 12x12in");
    assert_string_equal(paper_lacks(&LIST, "letter,grained"), "");
    assert_string_equal(paper_lacks(&none, "a4"), "");
    assert_string_equal(paper_lacks(&cutter, "a4"), "");
    assert_string_equal(cutter_lacks(&LIST, "12x24"), "no such cutter stands on the shelf; there is 12x12,score");
    assert_string_equal(cutter_lacks(&LIST, "12x12,pen"), "no such cutter stands on the shelf; there is 12x12,score");
    assert_string_equal(cutter_lacks(&LIST, "12x12"), "");
    assert_string_equal(cutter_lacks(&none, "12x24"), "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(find__nearest_colour_first_in_any_turn, make_arena, free_arena),
        cmocka_unit_test_setup_teardown(find__other_weight_is_the_same_paper_but_216_mm_are_not_8_5_in, make_arena, free_arena),
        cmocka_unit_test_setup_teardown(take__each_sheet_once_then_the_next_pile, make_arena, free_arena),
        cmocka_unit_test_setup_teardown(take__what_nobody_counted_never_runs_out, make_arena, free_arena),
        cmocka_unit_test_setup_teardown(say__names_what_is_there_instead, make_arena, free_arena),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
