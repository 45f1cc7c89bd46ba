// test_text.c - growing strings, the one number formatter, UTF-8, safe names.
#include <locale.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/text.h"

// --- growing ---------------------------------------------------------------------------------------------------

static void text__grows_and_always_ends_with_a_zero(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    Text text = text_make(&arena);
    assert_string_equal(text.bytes, "");
    for (int i = 0; i < 1000; i++) {
        text_printf(&text, "%03d,", i);
        assert_int_equal(text.size_bytes, 4 * (size_t)(i + 1));
        assert_int_equal(text.bytes[text.size_bytes], 0);
    }
    assert_memory_equal(text.bytes, "000,001,002,", 12);
    assert_string_equal(text.bytes + 3996, "999,");
    Error err = {0};
    assert_true(text_is_whole(&text, &err));
    arena_free(&arena);
}

static void text_printf__fills_the_last_free_byte_exactly(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    for (int size = 60; size < 70; size++) {
        Text text = text_make(&arena);
        text_printf(&text, "%*s", size, "x");
        assert_int_equal(text.size_bytes, size);
        assert_int_equal(strlen(text.bytes), size);
    }
    arena_free(&arena);
}

static void text_add_bytes__takes_zeros_too(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    Text text = text_make(&arena);
    text_add_bytes(&text, "a\0b", 3);
    text_add_bytes(&text, "", 0);
    assert_int_equal(text.size_bytes, 3);
    assert_memory_equal(text.bytes, "a\0b", 4);
    arena_free(&arena);
}

static void text__remembers_that_memory_ran_out(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    arena.fail_after = 0;
    Text none = text_make(&arena);
    text_add(&none, "lost");
    text_number(&none, 1.5, 2);
    Error err = {0};
    assert_false(text_is_whole(&none, &err));
    assert_int_equal(err.kind, ERROR_SYSTEM);
    assert_string_equal(none.bytes, "");

    Text text = text_make(&arena);
    text_add(&text, "kept");
    arena.fail_after = 0;
    for (int i = 0; i < 100; i++) text_add(&text, "0123456789");
    assert_false(text_is_whole(&text, &err));
    assert_memory_equal(text.bytes, "kept", 4);
    arena_free(&arena);
}

// --- numbers ---------------------------------------------------------------------------------------------------

static void formatted_is(double value, int decimals, const char *expected)
{
    char buffer[NUMBER_MAX];
    assert_string_equal(number_format(buffer, value, decimals), expected);
}

static void number_format__drops_trailing_zeros(void **state)
{
    (void)state;
    formatted_is(0.0, 3, "0");
    formatted_is(1.0, 9, "1");
    formatted_is(12.5, 3, "12.5");
    formatted_is(100.0, 0, "100");
    formatted_is(812.8, 3, "812.8");
    formatted_is(0.001, 3, "0.001");
    formatted_is(0.01, 3, "0.01");
    formatted_is(-10.020, 3, "-10.02");
    formatted_is(5.05, 1, "5"); // 5.05 in binary lies just below: 5.04999...
}

static void number_format__has_no_negative_zero(void **state)
{
    (void)state;
    formatted_is(-0.0, 3, "0");
    formatted_is(-0.0004, 3, "0");
    formatted_is(-0.0005, 3, "-0.001");
    formatted_is(-1e-300, 9, "0");
    formatted_is(-0.4, 0, "0");
}

static void number_format__takes_halves_away_from_zero(void **state)
{
    (void)state;
    formatted_is(0.5, 0, "1");
    formatted_is(-0.5, 0, "-1");
    formatted_is(1.5, 0, "2");
    formatted_is(2.5, 0, "3");
    formatted_is(0.125, 2, "0.13");
    formatted_is(-0.125, 2, "-0.13");
    formatted_is(0.375, 2, "0.38");
    formatted_is(nextafter(0.125, 0.0), 2, "0.12");
    formatted_is(nextafter(0.5, 0.0), 0, "0");
    formatted_is(1.005, 2, "1"); // just below a half, as written in binary
}

static void number_format__carries_into_the_whole_part(void **state)
{
    (void)state;
    formatted_is(0.9996, 3, "1");
    formatted_is(9.99999, 4, "10");
    formatted_is(-99.9999999999, 9, "-100");
}

static void number_format__nine_decimals(void **state)
{
    (void)state;
    formatted_is(0.123456789, 9, "0.123456789");
    formatted_is(0.0000000005, 9, "0.000000001");
    formatted_is(0.00000000049, 9, "0");
    formatted_is(0.707106781186547, 9, "0.707106781");
    formatted_is(-0.000000001, 9, "-0.000000001");
}

static void number_format__large_and_tiny(void **state)
{
    (void)state;
    formatted_is(1e14, 3, "100000000000000");
    formatted_is(1e14 + 0.5, 0, "100000000000001");
    formatted_is(999999999999999.0, 9, "999999999999999");
    formatted_is(-123456789012345.0, 2, "-123456789012345");
    formatted_is(99999999999999.984375, 9, "99999999999999.984375");
    formatted_is(nextafter(1e15, 0.0), 9, "999999999999999.875"); // the largest that is allowed
    formatted_is(5e-324, 9, "0");
    formatted_is(1e-40, 9, "0");
}

static void parsed_is(const char *string, double expected)
{
    double value = NAN;
    assert_true(number_parse(string, &value));
    assert_true(value == expected);
}

static void number_parse__reads_decimal_numbers(void **state)
{
    (void)state;
    parsed_is("12", 12.0);
    parsed_is("-3.5", -3.5);
    parsed_is(".5", 0.5);
    parsed_is("5.", 5.0);
    parsed_is("1e3", 1000.0);
    parsed_is("1.5E-2", 0.015);
    parsed_is("2e+1", 20.0);
    parsed_is("007", 7.0);
    parsed_is("0.1", 0.1);
    parsed_is("1e-400", 0.0);
    parsed_is("9007199254740993", 9007199254740992.0); // a half between two doubles: to even
}

static void number_parse__refuses_anything_else(void **state)
{
    (void)state;
    const char *const wrong[] = {"",       "-",     ".",   "-.",   "e3",   "1e",       "1e+",  "1,5",
                                 "1 ",     " 1",    "+1",  "0x10", "nan",  "inf",      "-inf", "1e400",
                                 "-1e400", "1.2.3", "--1", "1-",   "12mm", "infinity", "1\n",  "1e3.5"};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        double value = 7.0;
        assert_false(number_parse(wrong[i], &value));
        assert_true(value == 0.0);
    }
}

static void numbers__do_not_follow_the_locale(void **state)
{
    (void)state;
    const char *const with_comma[] = {"de_DE.UTF-8", "fr_FR.UTF-8", "nl_NL.UTF-8", "ru_RU.UTF-8"};
    const char *found = NULL;
    for (size_t i = 0; i < 4 && !found; i++) found = setlocale(LC_ALL, with_comma[i]);
    if (!found) skip(); // no such locale on this machine
    formatted_is(1.5, 3, "1.5");
    parsed_is("1.5", 1.5);
    double value;
    assert_false(number_parse("1,5", &value));
    setlocale(LC_ALL, "C");
}

// --- characters ------------------------------------------------------------------------------------------------

static void text_is_utf8__takes_well_formed_text(void **state)
{
    (void)state;
    const char *const good[] = {
        "", "plain", "Gr\u00f6\u00dfe", "\u20ac", "\U0001F40B", "\xF4\x8F\xBF\xBF", "\xEF\xBF\xBF", "\xC2\x80"};
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) assert_true(text_is_utf8(good[i], strlen(good[i])));
}

// The cases of the Unicode Standard, table 3-7: overlong forms, surrogates, beyond U+10FFFF, cut short, stray.
static void text_is_utf8__refuses_ill_formed_text(void **state)
{
    (void)state;
    const char *const bad[] = {"\x80",
                               "\xBF",
                               "a\xFF",
                               "\xC0\x80",
                               "\xC1\xBF",
                               "\xE0\x9F\xBF",
                               "\xF0\x8F\xBF\xBF",
                               "\xED\xA0\x80",
                               "\xED\xBF\xBF",
                               "\xF4\x90\x80\x80",
                               "\xF5\x80\x80\x80",
                               "\xC3",
                               "\xE2\x82",
                               "\xF0\x9F\x90",
                               "\xC3(",
                               "\xE2(\xA1",
                               "\xFE",
                               "\xF8\x88\x80\x80\x80"};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) assert_false(text_is_utf8(bad[i], strlen(bad[i])));
}

static void text_is_utf8__does_not_read_past_the_size(void **state)
{
    (void)state;
    assert_false(text_is_utf8("\xC3\xA4", 1));
    assert_true(text_is_utf8("ab\xFF", 2));
    assert_int_equal(text_character_size("\xE2\x82\xAC", 3), 3);
    assert_int_equal(text_character_size("\xE2\x82\xAC", 2), 0);
    assert_int_equal(text_character_size("", 0), 0);
}

static void safe_name_is(const char *from, const char *expected)
{
    char out[100];
    text_safe_name(from, out, sizeof out);
    assert_string_equal(out, expected);
}

static void text_safe_name__keeps_letters_digits_and_joins_the_rest(void **state)
{
    (void)state;
    safe_name_is("whale_2", "whale_2");
    safe_name_is("my  picture", "my-picture");
    safe_name_is("a - b", "a-b");
    safe_name_is("it's \"big\"", "it-s-big");
    safe_name_is("two\nlines\r\n", "two-lines");
    safe_name_is("../../etc/passwd", "etc-passwd");
    safe_name_is("-rf", "rf");
    safe_name_is("C:\\x", "C-x");
    safe_name_is("W\u00e4l", "W-l");
    safe_name_is("W\xE4l\xFF", "W-l");
}

static void text_safe_name__is_picture_when_nothing_is_left(void **state)
{
    (void)state;
    safe_name_is("", "picture");
    safe_name_is("...", "picture");
    safe_name_is("\xFF\xFE", "picture");
    safe_name_is("\u9be8", "picture");
}

static void text_safe_name__is_at_most_sixty_bytes_and_ends_with_no_dash(void **state)
{
    (void)state;
    char from[200], out[100];
    memset(from, 'a', sizeof from);
    from[199] = 0;
    text_safe_name(from, out, sizeof out);
    assert_int_equal(strlen(out), 60);
    from[59] = ' ';
    text_safe_name(from, out, sizeof out);
    assert_int_equal(strlen(out), 59);
    text_safe_name("lighthouse", out, 6);
    assert_string_equal(out, "light");
    text_safe_name("!", out, 4);
    assert_string_equal(out, "pic");
    text_safe_name("x", out, 1);
    assert_string_equal(out, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text__grows_and_always_ends_with_a_zero),
        cmocka_unit_test(text_printf__fills_the_last_free_byte_exactly),
        cmocka_unit_test(text_add_bytes__takes_zeros_too),
        cmocka_unit_test(text__remembers_that_memory_ran_out),
        cmocka_unit_test(number_format__drops_trailing_zeros),
        cmocka_unit_test(number_format__has_no_negative_zero),
        cmocka_unit_test(number_format__takes_halves_away_from_zero),
        cmocka_unit_test(number_format__carries_into_the_whole_part),
        cmocka_unit_test(number_format__nine_decimals),
        cmocka_unit_test(number_format__large_and_tiny),
        cmocka_unit_test(number_parse__reads_decimal_numbers),
        cmocka_unit_test(number_parse__refuses_anything_else),
        cmocka_unit_test(numbers__do_not_follow_the_locale),
        cmocka_unit_test(text_is_utf8__takes_well_formed_text),
        cmocka_unit_test(text_is_utf8__refuses_ill_formed_text),
        cmocka_unit_test(text_is_utf8__does_not_read_past_the_size),
        cmocka_unit_test(text_safe_name__keeps_letters_digits_and_joins_the_rest),
        cmocka_unit_test(text_safe_name__is_picture_when_nothing_is_left),
        cmocka_unit_test(text_safe_name__is_at_most_sixty_bytes_and_ends_with_no_dash),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
