// test_thin.c - thin parts and gaps of square cells, whose widths and lengths are known.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "stack/thin.h"
#include "support/grid_map.h"
#include "support/paper_case.h"

#include <math.h>
#include <string.h>

static Stack stack_of(PaperCase *test, const char *const *lines, int line_count, double cell_mm)
{
    Stack stack;
    Outlines outlines = grid_map(lines, line_count, cell_mm, 0.0, &test->keep);
    StackOptions options = stack_defaults();
    must(test, stack_make(&outlines, &options, &test->keep, &test->work, &stack, &test->err));
    return stack;
}
#define STACK(test, cell_mm, ...)                                                                                      \
    stack_of(test, (const char *const[]){__VA_ARGS__},                                                                 \
             (int)(sizeof((const char *const[]){__VA_ARGS__}) / sizeof(char *)), cell_mm)

static int count_of(const Stack *stack, const char *kind)
{
    int count = 0;
    for (size_t i = 0; i < stack->findings.count; i++) count += strcmp(stack->findings.items[i].kind, kind) == 0;
    return count;
}

static void must_read(const Finding *finding, const char *text)
{
    if (strncmp(finding->text, text, strlen(text)) != 0) fail_msg("%s", finding->text);
}

// A bar of 2 mm joins two bodies of 8 mm.
static void thin__a_neck_is_found_with_its_place(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    Stack stack = STACK(&test, 2.0, "1111........1111", "1111........1111", "1111111111111111", "1111........1111",
                        "1111........1111");
    assert_int_equal(stack.findings.count, 1);
    const Finding *finding = &stack.findings.items[0];
    assert_string_equal(finding->kind, "thin-part");
    must_read(finding, "a part of the base (");
    assert_non_null(strstr(finding->text, "only 1.9 mm wide over 1")); // its ends are a little narrower
    assert_true(finding->y_mm > 4.0 && finding->y_mm < 6.0);
    assert_true(finding->x_mm > 8.0 && finding->x_mm < 24.0);
    paper_case_close(&test);
}

static void thin__wide_parts_and_corners_are_not(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    Stack stack = STACK(&test, 4.0, "1111111111111", "1222111111331", "1222444441331", "1222111111111", "1111111111111");
    assert_int_equal(stack.findings.count, 0);
    paper_case_close(&test);
}

// 2 is a strip of 2 mm between 1 and 3. Under 3, which lies higher, it is wide.
static void thin__what_is_wide_below_its_cover_is_not_thin(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    Stack stack = STACK(&test, 2.0, "11111111111111111111", "11111111111111111111", "11222222222222222211",
                        "11233333333333333211", "11233333333333333211", "11233333333333333211",
                        "11233333333333333211", "11233333333333333211", "11233333333333333211",
                        "11222222222222222211", "11111111111111111111", "11111111111111111111");
    assert_int_equal(stack.layer_count, 3);
    assert_int_equal(count_of(&stack, "thin-part"), 0);
    StackOptions options = stack_defaults();
    options.way = STACK_INLAY; // with nothing below 3 the strip is thin all round
    const char *lines[] = {"11111111111111111111", "11111111111111111111", "11222222222222222211",
                           "11233333333333333211", "11233333333333333211", "11233333333333333211",
                           "11233333333333333211", "11233333333333333211", "11233333333333333211",
                           "11222222222222222211", "11111111111111111111", "11111111111111111111"};
    Outlines outlines = grid_map(lines, 12, 2.0, 0.0, &test.keep);
    must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
    assert_int_equal(count_of(&stack, "thin-part"), 1);
    paper_case_close(&test);
}

static void thin__a_whole_part_is_found_however_short(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    Stack stack = STACK(&test, 2.0, "1111111", "1111111", "1112111", "1111111", "1111111");
    assert_int_equal(stack.findings.count, 1);
    assert_non_null(strstr(stack.findings.items[0].text, "only 2 mm wide over 2 mm"));
    assert_true(fabs(stack.findings.items[0].x_mm - 7.0) < 0.1 && fabs(stack.findings.items[0].y_mm - 5.0) < 0.1);
    paper_case_close(&test);
}

static void thin__slits_and_narrow_holes_are_gaps(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    Stack stack = STACK(&test, 2.0, "111111111111", "111111111111", "........1111", "111111111111", "111111111111",
                        "1111.1111111", "111111111111", "111111111111");
    assert_int_equal(count_of(&stack, "thin-part"), 0);
    assert_int_equal(count_of(&stack, "thin-gap"), 2);
    assert_non_null(strstr(stack.findings.items[0].text, "only 2 mm wide over 1"));
    assert_true(fabs(stack.findings.items[0].y_mm - 5.0) < 1.0);
    assert_non_null(strstr(stack.findings.items[1].text, "only 2 mm wide over 2 mm"));
    paper_case_close(&test);
}

static void thin__places_come_longest_first(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    Stack stack = STACK(&test, 2.0, "11111111111111111111", "11111111111111111111", "12222211111333333331",
                        "11111111111111111111", "11111111111111111111");
    assert_int_equal(stack.findings.count, 2);
    assert_non_null(strstr(stack.findings.items[0].text, "over 16 mm"));
    assert_non_null(strstr(stack.findings.items[1].text, "over 10 mm"));
    paper_case_close(&test);
}

// 12 x 12 dots of 2 mm.
static void thin__more_than_a_hundred_are_counted(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    enum { SIDE = 37 };
    uint8_t labels[SIDE * SIDE];
    for (int y = 0; y < SIDE; y++)
        for (int x = 0; x < SIDE; x++) labels[y * SIDE + x] = x % 3 == 1 && y % 3 == 1 && x < 36 && y < 36 ? 2 : 1;
    Outlines outlines = grid_map_labels(labels, SIDE, SIDE, 2.0, 0.0, &test.keep);
    StackOptions options = stack_defaults();
    Stack stack;
    must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
    assert_int_equal(stack.findings.count, THIN_MOST + 1);
    must_read(&stack.findings.items[THIN_MOST], "44 more thin parts");
    paper_case_close(&test);
}

static void thin__zero_asks_for_none(void **state)
{
    (void)state;
    PaperCase test = paper_case_open();
    const char *lines[] = {"1111111", "1222221", "1111111"};
    Outlines outlines = grid_map(lines, 3, 2.0, 0.0, &test.keep);
    StackOptions options = stack_defaults();
    options.thin_mm = 0.0;
    Stack stack;
    must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
    assert_int_equal(stack.findings.count, 0);
    paper_case_close(&test);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(thin__a_neck_is_found_with_its_place),
        cmocka_unit_test(thin__wide_parts_and_corners_are_not),
        cmocka_unit_test(thin__what_is_wide_below_its_cover_is_not_thin),
        cmocka_unit_test(thin__a_whole_part_is_found_however_short),
        cmocka_unit_test(thin__slits_and_narrow_holes_are_gaps),
        cmocka_unit_test(thin__places_come_longest_first),
        cmocka_unit_test(thin__more_than_a_hundred_are_counted),
        cmocka_unit_test(thin__zero_asks_for_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
