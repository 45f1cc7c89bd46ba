// Cutters: mats, rolls, tools, what they lose at a sheet's edges, and which papers they take.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "paper/cutter.h"

#include <math.h>
#include <string.h>

static Cutter parsed(const char *word)
{
    Cutter cutter;
    Error err = {0};
    bool done = cutter_parse(word, &cutter, &err);
    if (!done) print_error("%s: %s\n", word, err.text);
    assert_true(done);
    return cutter;
}

static Paper paper_of(const char *word)
{
    Paper paper;
    Error err = {0};
    assert_true(paper_parse(word, &paper, &err));
    return paper;
}

static void assert_near(double found, double expected)
{
    if (fabs(found - expected) > 1e-9) fail_msg("found %.9f, expected %.9f", found, expected);
}

static void assert_loss(const double found[4], double left, double top, double right, double bottom)
{
    const double expected[4] = {left, top, right, bottom};
    for (int i = 0; i < 4; i++) assert_near(found[i], expected[i]);
}

static void words__mat_tools_and_loss(void **state)
{
    (void)state;
    Cutter cutter = parsed("12x24,score,pen,loss 6mm");
    assert_near(cutter.mat_mm[0], 12 * 25.4);
    assert_near(cutter.mat_mm[1], 24 * 25.4);
    assert_true(cutter.score && cutter.pen && !cutter.is_roll);
    assert_loss(cutter.loss_mm, 6, 6, 6, 6);
    assert_string_equal(cutter.name, "12x24in");
    cutter = parsed(" A3 , loss 5mm 5mm 10mm 1/2in,Pen");
    assert_true(cutter.pen && !cutter.score);
    assert_loss(cutter.loss_mm, 5, 5, 10, 12.7);
    cutter = parsed("12x12");
    assert_true(!cutter.pen && !cutter.score);
    assert_loss(cutter.loss_mm, 6.35, 6.35, 6.35, 6.35);
    assert_loss(parsed("12x12,loss 0 0mm 0.0in 3mm").loss_mm, 0, 0, 0, 3);
}

static void words__a_roll_has_a_width_alone(void **state)
{
    (void)state;
    Cutter cutter = parsed("roll 12in,pen");
    assert_true(cutter.is_roll && cutter.pen);
    assert_near(cutter.mat_mm[0], 12 * 25.4);
    assert_near(cutter.mat_mm[1], 0);
    assert_string_equal(cutter.name, "roll of 12in");
}

static void words__every_bad_form_is_refused(void **state)
{
    (void)state;
    static const struct { const char *word, *says; } BAD[] = {
        {"", "is not known"},
        {"score,pen", "mat"},
        {"12x24,", "is not known"},
        {"12x24,,pen", "is not known"},
        {"12x24,laser", "score, pen"},
        {"12x24,score,score", "twice"},
        {"12x24,loss 6mm,loss 6mm", "twice"},
        {"12x24,loss", "is not known"},
        {"12x24,loss ", "is not known"},
        {"12x24,loss 6", "unit"},
        {"12x24,loss\t6mm", "is not known"},
        {"12x24\t,pen", "is not known"},
        {"12x24,loss -6mm", "more than 0"},
        {"12x24,loss .mm", "length"},
        {"12x24,loss 1mm 2mm", "four"},
        {"12x24,loss 1mm 2mm 3mm", "four"},
        {"12x24,loss 1mm 2mm 3mm 4mm 5mm", "four"},
        {"12x24,loss 1m", "200 mm"},
        {"roll", "roll's width"},
        {"roll 12", "unit"},
        {"roll 0in", "more than 0"},
        {"roll 1mm", "less than an inch"},
        {"0.5x12", "less than an inch"},
        {"12x30m", "20 m"},
        {"12x24,a-tool-whose-name-goes-on-and-on-and-on-and-on-and-on-and-on-and-on-and-on", "is not known"},
    };
    for (size_t i = 0; i < sizeof BAD / sizeof BAD[0]; i++) {
        Cutter cutter;
        memset(&cutter, 1, sizeof cutter);
        Error err = {0};
        bool done = cutter_parse(BAD[i].word, &cutter, &err);
        if (done || err.kind != ERROR_USAGE || !strstr(err.text, BAD[i].says))
            fail_msg("\"%s\": %s, kind %d, \"%s\"", BAD[i].word, done ? "taken" : "refused", (int)err.kind, err.text);
        assert_near(cutter.mat_mm[0], 0);
    }
}

static void paper__gets_the_loss_of_its_edges(void **state)
{
    (void)state;
    Cutter cutter = parsed("12x24,loss 5mm 6mm 10mm 20mm");
    Paper paper = paper_of("12x24");
    Error err = {0};
    assert_true(cutter_take_paper(&cutter, &paper, &err));
    assert_true(paper.has_loss);
    assert_loss(paper.loss_mm, 5, 6, 10, 20);
    double box[4];
    paper_usable(&paper, box);
    assert_near(box[2], 12 * 25.4 - 15);
    assert_near(box[3], 24 * 25.4 - 26);
}

// Turned clockwise the sheet's left edge lies at the mat's top, turned the other way at its bottom.
static void paper__that_lies_turned_is_safe_either_way(void **state)
{
    (void)state;
    Cutter cutter = parsed("12x24,loss 5mm 6mm 10mm 20mm");
    Paper paper = paper_of("24x12");
    Error err = {0};
    assert_true(cutter_take_paper(&cutter, &paper, &err));
    assert_loss(paper.loss_mm, 20, 10, 20, 10);
}

static void paper__too_large_names_what_would_do(void **state)
{
    (void)state;
    static const struct { const char *cutter, *paper, *says; } BAD[] = {
        {"12x12", "11x24", "paper 11x24in is too large for the cutter (12x12in); letter, a4, 12x12 or 11x12in cut from it would do"},
        {"12x24", "22x28", "tabloid, a3, 12x24 or 12x24in cut from it"},
        {"4x6", "letter", "(4x6in); 4x6in cut from it"},
        {"roll 12in,pen", "poster-board", "letter, a4, legal, 12x12, tabloid, a3, 12x24 or 12x28in cut from it"},
        {"12x12", "a3", "297x304.8mm cut from it"},
    };
    for (size_t i = 0; i < sizeof BAD / sizeof BAD[0]; i++) {
        Cutter cutter = parsed(BAD[i].cutter);
        Paper paper = paper_of(BAD[i].paper);
        Error err = {0};
        if (cutter_take_paper(&cutter, &paper, &err) || err.kind != ERROR_JOB || !strstr(err.text, BAD[i].says))
            fail_msg("%s on %s: \"%s\"", BAD[i].paper, BAD[i].cutter, err.text);
    }
}

static void paper__a_roll_takes_any_length(void **state)
{
    (void)state;
    Cutter cutter = parsed("roll 12in,loss 0 10mm 0 10mm");
    Error err = {0};
    Paper along = paper_of("12x120"), across = paper_of("120x12");
    assert_true(cutter_take_paper(&cutter, &along, &err));
    assert_loss(along.loss_mm, 0, 10, 0, 10);
    assert_true(cutter_take_paper(&cutter, &across, &err));
    assert_loss(across.loss_mm, 10, 0, 10, 0);
}

static void paper__with_nothing_left_is_refused(void **state)
{
    (void)state;
    Cutter cutter = parsed("12x12,loss 60mm");
    Paper paper = paper_of("5x5");
    Error err = {0};
    assert_false(cutter_take_paper(&cutter, &paper, &err));
    assert_int_equal(err.kind, ERROR_JOB);
    assert_non_null(strstr(err.text, "smaller loss"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(words__mat_tools_and_loss),
        cmocka_unit_test(words__a_roll_has_a_width_alone),
        cmocka_unit_test(words__every_bad_form_is_refused),
        cmocka_unit_test(paper__gets_the_loss_of_its_edges),
        cmocka_unit_test(paper__that_lies_turned_is_safe_either_way),
        cmocka_unit_test(paper__too_large_names_what_would_do),
        cmocka_unit_test(paper__a_roll_takes_any_length),
        cmocka_unit_test(paper__with_nothing_left_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
