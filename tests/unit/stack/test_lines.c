// test_lines.c - the line colour at the base, on top, or both, on maps of square cells: 1 draws lines round 2 and 3.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "stack/stack.h"
#include "support/grid_map.h"
#include "support/paper_case.h"

#include <math.h>
#include <string.h>

// Two panels of colour 2 and one of colour 3, larger together than 3, in lines one cell wide.
static const char *const PANELS[] = {"1111111111111", "1222122213331", "1222122213331", "1222122213331", "1111111111111"};

static Stack panels(PaperCase *test, double cell_mm, const StackOptions *options)
{
    Stack stack;
    Outlines outlines = grid_map(PANELS, 5, cell_mm, 0.0, &test->keep);
    must(test, stack_make(&outlines, options, &test->keep, &test->work, &stack, &test->err));
    return stack;
}

static void lines__are_the_base_without_a_word(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    Stack stack = panels(&test, 10.0, &options);
    assert_int_equal(stack.lines, LINES_BASE);
    assert_int_equal(stack.line_colour, 0);
    assert_int_equal(stack.layers[0].colour, 0);
    assert_int_equal(stack.layer_count, 3);
    paper_case_close(&test);
}

// The largest other colour is the base, whole; the lines are what the picture shows of them and no more.
static void lines__on_top_are_lines_alone(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    options.lines = LINES_TOP;
    Stack stack = panels(&test, 10.0, &options);
    assert_int_equal(stack.lines, LINES_TOP);
    assert_int_equal(stack.layer_count, 3);
    assert_int_equal(stack.layers[0].colour, 1);
    assert_int_equal(stack.layers[1].colour, 2);
    assert_int_equal(stack.layers[2].colour, 0);
    assert_false(stack.base_is_line_colour);
    assert_true(fabs(rings_area_mm2(&stack.layers[0].rings) - 65.0 * 100.0) < 1e-6);
    assert_true(fabs(rings_area_mm2(&stack.layers[2].rings) - 38.0 * 100.0) < 1e-6);
    assert_int_equal(stack.layers[2].cover.count, 0);
    assert_int_equal(stack.findings.count, 0);
    paper_case_close(&test);
}

static void lines__may_lie_at_the_base_and_on_top(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    options.lines = LINES_BOTH;
    Stack stack = panels(&test, 10.0, &options);
    assert_int_equal(stack.layer_count, 4);
    assert_int_equal(stack.layers[0].colour, 0);
    assert_int_equal(stack.layers[3].colour, 0);
    assert_true(fabs(rings_area_mm2(&stack.layers[0].cover) - 65.0 * 100.0) < 1e-6); // nothing of the base is seen
    assert_true(fabs(rings_area_mm2(&stack.layers[3].rings) - 38.0 * 100.0) < 1e-6);
    paper_case_close(&test);
}

// A lip of 3 mm under the lines round each panel of three by three cells, and less where the line between two of them is
// narrower than two lips: they never meet.
static void lines__part_the_panels_below_them(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    options.lines = LINES_BOTH;
    for (double cell_mm = 4.0; cell_mm < 14.0; cell_mm += 0.5) {
        Stack stack = panels(&test, cell_mm, &options);
        const Layer *layer = &stack.layers[1];
        assert_int_equal(layer->colour, 1);
        assert_int_equal(outer_count(&layer->rings), 2);
        double round_mm = 2 * 12.0 * cell_mm, grown = rings_area_mm2(&layer->rings) - 18.0 * cell_mm * cell_mm;
        double least_mm = cell_mm < 8.0 ? 1.4 : 2.8;
        assert_true(grown > least_mm * round_mm && grown < 3.1 * round_mm + 2 * 4 * 9.0);
    }
    paper_case_close(&test);
}

// Where no line parts two colours, the lower one reaches as far below the other as ever: 2 lies below 3 beside it.
static void lines__leave_the_underlap_of_neighbours(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    const char *map[] = {"1111111111", "1222223331", "1222223331", "1222223331", "1111111111"};
    Outlines outlines = grid_map(map, 5, 20.0, 0.0, &test.keep);
    StackOptions options = stack_defaults();
    options.lines = LINES_BOTH;
    Stack stack;
    must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
    Box box = rings_box(&stack.layers[1].rings);
    assert_int_equal(stack.layers[1].colour, 1);
    assert_true(fabs(box.max.x / 1000.0 - 126.0) < 0.6 && fabs(box.min.x / 1000.0 - 17.0) < 0.3);
    paper_case_close(&test);
}

static void lines__without_a_line_colour_are_told(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    const char *lines[] = {"1122", "1122"};
    Outlines outlines = grid_map(lines, 2, 20.0, 0.0, &test.keep);
    StackOptions options = stack_defaults();
    options.lines = LINES_TOP;
    Stack stack;
    must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
    assert_int_equal(stack.lines, LINES_BASE);
    assert_int_equal(stack.line_colour, -1);
    assert_int_equal(stack.findings.count, 1);
    assert_string_equal(stack.findings.items[0].kind, "edit-not-kept");
    assert_string_equal(stack.findings.items[0].text, "the lines on top: no colour goes round the whole figure as lines do");
    const char *alone[] = {"1.1", "111"};
    outlines = grid_map(alone, 2, 20.0, 0.0, &test.keep);
    must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
    assert_int_equal(stack.layer_count, 1);
    assert_string_equal(stack.findings.items[0].text, "the lines on top: there is no other colour to lie below them");
    paper_case_close(&test);
}

static void lines__with_a_wanted_base(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    options.lines = LINES_TOP;
    options.base_colour = 2;
    Stack stack = panels(&test, 10.0, &options);
    assert_int_equal(stack.layers[0].colour, 2);
    assert_int_equal(stack.layers[2].colour, 0);
    assert_int_equal(stack.findings.count, 0);
    options.base_colour = 0; // lines below and lines above
    stack = panels(&test, 10.0, &options);
    assert_int_equal(stack.lines, LINES_BOTH);
    assert_int_equal(stack.layer_count, 4);
    options.base_colour = 1;
    options.lines = LINES_BOTH; // another base: they cannot be both
    stack = panels(&test, 10.0, &options);
    assert_int_equal(stack.lines, LINES_TOP);
    assert_int_equal(stack.findings.count, 1);
    assert_string_equal(stack.findings.items[0].kind, "edit-not-kept");
    paper_case_close(&test);
}

// What the maker wants over the lines lies over them.
static void lines__give_way_to_an_order(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    OrderWish wish = {.over = 2, .under = 0};
    options.lines = LINES_TOP;
    options.orders = &wish;
    options.order_count = 1;
    Stack stack = panels(&test, 10.0, &options);
    assert_int_equal(stack.layers[1].colour, 0);
    assert_int_equal(stack.layers[2].colour, 2);
    paper_case_close(&test);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines__are_the_base_without_a_word),
        cmocka_unit_test(lines__on_top_are_lines_alone),
        cmocka_unit_test(lines__may_lie_at_the_base_and_on_top),
        cmocka_unit_test(lines__part_the_panels_below_them),
        cmocka_unit_test(lines__leave_the_underlap_of_neighbours),
        cmocka_unit_test(lines__without_a_line_colour_are_told),
        cmocka_unit_test(lines__with_a_wanted_base),
        cmocka_unit_test(lines__give_way_to_an_order),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
