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

// ---- properties ----

// From memory, as printed in printers' tables: a pound of cover stock is 2.704 g/m2, of text stock 1.480 g/m2.
static void weight__pounds_follow_from_their_definition(void **state)
{
    (void)state;
    assert_float_equal(parsed("letter,1e2lb").gsm, 270.41, 0.01);
    assert_float_equal(parsed("letter, 65 lb").gsm, 175.77, 0.01);
    assert_float_equal(parsed("letter,80lb-cover").gsm, 216.33, 0.01);
    assert_float_equal(parsed("letter,60 LB-TEXT").gsm, 88.81, 0.01);
    // The definition itself: 500 sheets of 20 x 26 in weigh 65 lb of 0.45359237 kg.
    double ream_m2 = 500 * (20 * 0.0254) * (26 * 0.0254);
    assert_float_equal(parsed("letter,65lb").gsm * ream_m2, 65 * 453.59237, 1e-6);
    ream_m2 = 500 * (25 * 0.0254) * (38 * 0.0254);
    assert_float_equal(parsed("letter,60lb-text").gsm * ream_m2, 60 * 453.59237, 1e-6);
    assert_near(parsed("a4,250gsm").gsm, 250);
    assert_near(parsed("a4,250 g").gsm, 250);
    assert_near(parsed("a4").gsm, 0);
}

static void properties__each_word_sets_its_field(void **state)
{
    (void)state;
    assert_true(parsed("letter,white-core").white_core);
    assert_true(parsed("letter,one-faced").one_faced);
    assert_int_equal(parsed("letter,grained").direction, PAPER_GRAINED);
    assert_int_equal(parsed("letter,textured").direction, PAPER_TEXTURED);
    assert_true(parsed("letter,no-score").no_score);
    assert_true(parsed("letter,no-pen").no_pen);
    Paper plain = parsed("letter");
    assert_true(!plain.white_core && !plain.one_faced && !plain.no_score && !plain.no_pen && !plain.has_loss);
    assert_int_equal(plain.direction, PAPER_PLAIN);
    assert_int_equal(plain.pack_count, 0);
}

static void properties__order_blanks_and_case_do_not_matter(void **state)
{
    (void)state;
    Paper a = parsed("11x24,250gsm,from 22x28,grained,one-faced"), b = parsed(" 11 x 24 , One-Faced, GRAINED ,from 22 x 28in,250 gsm");
    assert_true(paper_equal(&a, &b));
    assert_string_equal(a.id, "11x24in");
    assert_near(a.board_mm[0], 22 * 25.4);
    assert_near(a.board_mm[1], 28 * 25.4);
}

static void properties__each_makes_another_paper(void **state)
{
    (void)state;
    static const char *const WORDS[] = {"letter", "letter,65lb", "letter,white-core", "letter,one-faced", "letter,grained",
                                        "letter,textured", "letter,no-score", "letter,no-pen", "letter,from 22x28",
                                        "letter,from 28x22", "letter,25 for 8.99", "letter,25 for 9", "letter,24 for 8.99",
                                        "letter,pack of 25", "a4"};
    enum { COUNT = sizeof WORDS / sizeof WORDS[0] };
    for (int i = 0; i < COUNT; i++)
        for (int k = 0; k < COUNT; k++) {
            Paper a = parsed(WORDS[i]), b = parsed(WORDS[k]);
            if (paper_equal(&a, &b) != (i == k)) fail_msg("\"%s\" and \"%s\"", WORDS[i], WORDS[k]);
        }
    Paper a = parsed("letter"), b = a;
    b.has_loss = true;
    assert_false(paper_equal(&a, &b));
    a.has_loss = true;
    assert_true(paper_equal(&a, &b));
    for (int i = 0; i < 4; i++) {
        b.loss_mm[i] = 5;
        assert_false(paper_equal(&a, &b));
        b.loss_mm[i] = 0;
    }
}

static void price__packs_and_single_sheets(void **state)
{
    (void)state;
    Paper paper = parsed("letter,25 for 8.99");
    assert_int_equal(paper.pack_count, 25);
    assert_near(paper.pack_price, 8.99);
    paper = parsed("letter,0.79 each");
    assert_int_equal(paper.pack_count, 1);
    assert_near(paper.pack_price, 0.79);
    paper = parsed("letter,pack of 50");
    assert_int_equal(paper.pack_count, 50);
    assert_near(paper.pack_price, 0);
}

static void refused(const char *word, ErrorKind kind, const char *says);

static void properties__every_bad_form_is_refused(void **state)
{
    (void)state;
    static const struct { const char *word; ErrorKind kind; const char *says; } BAD[] = {
        {"letter,", ERROR_USAGE, "is not known"},
        {"letter,,grained", ERROR_USAGE, "is not known"},
        {",grained", ERROR_USAGE, "letter, legal"},
        {"grained", ERROR_USAGE, "letter, legal"},
        {"letter,shiny", ERROR_USAGE, "grained, textured"},
        {"letter,65", ERROR_USAGE, "65lb"},
        {"letter,65kg", ERROR_USAGE, "65lb"},
        {"letter,lb", ERROR_USAGE, "is not known"},
        {"letter,0gsm", ERROR_USAGE, "20gsm to 3000gsm"},
        {"letter,-250gsm", ERROR_USAGE, "20gsm to 3000gsm"},
        {"letter,nangsm", ERROR_USAGE, ""},
        {"letter,1e9lb", ERROR_USAGE, "20gsm to 3000gsm"},
        {"letter,65lb,250gsm", ERROR_USAGE, "say one of them"},
        {"letter,grained,textured", ERROR_USAGE, "say one of them"},
        {"letter,white-core,white-core", ERROR_USAGE, "say one of them"},
        {"letter,25 for 8.99,0.79 each", ERROR_USAGE, "say one of them"},
        {"letter,from 22x28,from 22x28", ERROR_USAGE, "say one of them"},
        {"letter,from", ERROR_USAGE, "board"},
        {"letter,from nowhere", ERROR_USAGE, "board"},
        {"letter,from 8x10", ERROR_JOB, "larger board"},
        {"11x24,from 20x22", ERROR_JOB, "no sheet of 11x24in comes out of a board of 20x22in"},
        {"letter,0 for 3", ERROR_USAGE, "whole number"},
        {"letter,2.5 for 3", ERROR_USAGE, "whole number"},
        {"letter,1e9 for 3", ERROR_USAGE, "whole number"},
        {"letter,pack of 0", ERROR_USAGE, "whole number"},
        {"letter,pack of many", ERROR_USAGE, "is not known"},
        {"letter,25 for 0", ERROR_USAGE, "above 0"},
        {"letter,25 for -1", ERROR_USAGE, "above 0"},
        {"letter,25 for 1e9", ERROR_USAGE, "above 0"},
        {"letter,0 each", ERROR_USAGE, "above 0"},
        {"letter,25 for 8,99", ERROR_USAGE, "\"99\" is not known"},
        {"letter,for 8.99", ERROR_USAGE, "is not known"},
        {"letter,25 for", ERROR_USAGE, "is not known"},
        {"letter,a-property-that-goes-on-and-on-and-on-and-on-and-on-and-on-and-on", ERROR_USAGE, "is not known"},
        {"letter,\x01\xff", ERROR_USAGE, "\"??\""},
    };
    for (size_t i = 0; i < sizeof BAD / sizeof BAD[0]; i++) refused(BAD[i].word, BAD[i].kind, BAD[i].says);
}

static void word__unknown_names_what_works(void **state)
{
    (void)state;
    static const char *const WORDS[] = {"", "paper", "a11", "c4", "x", "12x", "x12", "12x12x12", "letter\n", "xl", "2\tinx324", "12x12\x7f",
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

static void usable__is_the_sheet_less_the_loss(void **state)
{
    (void)state;
    Paper paper = parsed("a4");
    paper.has_loss = true;
    const double loss[4] = {5, 6, 10, 20};
    for (int i = 0; i < 4; i++) paper.loss_mm[i] = loss[i];
    double box[4];
    paper_usable(&paper, box);
    assert_near(box[0], 5);
    assert_near(box[1], 6);
    assert_near(box[2], 195);
    assert_near(box[3], 271);
    assert_near(paper_nest_space(&paper).width_mm, 195);
    assert_near(paper_fit_space(&paper).height_mm, 270);
}

static void space__is_upright_where_the_paper_has_a_direction(void **state)
{
    (void)state;
    Paper plain = parsed("a4"), grained = parsed("a4,grained"), textured = parsed("a4,textured");
    assert_false(paper_fit_space(&plain).upright || paper_nest_space(&plain).upright);
    assert_true(paper_fit_space(&grained).upright && paper_nest_space(&grained).upright);
    assert_true(paper_fit_space(&textured).upright);
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

static void common_ground__is_what_all_sizes_have(void **state)
{
    (void)state;
    Paper paper;
    Error err = {0};
    assert_true(paper_parse("letter+a4, 65lb", &paper, &err));
    assert_string_equal(paper.id, "letter+a4");
    assert_near(paper.width_mm, 210);
    assert_near(paper.height_mm, 279.4);
    assert_near(paper.gsm, paper_gsm_of_pounds(65, 20, 26));
    assert_true(paper_is_common(&paper));
    Space space = paper_nest_space(&paper);
    assert_near(space.width_mm, 210 - 12.7);
    assert_near(space.height_mm, 279.4 - 12.7);
    assert_true(paper_parse("A4 + 12x12 + 20x40cm", &paper, &err));
    assert_string_equal(paper.id, "a4+12x12in+20x40cm");
    assert_near(paper.width_mm, 200);
    assert_near(paper.height_mm, 297);
    assert_true(paper_parse("letter", &paper, &err));
    assert_false(paper_is_common(&paper));
}

static void common_ground__every_bad_form_is_refused(void **state)
{
    (void)state;
    static const char *const BAD[] = {"letter+", "+letter", "letter++a4", "letter+a44", "letter+250gsm", "+", "letter+a4+legal+12x12+tabloid+a3", "12x12+x"};
    for (size_t i = 0; i < sizeof BAD / sizeof BAD[0]; i++) {
        Paper paper;
        Error err = {0};
        assert_false(paper_parse(BAD[i], &paper, &err));
        assert_int_equal(err.kind, ERROR_USAGE);
        assert_true(strlen(err.text) > 20);
    }
    Paper paper;
    Error err = {0};
    assert_false(paper_parse("letter, from 22x28+20x26", &paper, &err)); // boards have none
    assert_int_equal(err.kind, ERROR_USAGE);
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
        cmocka_unit_test(weight__pounds_follow_from_their_definition),
        cmocka_unit_test(properties__each_word_sets_its_field),
        cmocka_unit_test(properties__order_blanks_and_case_do_not_matter),
        cmocka_unit_test(properties__each_makes_another_paper),
        cmocka_unit_test(price__packs_and_single_sheets),
        cmocka_unit_test(properties__every_bad_form_is_refused),
        cmocka_unit_test(word__unknown_names_what_works),
        cmocka_unit_test(size__nonsense_is_a_wrong_command),
        cmocka_unit_test(size__smaller_than_the_allowance_cannot_be_done),
        cmocka_unit_test(usable__letter_leaves_8_by_10_5_inches),
        cmocka_unit_test(usable__is_the_sheet_less_the_loss),
        cmocka_unit_test(space__is_upright_where_the_paper_has_a_direction),
        cmocka_unit_test(space__fit_is_a_millimetre_less_than_nest),
        cmocka_unit_test(common_ground__is_what_all_sizes_have),
        cmocka_unit_test(common_ground__every_bad_form_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
