// test_stack.c - layers, underlap, border, on maps of square cells.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "stack/stack.h"
#include "support/grid_map.h"
#include "support/paper_case.h"

#include <math.h>

static Stack stack_of(PaperCase *test, const char *const *lines, int line_count, double cell_mm,
                      const StackOptions *options)
{
    Stack stack;
    Outlines outlines = grid_map(lines, line_count, cell_mm, options->border_mm, &test->keep);
    must(test, stack_make(&outlines, options, &test->keep, &test->work, &stack, &test->err));
    return stack;
}
#define STACK(test, cell_mm, options, ...)                                                                             \
    stack_of(test, (const char *const[]){__VA_ARGS__},                                                                 \
             (int)(sizeof((const char *const[]){__VA_ARGS__}) / sizeof(char *)), cell_mm, options)

static void stack__base_is_full_shape_with_holes_open(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    Stack stack = STACK(&test, 20.0, &options, "11111", "1.221", "11111");
    assert_int_equal(stack.layer_count, 2);
    assert_int_equal(stack.layers[0].colour, 0);
    assert_true(fabs(rings_area_mm2(&stack.layers[0].rings) - 14.0 * 400.0) < 1e-6);
    assert_int_equal(stack.layers[0].rings.count, 2);
    assert_int_equal(stack.layers[0].seen.ring_count, 0);
    assert_true(fabs(rings_area_mm2(&stack.layers[0].cover) - 2.0 * 400.0) < 1e-6);
    assert_int_equal(stack.layers[1].cover.count, 0);
    assert_true(stack.width_mm == 100.0 && stack.height_mm == 60.0);
    paper_case_close(&test);
}

static void stack__one_colour_is_one_layer(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    Stack stack = STACK(&test, 20.0, &options, "1.1", "111");
    assert_int_equal(stack.layer_count, 1);
    paper_case_close(&test);
}

static void stack__unknown_base_colour_is_refused(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    const char *lines[] = {"12"};
    Outlines outlines = grid_map(lines, 1, 20.0, 0.0, &test.keep);
    StackOptions options = stack_defaults();
    options.base_colour = 2;
    Stack stack;
    assert_false(stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
    assert_int_equal(test.err.kind, ERROR_JOB);
    assert_int_equal(stack.layer_count, 0);
    paper_case_close(&test);
}

// Base 1 all round; 2 (larger) lies below its neighbour 3 and reaches 6 mm below it along their common edge of 60 mm.
static void stack__underlap_reaches_its_distance_below_the_neighbour(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    Stack stack = STACK(&test, 20.0, &options, "111111111", "122222331", "122222331", "122222331", "111111111");
    assert_int_equal(stack.layer_count, 3);
    const Layer *lower = &stack.layers[1];
    assert_int_equal(lower->colour, 1);
    assert_true(stack.underlap_mm == 6.0);
    double grown = rings_area_mm2(&lower->rings) - 100.0 * 60.0;
    assert_true(grown > 6.0 * 58.0 && grown < 6.0 * 60.0);
    Rings seen;
    must(&test, area_rings(&stack.chains, &lower->seen, &test.keep, &seen, &test.err));
    assert_true(fabs(rings_area_mm2(&seen) - 100.0 * 60.0) < 1e-6);
    assert_true(combined_mm2(&test, &seen, &lower->rings, OVERLAY_DIFFERENCE) < 1e-6);
    assert_true(fabs(rings_area_mm2(&stack.layers[2].rings) - 40.0 * 60.0) < 1e-6); // the top one reaches nowhere
    paper_case_close(&test);
}

static void stack__hidden_marks_the_free_edge_only(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    Stack stack = STACK(&test, 20.0, &options, "111111111", "122222331", "122222331", "122222331", "111111111");
    const Layer *lower = &stack.layers[1];
    double hidden_mm = 0.0;
    for (int i = 0; i < lower->area.link_count; i++) {
        int chain = lower->area.links[i].chain;
        while (stack.chains.items[chain].origin >= 0) chain = stack.chains.items[chain].origin;
        assert_int_equal(lower->hidden[i], chain >= stack.arc_count);
        if (lower->hidden[i]) hidden_mm += link_length_mm(&stack.chains, &lower->area.links[i]);
    }
    assert_true(hidden_mm > 60.0 && hidden_mm < 75.0);
    for (int i = 0; i < stack.layers[0].area.link_count; i++) assert_false(stack.layers[0].hidden[i]);
    paper_case_close(&test);
}

static void stack__inlay_has_no_underlap(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    options.way = STACK_INLAY;
    Stack stack = STACK(&test, 20.0, &options, "111111111", "122222331", "111111111");
    assert_true(stack.underlap_mm == 0.0);
    assert_true(fabs(rings_area_mm2(&stack.layers[1].rings) - 5.0 * 400.0) < 1e-6);
    paper_case_close(&test);
}

// The bar of 3 is 2 mm wide: below it only what stays clear of its far edge can hide.
static void stack__underlap_is_clamped_below_a_thin_cover(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    Stack stack = STACK(&test, 2.0, &options, "111111111111", "122222222311", "122222222311", "122222222311",
                        "122222222311", "122222222311", "122222222311", "111111111111", "111111111111", "111111111111");
    const Layer *lower = &stack.layers[1];
    Box box = rings_box(&lower->rings);
    double reach = box.max.x / UM_PER_MM - 18.0;
    assert_true(reach > 1.0 && reach <= 1.8);
    paper_case_close(&test);
}

// Two parts of 2 on both sides of a 10 mm bar of 3 grow together below it.
static void stack__parts_join_below_a_bar(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    Stack stack = STACK(&test, 10.0, &options, "11111111111", "12222322221", "12222322221", "12222322221",
                        "12222322221", "12222322221", "12222322221", "11111111111");
    assert_int_equal(stack.layers[1].colour, 1);
    assert_int_equal(outer_count(&stack.layers[1].rings), 1);
    paper_case_close(&test);
}

// 6 mm of reach would jump the 2 mm gap of base colour into another part of 3.
static void stack__underlap_does_not_jump_a_gap(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    Stack stack =
        STACK(&test, 2.0, &options, "1111111111111111111111", "1222222222222133333331", "1222222222222133333331",
              "1222222222222133333331", "1222222222222133333331", "1222222222222133333331", "1111111111111111111111",
              "1111111111111111111111", "1111111111111111111111", "1111111111111111111111");
    assert_int_equal(stack.layers[1].colour, 1);
    assert_int_equal(stack.layers[1].rings.count, 1);
    assert_true(fabs(rings_area_mm2(&stack.layers[1].rings) - 12.0 * 5.0 * 4.0) < 1e-6);
    paper_case_close(&test);
}

static void stack__tall_pictures_reach_farther(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    Stack tall = STACK(&test, 700.0, &options, "112", "112");
    assert_true(tall.underlap_mm == 10.0);
    Stack small = STACK(&test, 600.0, &options, "112", "112");
    assert_true(small.underlap_mm == 6.0);
    paper_case_close(&test);
}

static void stack__border_gives_the_exact_size(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    options.border_mm = 6.0;
    Stack stack = STACK(&test, 20.0, &options, ".11..", "1.221", "11111");
    assert_true(stack.width_mm == 112.0 && stack.height_mm == 72.0);
    Box box = rings_box(&stack.layers[0].rings);
    assert_int_equal(box.min.x, 0);
    assert_int_equal(box.min.y, 0);
    assert_int_equal(box.max.x, 112000);
    assert_int_equal(box.max.y, 72000);
    paper_case_close(&test);
}

static void stack__border_grows_outer_edges_and_leaves_holes(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    options.border_mm = 6.0;
    Stack stack = STACK(&test, 20.0, &options, "11111", "1.221", "11111");
    const Rings *rings = &stack.layers[0].rings;
    assert_int_equal(rings->count, 2);
    double holes = 0.0, outer = 0.0;
    for (int i = 0; i < rings->count; i++) {
        double area = ring_area_mm2(&rings->items[i]);
        if (area < 0.0)
            holes -= area;
        else
            outer += area;
    }
    assert_true(fabs(holes - 400.0) < 1e-6);
    double expected = 100.0 * 60.0 + 6.0 * 320.0 + 3.14159265358979 * 36.0;
    assert_true(fabs(outer - expected) < 0.02 * 350.0);
    assert_true(stack.chains.items[stack.chains.count - 1].curve_count < 40);
    paper_case_close(&test);
}

static void stack__border_joins_parts_that_are_near(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    options.border_mm = 6.0;
    Stack stack = STACK(&test, 10.0, &options, "111.111", "111.111");
    assert_int_equal(outer_count(&stack.layers[0].rings), 1);
    paper_case_close(&test);
}

static void stack__findings_of_the_outlines_travel_on(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    const char *lines[] = {"111", "121", "111"};
    StackOptions options = stack_defaults();
    Stack stack;
    Outlines outlines = grid_map(lines, 3, 10.0, 0.0, &test.keep);
    assert_true(findings_add(&outlines.findings, &test.keep, "speck-joined", "a speck joined red", 12.0, 7.5));
    must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
    assert_int_equal(stack.findings.count, 1);
    assert_string_equal(stack.findings.items[0].kind, "speck-joined");
    assert_string_equal(stack.findings.items[0].text, "a speck joined red");
    assert_true(stack.findings.items[0].x_mm == 12.0 && stack.findings.items[0].y_mm == 7.5);
    paper_case_close(&test);
}

static void stack__twice_the_same(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    StackOptions options = stack_defaults();
    options.border_mm = 5.0;
    Stack a = STACK(&test, 7.0, &options, "111111111", "122222331", "124222331", "122222331", "111111111");
    Stack b = STACK(&test, 7.0, &options, "111111111", "122222331", "124222331", "122222331", "111111111");
    assert_int_equal(a.layer_count, b.layer_count);
    for (int i = 0; i < a.layer_count; i++) {
        assert_int_equal(a.layers[i].rings.count, b.layers[i].rings.count);
        for (int k = 0; k < a.layers[i].rings.count; k++) {
            Ring p = a.layers[i].rings.items[k], q = b.layers[i].rings.items[k];
            assert_int_equal(p.count, q.count);
            assert_memory_equal(p.points, q.points, (size_t)p.count * sizeof *p.points);
        }
    }
    paper_case_close(&test);
}

// All that takes memory: wishes of which one is lost, a detail drawn by pen, and one that is off the paper.
static void add_wishes(PaperCase *test, StackOptions *options, Outlines *outlines)
{
    static const OrderWish wishes[] = {{.over = 1, .under = 2}, {.over = 2, .under = 1}};
    static double on_paper[] = {2.0, 2.0, 4.0, 2.0, 4.0, 4.0, 2.0, 4.0}, off[] = {90.0, 2.0, 91.0, 2.0, 91.0, 3.0};
    options->orders = wishes;
    options->order_count = 2;
    outlines->pen_details = arena_new(&test->keep, PenDetail, 2);
    outlines->pen_details[0] = (PenDetail){.xy_px = on_paper, .point_count = 4};
    outlines->pen_details[1] = (PenDetail){.xy_px = off, .point_count = 3};
    outlines->pen_detail_count = 2;
}

static void stack__lack_of_memory_is_a_clean_error(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    const char *lines[] = {"111111111", "122222331", "122222331", "111111111"};
    StackOptions options = stack_defaults();
    options.border_mm = 5.0;
    Outlines outlines = grid_map(lines, 4, 7.0, 5.0, &test.keep);
    add_wishes(&test, &options, &outlines);
    bool done = false;
    int failures = 0;
    for (int64_t after = 0; !done; after++) {
        Arena keep = arena_make(0);
        keep.fail_after = after;
        Stack stack;
        Error err = {0};
        done = stack_make(&outlines, &options, &keep, &test.work, &stack, &err);
        if (!done) {
            failures++;
            assert_int_equal(err.kind, ERROR_SYSTEM);
            assert_int_equal(stack.layer_count, 0);
        }
        arena_free(&keep);
    }
    assert_true(failures > 10);
    paper_case_close(&test);
}

static void stack__a_small_budget_is_a_clean_error(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    const char *lines[] = {"111111111", "122222331", "122222331", "111111111"};
    StackOptions options = stack_defaults();
    options.border_mm = 5.0;
    Outlines outlines = grid_map(lines, 4, 7.0, 5.0, &test.keep);
    add_wishes(&test, &options, &outlines);
    bool done = false;
    int failures = 0;
    for (size_t budget = 256; !done; budget += budget / 3) {
        Work work = {.scratch = arena_make(budget), .overlay = test.work.overlay};
        Arena keep = arena_make(0);
        Stack stack;
        Error err = {0};
        done = stack_make(&outlines, &options, &keep, &work, &stack, &err);
        failures += !done;
        assert_true(done || err.kind == ERROR_SYSTEM);
        arena_free(&keep);
        arena_free(&work.scratch);
    }
    assert_true(failures > 5);
    paper_case_close(&test);
}

static void stack__stops_when_asked(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    const char *lines[] = {"111", "121", "111"};
    StackOptions options = stack_defaults();
    Outlines outlines = grid_map(lines, 3, 7.0, 0.0, &test.keep);
    atomic_bool stop = true;
    test.work.cancel = &stop;
    Stack stack;
    assert_false(stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
    assert_int_equal(test.err.kind, ERROR_CANCELLED);
    paper_case_close(&test);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stack__base_is_full_shape_with_holes_open),
        cmocka_unit_test(stack__one_colour_is_one_layer),
        cmocka_unit_test(stack__unknown_base_colour_is_refused),
        cmocka_unit_test(stack__underlap_reaches_its_distance_below_the_neighbour),
        cmocka_unit_test(stack__hidden_marks_the_free_edge_only),
        cmocka_unit_test(stack__inlay_has_no_underlap),
        cmocka_unit_test(stack__underlap_is_clamped_below_a_thin_cover),
        cmocka_unit_test(stack__parts_join_below_a_bar),
        cmocka_unit_test(stack__underlap_does_not_jump_a_gap),
        cmocka_unit_test(stack__tall_pictures_reach_farther),
        cmocka_unit_test(stack__border_gives_the_exact_size),
        cmocka_unit_test(stack__border_grows_outer_edges_and_leaves_holes),
        cmocka_unit_test(stack__border_joins_parts_that_are_near),
        cmocka_unit_test(stack__findings_of_the_outlines_travel_on),
        cmocka_unit_test(stack__twice_the_same),
        cmocka_unit_test(stack__lack_of_memory_is_a_clean_error),
        cmocka_unit_test(stack__a_small_budget_is_a_clean_error),
        cmocka_unit_test(stack__stops_when_asked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
