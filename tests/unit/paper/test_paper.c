// Papers: names, sizes and what of a sheet can be used.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "paper/paper.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct Expected {
    const char *word;
    double width, height;
} Expected;

// ISO 216:2007, table 1 (A series) and table 2 (B series), in mm.
static const Expected ISO_216_MM[] = {
    {"a0", 841, 1189}, {"a1", 594, 841},   {"a2", 420, 594}, {"a3", 297, 420}, {"a4", 210, 297}, {"a5", 148, 210},
    {"a6", 105, 148},  {"a7", 74, 105},    {"a8", 52, 74},   {"a9", 37, 52},   {"a10", 26, 37},  {"b0", 1000, 1414},
    {"b1", 707, 1000}, {"b2", 500, 707},   {"b3", 353, 500}, {"b4", 250, 353}, {"b5", 176, 250}, {"b6", 125, 176},
    {"b7", 88, 125},   {"b8", 62, 88},     {"b9", 44, 62},   {"b10", 31, 44},
};

// ANSI/ASME Y14.1, flat sizes A to E, in inches.
static const Expected ANSI_IN[] = {
    {"ansi-a", 8.5, 11}, {"ansi-b", 11, 17}, {"ansi-c", 17, 22}, {"ansi-d", 22, 34}, {"ansi-e", 34, 44},
};

static Paper parsed(const char *word)
{
    Paper paper;
    Error err = {0};
    bool done = paper_parse(word, &paper, &err);
    if (!done) print_error("%s: %s\n", word, err.text);
    assert_true(done);
    return paper;
}

static void assert_near(double found, double expected)
{
    if (fabs(found - expected) > 1e-9) fail_msg("found %.9f, expected %.9f", found, expected);
}

static void iso_216__every_size_of_the_table(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof ISO_216_MM / sizeof ISO_216_MM[0]; i++) {
        Paper paper = parsed(ISO_216_MM[i].word);
        assert_near(paper.width_mm, ISO_216_MM[i].width);
        assert_near(paper.height_mm, ISO_216_MM[i].height);
        assert_string_equal(paper.id, ISO_216_MM[i].word);
    }
}

// ISO 216 clause 4: each size is half of the one before, rounded down to whole millimetres.
static void iso_216__each_size_is_half_of_the_one_before(void **state)
{
    (void)state;
    for (int i = 1; i < 11; i++) {
        char before[8], here[8];
        for (const char *series = "ab"; *series; series++) {
            snprintf(before, sizeof before, "%c%d", *series, i - 1);
            snprintf(here, sizeof here, "%c%d", *series, i);
            assert_near(parsed(here).height_mm, parsed(before).width_mm);
            assert_near(parsed(here).width_mm, floor(parsed(before).height_mm / 2));
        }
    }
}

static void ansi__every_size_of_the_table(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof ANSI_IN / sizeof ANSI_IN[0]; i++) {
        Paper paper = parsed(ANSI_IN[i].word);
        assert_near(paper.width_mm, ANSI_IN[i].width * 25.4);
        assert_near(paper.height_mm, ANSI_IN[i].height * 25.4);
    }
}

static void size__numbers_without_unit_are_inches(void **state)
{
    (void)state;
    Paper paper = parsed("12x24");
    assert_near(paper.width_mm, 12 * 25.4);
    assert_near(paper.height_mm, 24 * 25.4);
    assert_string_equal(paper.id, "12x24in");
    assert_string_equal(parsed("8.5x11").id, "8.5x11in");
}

static void size__a_unit_at_the_end_counts_for_both_sides(void **state)
{
    (void)state;
    Paper paper = parsed("30x40cm");
    assert_near(paper.width_mm, 300);
    assert_near(paper.height_mm, 400);
    assert_string_equal(paper.id, "30x40cm");
    assert_string_equal(parsed("150x210mm").id, "150x210mm");
    assert_string_equal(parsed("11x24in").id, "11x24in");
}

static void size__each_side_may_have_its_own_unit(void **state)
{
    (void)state;
    Paper paper = parsed("1ft x 60cm");
    assert_near(paper.width_mm, 304.8);
    assert_near(paper.height_mm, 600);
    assert_near(parsed("20cmx300mm").width_mm, 200);
    assert_near(parsed("20cmx300mm").height_mm, 300);
    assert_string_equal(parsed("20cmx300mm").id, "200x300mm");
}

static void size__wide_stays_wide(void **state)
{
    (void)state;
    assert_near(parsed("24x12").width_mm, 24 * 25.4);
    assert_near(parsed("ledger").width_mm, 17 * 25.4);
}

static void word__case_blanks_and_the_times_sign_do_not_matter(void **state)
{
    (void)state;
    assert_string_equal(parsed("Letter").id, "letter");
    assert_string_equal(parsed("A4").id, "a4");
    assert_string_equal(parsed("12 X 12 in").id, "12x12in");
    assert_string_equal(parsed("12\xC3\x97" "12").id, "12x12in");
}

static void refused(const char *word, ErrorKind kind, const char *says)
{
    Paper paper;
    memset(&paper, 1, sizeof paper);
    Error err = {0};
    bool done = paper_parse(word, &paper, &err);
    if (done || err.kind != kind || !strstr(err.text, says))
        fail_msg("\"%s\": %s, kind %d, \"%s\"", word, done ? "taken" : "refused", (int)err.kind, err.text);
    assert_near(paper.width_mm, 0);
}

static void word__unknown_names_what_works(void **state)
{
    (void)state;
    static const char *const WORDS[] = {"", "paper", "a11", "c4", "x", "12x", "x12", "12x12x12", "letter\n", "xl",
                                        "a-very-long-word-that-is-no-paper-at-all-and-goes-on-and-on-and-on-for-ever"};
    for (size_t i = 0; i < sizeof WORDS / sizeof WORDS[0]; i++) refused(WORDS[i], ERROR_USAGE, "letter, legal");
}

static void size__nonsense_is_a_wrong_command(void **state)
{
    (void)state;
    refused("12x-3", ERROR_USAGE, "");
    refused("0x12", ERROR_USAGE, "");
    refused("12xnan", ERROR_USAGE, "");
    refused("12x12furlong", ERROR_USAGE, "");
    refused("50x12m", ERROR_USAGE, "20 m");
}

static void size__smaller_than_the_allowance_cannot_be_done(void **state)
{
    (void)state;
    refused("0.4x12", ERROR_JOB, "too small");
    refused("12x12mm", ERROR_JOB, "too small");
    assert_near(parsed("1x1").width_mm, 25.4);
}

// Common practice: half an inch of allowance in each direction.
static void usable__letter_leaves_8_by_10_5_inches(void **state)
{
    (void)state;
    Paper paper = parsed("letter");
    double box[4];
    paper_usable(&paper, box);
    assert_near(box[0], 6.35);
    assert_near(box[1], 6.35);
    assert_near(box[2], 8 * 25.4);
    assert_near(box[3], 10.5 * 25.4);
    paper = parsed("12x12");
    paper_usable(&paper, box);
    assert_near(box[2], 11.5 * 25.4);
    assert_near(box[3], 11.5 * 25.4);
}

static void space__fit_is_a_millimetre_less_than_nest(void **state)
{
    (void)state;
    Paper paper = parsed("a4");
    Space nest = paper_nest_space(&paper), fit = paper_fit_space(&paper);
    assert_near(nest.width_mm, 210 - 12.7);
    assert_near(nest.height_mm, 297 - 12.7);
    assert_near(nest.corner_mm, 3);
    assert_near(fit.width_mm, nest.width_mm - 1);
    assert_near(fit.height_mm, nest.height_mm - 1);
    assert_near(fit.corner_mm, 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(iso_216__every_size_of_the_table),
        cmocka_unit_test(iso_216__each_size_is_half_of_the_one_before),
        cmocka_unit_test(ansi__every_size_of_the_table),
        cmocka_unit_test(size__numbers_without_unit_are_inches),
        cmocka_unit_test(size__a_unit_at_the_end_counts_for_both_sides),
        cmocka_unit_test(size__each_side_may_have_its_own_unit),
        cmocka_unit_test(size__wide_stays_wide),
        cmocka_unit_test(word__case_blanks_and_the_times_sign_do_not_matter),
        cmocka_unit_test(word__unknown_names_what_works),
        cmocka_unit_test(size__nonsense_is_a_wrong_command),
        cmocka_unit_test(size__smaller_than_the_allowance_cannot_be_done),
        cmocka_unit_test(usable__letter_leaves_8_by_10_5_inches),
        cmocka_unit_test(space__fit_is_a_millimetre_less_than_nest),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
