// test_arena.c - zeroed, aligned, bounded memory that is given back by marks.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/arena.h"

static void arena_take__is_zeroed_even_after_a_rewind(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    ArenaMark mark = arena_mark(&arena);
    for (int round = 0; round < 2; round++) { // the second round gets memory that was written on
        unsigned char *bytes = arena_new(&arena, unsigned char, 1000);
        assert_non_null(bytes);
        for (int i = 0; i < 1000; i++) assert_int_equal(bytes[i], 0);
        memset(bytes, 0xA5, 1000);
        arena_rewind(&arena, mark);
    }
    arena_free(&arena);
}

static void arena_take__a_rewind_to_a_mark_inside_a_block_gives_the_same_zeroed_room(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    assert_non_null(arena_new(&arena, int, 1));
    ArenaMark mark = arena_mark(&arena);
    int *first = arena_new(&arena, int, 100);
    memset(first, 0xFF, 100 * sizeof *first);
    arena_rewind(&arena, mark);
    int *second = arena_new(&arena, int, 100);
    assert_ptr_equal(first, second);
    for (int i = 0; i < 100; i++) assert_int_equal(second[i], 0);
    arena_free(&arena);
}

static void arena_take__is_aligned_for_any_type(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    for (size_t size = 0; size < 200; size++) {
        char *room = arena_new(&arena, char, size);
        assert_non_null(room);
        assert_int_equal((uintptr_t)room % _Alignof(max_align_t), 0);
    }
    arena_free(&arena);
}

static void arena_take__refuses_sizes_that_overflow(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    assert_null(arena_take(&arena, SIZE_MAX, 2));
    assert_null(arena_take(&arena, SIZE_MAX / 4, 16));
    assert_null(arena_take(&arena, SIZE_MAX, 1));
    assert_int_equal(arena.held_bytes, 0);
    arena_free(&arena);
}

static void arena_take__stays_in_its_budget_and_uses_all_of_it(void **state)
{
    (void)state;
    const size_t budget = 100000;
    Arena arena = arena_make(budget);
    assert_null(arena_new(&arena, char, budget + 1));
    assert_non_null(arena_new(&arena, char, 60000));
    assert_non_null(arena_new(&arena, char, 20000)); // a whole new block would not fit any more
    assert_true(arena.held_bytes <= budget);
    assert_null(arena_new(&arena, char, 60000));
    assert_true(arena.held_bytes <= budget);
    arena_free(&arena);
    assert_int_equal(arena.held_bytes, 0);
    assert_non_null(arena_new(&arena, char, 60000));
    arena_free(&arena);
}

static void arena_take__fails_once_at_the_chosen_hand_out(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    arena.fail_after = 2;
    assert_non_null(arena_new(&arena, int, 1));
    assert_non_null(arena_new(&arena, int, 1));
    assert_null(arena_new(&arena, int, 1));
    assert_non_null(arena_new(&arena, int, 1));
    arena_free(&arena);
}

static void arena_rewind__gives_back_whole_blocks(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    int *kept = arena_new(&arena, int, 10);
    for (int i = 0; i < 10; i++) kept[i] = i;
    size_t held = arena.held_bytes;
    ArenaMark mark = arena_mark(&arena);
    for (int i = 0; i < 50; i++) assert_non_null(arena_new(&arena, char, 100000));
    assert_true(arena.held_bytes >= 5000000);
    arena_rewind(&arena, mark);
    assert_int_equal(arena.held_bytes, held);
    for (int i = 0; i < 10; i++) assert_int_equal(kept[i], i);
    arena_free(&arena);
}

static void arena_copy__copies_and_takes_nothing_for_zero_elements(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    const int numbers[] = {3, 1, 4, 1, 5};
    int *copy = arena_copy(&arena, numbers, 5, sizeof *numbers);
    assert_memory_equal(copy, numbers, sizeof numbers);
    assert_non_null(arena_copy(&arena, NULL, 0, 8));
    assert_string_equal(arena_text(&arena, "lighthouse"), "lighthouse");
    assert_string_equal(arena_text(&arena, ""), "");
    arena_free(&arena);
}

static void arena_grow__keeps_what_is_there(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    int *items = NULL;
    size_t count = 0, capacity = 0;
    for (int i = 0; i < 1000; i++) {
        items = arena_grow(&arena, items, count, &capacity, sizeof *items);
        assert_non_null(items);
        items[count++] = i;
    }
    for (int i = 0; i < 1000; i++) assert_int_equal(items[i], i);
    assert_int_equal(capacity, 1024);
    arena_free(&arena);
}

static void arena_grow__a_failure_leaves_array_and_capacity_alone(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    size_t capacity = 0;
    int *items = arena_grow(&arena, NULL, 0, &capacity, sizeof *items);
    assert_int_equal(capacity, 16);
    for (int i = 0; i < 16; i++) items[i] = i;
    arena.fail_after = 0;
    assert_null(arena_grow(&arena, items, 16, &capacity, sizeof *items));
    assert_int_equal(capacity, 16);
    assert_int_equal(items[15], 15);
    arena_free(&arena);
}

static void arena_free__can_be_repeated_and_the_arena_used_again(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    arena_free(&arena);
    assert_non_null(arena_new(&arena, int, 4));
    arena_free(&arena);
    arena_free(&arena);
    assert_null(arena.last);
}

static void arena_adopt__what_was_handed_out_belongs_to_the_other(void **state)
{
    (void)state;
    Arena arena = arena_make(0), other = arena_make(0);
    int *before = arena_new(&arena, int, 1);
    *before = 7;
    ArenaMark mark = arena_mark(&arena);
    for (int i = 0; i < 50; i++) assert_non_null(arena_new(&other, char, 100000)); // several blocks
    int *moved = arena_new(&other, int, 1);
    *moved = 5;
    size_t held = arena.held_bytes, brought = other.held_bytes;
    arena_adopt(&arena, &other);
    assert_int_equal(arena.held_bytes, held + brought);
    assert_int_equal(other.held_bytes, 0);
    assert_int_equal(*moved, 5);
    assert_non_null(arena_new(&arena, int, 1));
    assert_non_null(arena_new(&other, int, 1)); // it can be used again
    arena_rewind(&arena, mark);                 // as if handed out after the mark
    assert_int_equal(arena.held_bytes, held);
    assert_int_equal(*before, 7);
    Arena nothing = arena_make(0);
    arena_adopt(&arena, &nothing);
    assert_int_equal(arena.held_bytes, held);
    arena_free(&arena);
    arena_free(&other);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(arena_take__is_zeroed_even_after_a_rewind),
        cmocka_unit_test(arena_take__a_rewind_to_a_mark_inside_a_block_gives_the_same_zeroed_room),
        cmocka_unit_test(arena_take__is_aligned_for_any_type),
        cmocka_unit_test(arena_take__refuses_sizes_that_overflow),
        cmocka_unit_test(arena_take__stays_in_its_budget_and_uses_all_of_it),
        cmocka_unit_test(arena_take__fails_once_at_the_chosen_hand_out),
        cmocka_unit_test(arena_rewind__gives_back_whole_blocks),
        cmocka_unit_test(arena_adopt__what_was_handed_out_belongs_to_the_other),
        cmocka_unit_test(arena_copy__copies_and_takes_nothing_for_zero_elements),
        cmocka_unit_test(arena_grow__keeps_what_is_there),
        cmocka_unit_test(arena_grow__a_failure_leaves_array_and_capacity_alone),
        cmocka_unit_test(arena_free__can_be_repeated_and_the_arena_used_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
