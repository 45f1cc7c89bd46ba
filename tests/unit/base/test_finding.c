// test_finding.c - findings keep their own copies and stay whole when memory ends.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "base/finding.h"

static void findings_add__keeps_its_own_copy_in_order(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    Findings findings = {0};
    char text[32];
    for (int i = 0; i < 40; i++) {
        snprintf(text, sizeof text, "part %d is thin", i);
        assert_true(findings_add(&findings, &arena, "thin-part", text, i, 2.0 * i));
    }
    assert_int_equal(findings.count, 40);
    assert_string_equal(findings.items[0].text, "part 0 is thin");
    assert_string_equal(findings.items[39].text, "part 39 is thin");
    assert_string_equal(findings.items[39].kind, "thin-part");
    assert_true(findings.items[39].x_mm == 39.0 && findings.items[39].y_mm == 78.0);
    arena_free(&arena);
}

static void findings_add__each_refused_hand_out_leaves_the_list_as_it_was(void **state)
{
    (void)state;
    for (int step = 0; step < 3; step++) {
        Arena arena = arena_make(0);
        Findings findings = {0};
        for (int i = 0; i < 16; i++) assert_true(findings_add(&findings, &arena, "a", "first", 0, 0));
        arena.fail_after = step;
        assert_false(findings_add(&findings, &arena, "b", "second", 1, 1));
        assert_int_equal(findings.count, 16);
        assert_string_equal(findings.items[15].text, "first");
        assert_true(findings_add(&findings, &arena, "b", "second", 1, 1));
        assert_string_equal(findings.items[16].text, "second");
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(findings_add__keeps_its_own_copy_in_order),
        cmocka_unit_test(findings_add__each_refused_hand_out_leaves_the_list_as_it_was),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
