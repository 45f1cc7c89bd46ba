// test_length.c - lengths as makers write them, and sentences for those that are none.
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "base/length.h"
#include "base/text.h"

static void length_is(const char *string, double expected_mm)
{
    double mm = -1.0;
    Error err = {0};
    if (!length_parse(string, "--height", &mm, &err)) fail_msg("'%s' was refused: %s", string, err.text);
    if (fabs(mm - expected_mm) > 1e-9) fail_msg("'%s' gave %.12g mm, not %.12g", string, mm, expected_mm);
}

// A refusal names what and where, and says what to do; `hint` is the part that is special to this mistake.
static void length_is_refused(const char *string, const char *hint)
{
    double mm = -1.0;
    Error err = {0};
    if (length_parse(string, "--height", &mm, &err)) fail_msg("'%s' was taken as %g mm", string, mm);
    assert_true(mm == 0.0);
    assert_int_equal(err.kind, ERROR_USAGE);
    assert_memory_equal(err.text, "--height is '", 13);
    if (!strstr(err.text, hint)) fail_msg("'%s' gave: %s", string, err.text);
    assert_true(text_is_utf8(err.text, strlen(err.text)));
    for (const char *c = err.text; *c; c++) assert_true((unsigned char)*c >= 0x20);
    assert_true(strlen(err.text) < 250);
}

static void length_parse__feet_and_inches(void **state)
{
    (void)state;
    length_is("4ft", 1219.2);
    length_is("4ft6in", 1371.6);
    length_is("4 ft 6 in", 1371.6);
    length_is("4' 6\"", 1371.6);
    length_is("4'6\"", 1371.6);
    length_is("4\u2032 6\u2033", 1371.6);
    length_is("4\u2019 6\u201d", 1371.6);
    length_is("32in", 812.8);
    length_is("8.5in", 215.9);
    length_is("8.5 inches", 215.9);
    length_is("1 foot", 304.8);
    length_is("2 Feet 1 INCH", 635.0);
    length_is("0ft6in", 152.4);
    length_is("1.5ft", 457.2);
}

static void length_parse__fractions_of_an_inch(void **state)
{
    (void)state;
    length_is("6-1/2in", 165.1);
    length_is("6 1/2in", 165.1);
    length_is("6 1/2 \"", 165.1);
    length_is("1/2in", 12.7);
    length_is("3/16\"", 4.7625);
    length_is("4ft 6-1/2in", 1384.3);
}

static void length_parse__metric(void **state)
{
    (void)state;
    length_is("81cm", 810.0);
    length_is("1.2m", 1200.0);
    length_is("810mm", 810.0);
    length_is(" 810 mm ", 810.0);
    length_is(".5m", 500.0);
    length_is("100m", 100000.0);
    length_is("0.001mm", 0.001);
}

static void length_parse__a_number_alone_is_asked_for_its_unit(void **state)
{
    (void)state;
    length_is_refused("5", "without a unit; add in, ft, mm, cm or m, as in 5in");
    length_is_refused("12.5", "without a unit");
    length_is_refused("4ft6", "without a unit");
    length_is_refused("6-1/2", "without a unit");
}

static void length_parse__an_unknown_unit_is_named(void **state)
{
    (void)state;
    length_is_refused("1km", "the unit 'km' is not known here, use in, ft, mm, cm or m");
    length_is_refused("5 parsecs", "the unit 'parsecs'");
    length_is_refused("5i", "the unit 'i'");
    length_is_refused("5inn", "the unit 'inn'");
    length_is_refused("1e3mm", "the unit 'e3mm'");
    length_is_refused("5%", "the unit '%'");
    length_is_refused("6-in", "the unit '-in'");
    length_is_refused("1,5m", "the unit ',5m'");
}

static void length_parse__not_above_zero_is_refused(void **state)
{
    (void)state;
    length_is_refused("0in", "more than 0");
    length_is_refused("0.0mm", "more than 0");
    length_is_refused("-3in", "more than 0");
    length_is_refused("-0mm", "more than 0");
    length_is_refused("-4ft6in", "more than 0");
}

static void length_parse__what_is_no_length_gets_examples(void **state)
{
    (void)state;
    const char *const wrong[] = {"",        " ",         "nan",    "inf",   "NaNmm",   "abc",    "in",     "--3in",
                                 "+3in",    "1.2.3in",   "1/0in",  "1/in",  "4in6ft",  "4in6in", "4ft6ft", "4ft6cm",
                                 "81cm2mm", "4ft6in2in", "32in x", "6 1in", "4ft-6in", "/2in"};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        length_is_refused(wrong[i], "write a number and a unit, as in 32in, 4ft, 4ft6in, 81cm, 810mm or 1.2m");
}

static void length_parse__too_much_is_refused_with_the_limit(void **state)
{
    (void)state;
    length_is_refused("100.001m", "100 m");
    length_is_refused("1000m", "100 m");
    length_is_refused("99999999999999999999999999999999999999999999999999999999999m", "100 m");
    char digits[500];
    memset(digits, '9', sizeof digits);
    memcpy(digits + sizeof digits - 4, "mm", 3);
    length_is_refused(digits, "a number and a unit"); // no double holds it, and nobody means it
}

static void length_parse__shows_hostile_text_on_one_clean_line(void **state)
{
    (void)state;
    length_is_refused("5\n\x1b[31mred", "5??[31mred");
    length_is_refused("5\xFF\xFE", "5??");
    length_is_refused("\xE4ngstr\xF6m", "?ngstr?m");
    char text[400] = "5";
    for (int i = 0; i < 100; i++) strcat(text, "\u20ac");
    length_is_refused(text, "...");
}

static void formatted_is(double mm, const char *expected)
{
    char out[32];
    length_format_inches(mm, out);
    assert_string_equal(out, expected);
}

static void length_format_inches__inches_to_three_feet_then_feet(void **state)
{
    (void)state;
    formatted_is(812.8, "32 in");
    formatted_is(215.9, "8.5 in");
    formatted_is(914.4, "36 in");
    formatted_is(939.8, "3 ft 1 in");
    formatted_is(1219.2, "4 ft");
    formatted_is(1371.6, "4 ft 6 in");
    formatted_is(1384.3, "4 ft 6.5 in");
    formatted_is(810.0, "31.89 in");
    formatted_is(0.0, "0 in");
    formatted_is(100000.0, "328 ft 1 in");
    formatted_is(1221.486, "4 ft 0.1 in"); // 48.09 in
}

static void length_format_inches__rounds_before_it_splits(void **state)
{
    (void)state;
    formatted_is(1219.199, "4 ft");
    formatted_is(1523.0, "5 ft"); // 59.96 in
    formatted_is(914.41, "36 in");
    formatted_is(25.399, "1 in");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(length_parse__feet_and_inches),
        cmocka_unit_test(length_parse__fractions_of_an_inch),
        cmocka_unit_test(length_parse__metric),
        cmocka_unit_test(length_parse__a_number_alone_is_asked_for_its_unit),
        cmocka_unit_test(length_parse__an_unknown_unit_is_named),
        cmocka_unit_test(length_parse__not_above_zero_is_refused),
        cmocka_unit_test(length_parse__what_is_no_length_gets_examples),
        cmocka_unit_test(length_parse__too_much_is_refused_with_the_limit),
        cmocka_unit_test(length_parse__shows_hostile_text_on_one_clean_line),
        cmocka_unit_test(length_format_inches__inches_to_three_feet_then_feet),
        cmocka_unit_test(length_format_inches__rounds_before_it_splits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
