// test_tools.c - which line marks are made with: every cutter, every wish, every paper.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "job/tools.h"

#include <string.h>

static Settings settings_of(const char *cutter, const char *marks)
{
    Settings settings = settings_defaults();
    Error err = {0};
    if (cutter) assert_true(settings.has_cutter = cutter_parse(cutter, &settings.cutter, &err));
    for (const char *c = marks; *c; c++) settings.marks[settings.mark_count++] = *c == 's' ? MARK_SCORE : MARK_PEN;
    return settings;
}

static Paper paper_of(const char *word)
{
    Paper paper;
    Error err = {0};
    assert_true(paper_parse(word, &paper, &err));
    return paper;
}

// "-" = no marks, "x" = refused
static const char *line_word(const Settings *settings, const char *paper_word)
{
    Tools tools;
    Error err = {0};
    MarkLine line;
    Paper paper = paper_of(paper_word);
    if (!tools_choose(settings, &tools, &err)) return "x";
    if (!tools_line(&tools, &paper, &line)) return "-";
    return line == MARK_SCORE ? "score" : line == MARK_PEN ? "pen" : "cut";
}

static void line__follows_cutter_wish_and_paper(void **state)
{
    (void)state;
    static const char *const PAPERS[] = {"letter", "letter,no-score", "letter,no-pen", "letter,no-score,no-pen"};
    static const struct { const char *cutter, *marks, *lines[4]; } CASES[] = {
        {NULL, "", {"score", "-", "score", "-"}},
        {NULL, "s", {"score", "-", "score", "-"}},
        {NULL, "p", {"pen", "pen", "-", "-"}},
        {NULL, "sp", {"score", "pen", "score", "-"}},
        {NULL, "ps", {"pen", "pen", "score", "-"}},
        {"12x24,score,pen", "", {"score", "-", "score", "-"}},
        {"12x24,score,pen", "p", {"pen", "pen", "-", "-"}},
        {"12x24,score,pen", "sp", {"score", "pen", "score", "-"}},
        {"12x24,score,pen", "ps", {"pen", "pen", "score", "-"}},
        {"12x24,score", "", {"score", "-", "score", "-"}},
        {"12x24,score", "p", {"x", "x", "x", "x"}},
        {"12x24,score", "sp", {"x", "x", "x", "x"}},
        {"12x24,pen", "", {"pen", "pen", "-", "-"}},
        {"12x24,pen", "s", {"x", "x", "x", "x"}},
        {"12x24", "", {"cut", "cut", "cut", "-"}},
        {"12x24", "s", {"x", "x", "x", "x"}},
        {"12x24", "p", {"x", "x", "x", "x"}},
    };
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++)
        for (int p = 0; p < 4; p++) {
            Settings settings = settings_of(CASES[i].cutter, CASES[i].marks);
            const char *found = line_word(&settings, PAPERS[p]);
            if (strcmp(found, CASES[i].lines[p]) != 0)
                fail_msg("%s, marks %s, %s: %s", CASES[i].cutter ? CASES[i].cutter : "no cutter", CASES[i].marks, PAPERS[p], found);
        }
}

static void refusal__says_what_the_cutter_has(void **state)
{
    (void)state;
    static const struct { const char *cutter, *marks, *says; } CASES[] = {
        {"12x24,score", "p", "(12x24in) has no pen; it has score, so --marks score would work"},
        {"12x24,pen", "ps", "has no score; it has pen, so --marks pen would work"},
        {"12x24", "s", "has no score: its blade is alone"},
    };
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        Settings settings = settings_of(CASES[i].cutter, CASES[i].marks);
        Tools tools;
        Error err = {0};
        assert_false(tools_choose(&settings, &tools, &err));
        assert_int_equal(err.kind, ERROR_JOB);
        if (!strstr(err.text, CASES[i].says)) fail_msg("%s", err.text);
    }
}

static void options__inset_and_lines_reach_the_marks(void **state)
{
    (void)state;
    Settings settings = settings_of("12x24,score,pen", "");
    Tools tools;
    Error err = {0};
    assert_true(tools_choose(&settings, &tools, &err));
    Paper plain = paper_of("letter"), refuses = paper_of("letter,no-score"), no_pen = paper_of("letter,no-pen");
    MarkOptions options = tools_mark_options(&tools, &settings, &plain), usual = mark_defaults(MARK_SCORE);
    assert_true(options.line == MARK_SCORE && options.inset_mm == usual.inset_mm && options.hide_mm == usual.hide_mm);
    assert_false(options.no_marks || options.no_pen);
    assert_true(tools_mark_options(&tools, &settings, &refuses).no_marks);
    assert_true(tools_mark_options(&tools, &settings, &no_pen).no_pen);
    assert_false(options.pen_missing);
    Settings no_tools = settings_of("12x24", "");
    assert_true(tools_mark_options(&tools, &no_tools, &plain).pen_missing);
    settings.inset_mm = 3.0;
    assert_true(tools_mark_options(&tools, &settings, &plain).inset_mm == 3.0);
    settings.inset_mm = 0.5; // nearer to the edge than lines are hidden as a rule
    options = tools_mark_options(&tools, &settings, &plain);
    assert_true(options.inset_mm == 0.5 && options.hide_mm > 0.0 && options.hide_mm < 0.5);
}

static void unmarked__names_the_remedy_where_there_is_one(void **state)
{
    (void)state;
    static const struct { const char *cutter, *marks, *paper, *says; } CASES[] = {
        {"12x24,score,pen", "", "letter,no-score", "takes no score; --marks score,pen would mark them"},
        {"12x24,score", "", "letter,no-score", "takes no score; the guide's map"},
        {NULL, "", "letter,no-score", "takes no score; with a second tool --marks score,pen would mark them"},
        {NULL, "p", "letter,no-pen", "takes no pen; with a second tool --marks pen,score would mark them"},
        {"12x24,pen", "", "letter,no-pen", "takes no pen; the guide's map"},
        {"12x24,score,pen", "sp", "letter,no-score,no-pen", "takes neither score nor pen; the guide's map"},
        {"12x24", "", "letter,no-score,no-pen", "takes neither score nor pen; the guide's map"},
    };
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        Settings settings = settings_of(CASES[i].cutter, CASES[i].marks);
        Tools tools;
        Error err = {0};
        char text[300];
        Paper paper = paper_of(CASES[i].paper);
        assert_true(tools_choose(&settings, &tools, &err));
        tools_say_unmarked(&tools, &settings, &paper, "layer B", text);
        if (!strstr(text, CASES[i].says)) fail_msg("%s", text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(line__follows_cutter_wish_and_paper),
        cmocka_unit_test(refusal__says_what_the_cutter_has),
        cmocka_unit_test(options__inset_and_lines_reach_the_marks),
        cmocka_unit_test(unmarked__names_the_remedy_where_there_is_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
