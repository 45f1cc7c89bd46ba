// test_error.c - one sentence, whole characters, places in front.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/error.h"
#include "base/text.h"

static void error_set__returns_false_and_fills_kind_and_text(void **state)
{
    (void)state;
    Error err = {0};
    assert_false(error_set(&err, ERROR_JOB, "layer %c is %d mm wide", 'B', 12));
    assert_int_equal(err.kind, ERROR_JOB);
    assert_string_equal(err.text, "layer B is 12 mm wide");
}

static void error_set__cuts_a_long_text_at_a_whole_character(void **state)
{
    (void)state;
    // two-, three- and four-byte characters, each at every offset to the end of the buffer
    const char *const characters[] = {"\u00e4", "\u20ac", "\U0001F40B"};
    for (int kind = 0; kind < 3; kind++) {
        for (int offset = 0; offset < 4; offset++) {
            char text[2000] = "";
            for (int i = 0; i < offset; i++) strcat(text, "x");
            for (int i = 0; i < 300; i++) strcat(text, characters[kind]);
            Error err = {0};
            assert_false(error_set(&err, ERROR_INPUT, "%s", text));
            size_t size = strlen(err.text);
            assert_true(size < sizeof err.text && size >= sizeof err.text - 8);
            assert_true(text_is_utf8(err.text, size));
            assert_memory_equal(err.text, text, size);
        }
    }
}

static void error_set__leaves_a_text_alone_that_just_fits(void **state)
{
    (void)state;
    char text[511];
    memset(text, 'a', sizeof text);
    text[510] = 0;
    Error err = {0};
    assert_false(error_set(&err, ERROR_INPUT, "%s", text));
    assert_string_equal(err.text, text);
}

static void error_at__puts_the_place_in_front_and_keeps_the_kind(void **state)
{
    (void)state;
    Error err = {0};
    assert_false(error_set(&err, ERROR_PROOF, "a piece is missing"));
    assert_false(error_at(&err, "sheet %d", 3));
    assert_int_equal(err.kind, ERROR_PROOF);
    assert_string_equal(err.text, "sheet 3: a piece is missing");
    assert_false(error_at(&err, "%s", "kit"));
    assert_string_equal(err.text, "kit: sheet 3: a piece is missing");
}

static void error_at__a_place_that_fills_the_buffer_is_cut(void **state)
{
    (void)state;
    char place[1000];
    memset(place, 'p', sizeof place);
    place[sizeof place - 1] = 0;
    Error err = {0};
    assert_false(error_set(&err, ERROR_INPUT, "short"));
    assert_false(error_at(&err, "%s", place));
    assert_true(strlen(err.text) < sizeof err.text);
    assert_int_equal(err.kind, ERROR_INPUT);
}

static void error_memory__is_a_system_error_in_one_sentence(void **state)
{
    (void)state;
    Error err = {0};
    assert_false(error_memory(&err));
    assert_int_equal(err.kind, ERROR_SYSTEM);
    assert_non_null(strstr(err.text, "memory"));
    assert_null(strchr(err.text, '\n'));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(error_set__returns_false_and_fills_kind_and_text),
        cmocka_unit_test(error_set__cuts_a_long_text_at_a_whole_character),
        cmocka_unit_test(error_set__leaves_a_text_alone_that_just_fits),
        cmocka_unit_test(error_at__puts_the_place_in_front_and_keeps_the_kind),
        cmocka_unit_test(error_at__a_place_that_fills_the_buffer_is_cut),
        cmocka_unit_test(error_memory__is_a_system_error_in_one_sentence),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
