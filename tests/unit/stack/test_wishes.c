// test_wishes.c - the maker's words on what lies over what, on square cells.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "stack/stack.h"
#include "support/grid_map.h"
#include "support/paper_case.h"

#include <string.h>

// Base 1; 2, 3 and 4 in a row, each touching the next; by area 2 lies lowest and 4 on top.
static const char *const row[] = {"11111111111", "12222233341", "12222233341", "11111111111"};

static Stack stack_with(PaperCase *test, const char *const *lines, int line_count, const OrderWish *wishes, int count)
{
    Outlines outlines = grid_map(lines, line_count, 20.0, 0.0, &test->keep);
    StackOptions options = stack_defaults();
    options.orders = wishes;
    options.order_count = count;
    Stack stack;
    must(test, stack_make(&outlines, &options, &test->keep, &test->work, &stack, &test->err));
    return stack;
}

static int height_of(const Stack *stack, int colour)
{
    for (int i = 0; i < stack->layer_count; i++)
        if (stack->layers[i].colour == colour) return i;
    return -1;
}

static void must_say(const Stack *stack, size_t index, const char *kind, const char *part)
{
    assert_true(index < stack->findings.count);
    assert_string_equal(stack->findings.items[index].kind, kind);
    if (!strstr(stack->findings.items[index].text, part)) fail_msg("%s", stack->findings.items[index].text);
}

static void wishes__none_leaves_the_order(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    Stack stack = stack_with(&test, row, 4, NULL, 0);
    for (int i = 0; i < 4; i++) assert_int_equal(stack.layers[i].colour, i);
    assert_int_equal(stack.findings.count, 0);
    paper_case_close(&test);
}

static void wishes__one_that_holds_already_changes_nothing(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    const OrderWish wish = {.over = 3, .under = 1};
    Stack stack = stack_with(&test, row, 4, &wish, 1);
    for (int i = 0; i < 4; i++) assert_int_equal(stack.layers[i].colour, i);
    assert_int_equal(stack.findings.count, 0);
    paper_case_close(&test);
}

// 3 under 2, though 2 is larger; 3 and 4 meet, so 4 stays over 3.
static void wishes__two_neighbours_change_places(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    const OrderWish wish = {.over = 1, .under = 2};
    Stack stack = stack_with(&test, row, 4, &wish, 1);
    assert_true(height_of(&stack, 1) > height_of(&stack, 2));
    assert_true(height_of(&stack, 3) > height_of(&stack, 2));
    assert_int_equal(stack.findings.count, 0);
    paper_case_close(&test);
}

static void wishes__the_later_one_wins_and_the_other_is_told(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    const OrderWish wishes[] = {{.over = 1, .under = 2}, {.over = 2, .under = 1}};
    Stack stack = stack_with(&test, row, 4, wishes, 2);
    assert_true(height_of(&stack, 2) > height_of(&stack, 1));
    assert_int_equal(stack.findings.count, 1);
    must_say(&stack, 0, "edit-not-kept", "a later wish puts");
    assert_true(stack.findings.items[0].x_mm == 120.0); // where the two meet
    paper_case_close(&test);
}

static void wishes__a_circle_loses_its_earliest_wish(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    const OrderWish wishes[] = {{.over = 1, .under = 2}, {.over = 2, .under = 3}, {.over = 3, .under = 1}};
    Stack stack = stack_with(&test, row, 4, wishes, 3);
    assert_true(height_of(&stack, 2) > height_of(&stack, 3));
    assert_true(height_of(&stack, 3) > height_of(&stack, 1));
    assert_int_equal(stack.findings.count, 1);
    must_say(&stack, 0, "edit-not-kept", "later wishes together");
    paper_case_close(&test);
}

static void wishes__the_base_stays_lowest(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    const OrderWish wishes[] = {{.over = 0, .under = 2}, {.over = 2, .under = 0}};
    Stack stack = stack_with(&test, row, 4, wishes, 2);
    for (int i = 0; i < 4; i++) assert_int_equal(stack.layers[i].colour, i);
    assert_int_equal(stack.findings.count, 1);
    must_say(&stack, 0, "edit-not-kept", "is the base");
    paper_case_close(&test);
}

static void wishes__colours_without_paper_are_told(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    const OrderWish wishes[] = {{.over = 1, .under = 9}, {.over = -1, .under = 1}, {.over = 2, .under = 2}};
    Stack stack = stack_with(&test, row, 4, wishes, 3);
    assert_int_equal(stack.findings.count, 3);
    must_say(&stack, 0, "edit-without-target", "no paper");
    must_say(&stack, 1, "edit-without-target", "no paper");
    must_say(&stack, 2, "edit-not-kept", "itself");
    paper_case_close(&test);
}

// 2 over 4 leaves one of the two edges with 3 as it was: the longer one, between 2 and 3.
static void wishes__longer_common_edges_keep_their_order(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    const char *const lines[] = {"11111111111", "12222233341", "12222233341", "12222233311", "11111111111"};
    const OrderWish wish = {.over = 1, .under = 3};
    Stack stack = stack_with(&test, lines, 5, &wish, 1);
    assert_int_equal(height_of(&stack, 3), 1);
    assert_int_equal(height_of(&stack, 1), 2);
    assert_int_equal(height_of(&stack, 2), 3);
    assert_int_equal(stack.findings.count, 0);
    paper_case_close(&test);
}

static void wishes__another_base_shows_through(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    Outlines outlines = grid_map(row, 4, 20.0, 0.0, &test.keep);
    StackOptions options = stack_defaults();
    options.base_colour = 2;
    Stack stack;
    must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
    assert_int_equal(stack.layers[0].colour, 2);
    assert_false(stack.base_is_line_colour);
    assert_int_equal(stack.layer_count, 4);
    assert_int_equal(height_of(&stack, 0), 1); // the line colour has a layer now
    const Point middle_of_3 = point_from_mm(150.0, 40.0);
    for (int i = 1; i < 4; i++) assert_false(rings_contain(&stack.layers[i].rings, middle_of_3));
    assert_true(rings_contain(&stack.layers[0].rings, middle_of_3));
    paper_case_close(&test);
}

// 2 reaches 6 mm below 3 beside it, and not at all when the two lie edge to edge; below 4, on top of both, 3 reaches as ever.
static void inlay__only_this_pair_lies_edge_to_edge(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    Outlines outlines = grid_map(row, 4, 20.0, 0.0, &test.keep);
    const ColourPair pair = {2, 1};
    StackOptions options = stack_defaults();
    Stack usual, inlaid;
    must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &usual, &test.err));
    options.inlays = &pair;
    options.inlay_count = 1;
    must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &inlaid, &test.err));
    assert_true(rings_box(&usual.layers[1].rings).max.x > 125000);
    assert_int_equal(rings_box(&inlaid.layers[1].rings).max.x, 120000);
    assert_int_equal(rings_box(&usual.layers[2].rings).max.x, rings_box(&inlaid.layers[2].rings).max.x);
    assert_int_equal(inlaid.findings.count, 0);
    paper_case_close(&test);
}

static void inlay__what_cannot_be_is_told(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    Outlines outlines = grid_map(row, 4, 20.0, 0.0, &test.keep);
    const ColourPair pairs[] = {{0, 2}, {1, 3}, {1, 1}, {1, 77}};
    StackOptions options = stack_defaults();
    options.inlays = pairs;
    options.inlay_count = 4;
    Stack stack;
    must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
    must_say(&stack, 0, "edit-not-kept", "edge to edge: one of them is the base");
    must_say(&stack, 1, "edit-without-target", "the two meet nowhere");
    must_say(&stack, 2, "edit-without-target", "no edge with itself");
    must_say(&stack, 3, "edit-without-target", "has no paper");
    assert_int_equal(stack.findings.count, 4);
    paper_case_close(&test);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(wishes__none_leaves_the_order),
        cmocka_unit_test(wishes__one_that_holds_already_changes_nothing),
        cmocka_unit_test(wishes__two_neighbours_change_places),
        cmocka_unit_test(wishes__the_later_one_wins_and_the_other_is_told),
        cmocka_unit_test(wishes__a_circle_loses_its_earliest_wish),
        cmocka_unit_test(wishes__the_base_stays_lowest),
        cmocka_unit_test(wishes__colours_without_paper_are_told),
        cmocka_unit_test(wishes__longer_common_edges_keep_their_order),
        cmocka_unit_test(wishes__another_base_shows_through),
        cmocka_unit_test(inlay__only_this_pair_lies_edge_to_edge),
        cmocka_unit_test(inlay__what_cannot_be_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
