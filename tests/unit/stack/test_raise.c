// Layers on foam squares: which are raised, and how far others reach under them.
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

// Base 1 all round; 2 is large, 3 beside it, 4 beside 3 alone, 5 by itself.
static const char *const MAP[] = {"1111111111", "1222334111", "1222334111", "1222334111", "1111111111", "1551111111", "1111111111"};

static Stack raise_of(PaperCase *test, const StackRaised *raised, int count, double underlap_mm, StackWay way)
{
    Stack stack;
    StackOptions options = stack_defaults();
    options.raised = raised;
    options.raised_count = count;
    options.underlap_mm = underlap_mm;
    options.way = way;
    Outlines outlines = grid_map(MAP, 7, 30.0, 0.0, &test->keep);
    must(test, stack_make(&outlines, &options, &test->keep, &test->work, &stack, &test->err));
    return stack;
}

static int layer_of(const Stack *stack, int colour)
{
    for (int i = 1; i < stack->layer_count; i++)
        if (stack->layers[i].colour == colour) return i;
    fail();
    return -1;
}

static double hidden_reach_mm(const Stack *stack, int layer, double edge_mm)
{
    double area = rings_area_mm2(&stack->layers[layer].rings);
    return area / 90.0 - edge_mm; // of a colour 90 mm high whose share is so wide
}

static void raised__underlap_below_it_is_twice_the_foam_and_3_mm(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    Stack plain = raise_of(&test, NULL, 0, 6.0, STACK_UNDERLAP);
    int two = layer_of(&plain, 1), three = layer_of(&plain, 2);
    assert_true(two < three);
    assert_true(fabs(hidden_reach_mm(&plain, two, 90.0) - 6.0) < 0.6);
    const StackRaised raised = {2, -1};
    Stack stack = raise_of(&test, &raised, 1, 6.0, STACK_UNDERLAP);
    assert_true(stack.layers[three].raised && stack.layers[three].asked_raised);
    assert_false(stack.layers[two].raised);
    assert_true(fabs(hidden_reach_mm(&stack, two, 90.0) - STACK_FOAM_REACH_MM) < 0.7);
    Stack deep = raise_of(&test, &raised, 1, 12.0, STACK_UNDERLAP); // farther than that already
    assert_true(fabs(hidden_reach_mm(&deep, two, 90.0) - 12.0) < 0.7);
    paper_case_close(&test);
}

static void raised__what_lies_on_it_is_raised_with_it(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    Stack plain = raise_of(&test, NULL, 0, 6.0, STACK_UNDERLAP);
    const StackRaised letter = {-1, layer_of(&plain, 1)};
    Stack stack = raise_of(&test, &letter, 1, 6.0, STACK_UNDERLAP);
    for (int colour = 1; colour <= 3; colour++) assert_true(stack.layers[layer_of(&stack, colour)].raised); // 3 on 2, 4 on 3
    assert_false(stack.layers[layer_of(&stack, 2)].asked_raised);
    assert_false(stack.layers[layer_of(&stack, 4)].raised);
    assert_false(stack.layers[0].raised);
    Stack inlay = raise_of(&test, &letter, 1, 6.0, STACK_INLAY); // edge to edge: nothing lies on another
    assert_true(inlay.layers[layer_of(&inlay, 1)].raised);
    assert_false(inlay.layers[layer_of(&inlay, 2)].raised);
    paper_case_close(&test);
}

static void raised__base_and_missing_layers_are_refused(void **state)
{
    (void)state;
    static const StackRaised WRONG[] = {{-1, 0}, {-1, 9}};
    for (int i = 0; i < 2; i++) {
        PaperCase test = paper_case_open();
        StackOptions options = stack_defaults();
        Stack stack;
        options.raised = &WRONG[i];
        options.raised_count = 1;
        Outlines outlines = grid_map(MAP, 7, 30.0, 0.0, &test.keep);
        assert_false(stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
        assert_int_equal(test.err.kind, ERROR_JOB);
        paper_case_close(&test);
    }
    PaperCase test = paper_case_open();
    const StackRaised base = {0, -1};
    Stack stack = raise_of(&test, &base, 1, 6.0, STACK_UNDERLAP);
    bool told = false;
    for (size_t i = 0; i < stack.findings.count; i++) told = told || strcmp(stack.findings.items[i].kind, "edit-not-kept") == 0;
    assert_true(told);
    paper_case_close(&test);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(raised__underlap_below_it_is_twice_the_foam_and_3_mm),
        cmocka_unit_test(raised__what_lies_on_it_is_raised_with_it),
        cmocka_unit_test(raised__base_and_missing_layers_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
