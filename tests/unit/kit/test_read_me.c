// The first text that somebody reads, of a kit made by hand.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/kit_case.h"

#include <stdlib.h>
#include <string.h>

// The kit's read-me with lines of this kind on its first layer.
static char *read_me_of(Made *made, MarkLine line)
{
    made->kit.papers[1].paper = (Paper){.id = "12x24in", .width_mm = 12 * 25.4, .height_mm = 24 * 25.4};
    for (int i = 0; i < 5; i++) made->kit.a_marks[i].line = line;
    for (int i = 0; i < 2; i++) made->kit.papers[i].line = line;
    made->kit.papers[0].paper.pack_count = 25;
    made->kit.papers[0].paper.pack_price = 8.9;
    made->kit.papers[1].paper.pack_count = 1;
    made->kit.papers[1].paper.pack_price = 0.125;
    made->kit.papers[1].paper.board_mm[0] = 24 * 25.4;
    made->kit.papers[1].paper.board_mm[1] = 36 * 25.4;
    make_files(made);
    return text_of(made, "READ-ME-FIRST.txt");
}

static void heights__stand_there_for_each_size_of_paper(void **state)
{
    (void)state;
    Made *made = prepare();
    char *text = read_me_of(made, MARK_SCORE);
    assert_non_null(strstr(text, "letter     height 10.5 in (266.7 mm); the width is then 8 in\n"));
    assert_non_null(strstr(text, "12x24in    height 23.5 in (596.9 mm); the width is then 11.5 in\n"));
    assert_non_null(strstr(text, "sheets/00-test-letter-8x10.5in.svg\n"));
    assert_non_null(strstr(text, "sheets/00-test-12x24in-11.5x23.5in.svg\n"));
    free(text);
    drop(made);
}

static void papers_and_layers__are_counted(void **state)
{
    (void)state;
    Made *made = prepare();
    char *text = read_me_of(made, MARK_SCORE);
    assert_non_null(strstr(text, "11.81 in tall, 7.87 in wide: 3 pieces on 3 sheets\n"));
    assert_non_null(strstr(text, "white          letter     2 sheets, 1 spare, for layer A\n    to buy: 3 sheets, 1 pack of 25, 8.90\n"));
    assert_non_null(strstr(text, "navy           12x24in    1 sheet, 1 spare, for layer B\n    to buy: 1 board of 24 x 36 in, 0.13\n"));
    assert_non_null(strstr(text, "whole packs and spares included: 9.03\n"));
    assert_non_null(strstr(text, "A   white          2 pieces\n"));
    assert_non_null(strstr(text, "B   navy           1 piece\n"));
    assert_non_null(strstr(text, "May this picture be used"));
    free(text);
    drop(made);
}

static void lines__only_those_of_this_kit_are_told(void **state)
{
    (void)state;
    Made *made = prepare();
    char *text = read_me_of(made, MARK_SCORE);
    assert_non_null(strstr(text, "#b4581a"));
    assert_null(strstr(text, "#2f6f5e"));
    assert_non_null(strstr(text, "its\n     top and left edges")); // of the test square
    free(text);
    drop(made);
    made = prepare();
    text = read_me_of(made, MARK_PEN);
    assert_null(strstr(text, "#b4581a"));
    assert_non_null(strstr(text, "#2f6f5e"));
    assert_non_null(strstr(text, "its\n     bottom and right edges"));
    free(text);
    drop(made);
    made = prepare();
    text = read_me_of(made, MARK_CUT);
    assert_null(strstr(text, "#b4581a"));
    assert_null(strstr(text, "#2f6f5e"));
    assert_non_null(strstr(text, "short cuts"));
    free(text);
    drop(made);
}

static void text__any_editor_shows_every_line_whole(void **state)
{
    (void)state;
    Made *made = prepare();
    char *text = read_me_of(made, MARK_SCORE);
    for (const char *line = text; *line; line += strcspn(line, "\n") + 1) {
        assert_true(strcspn(line, "\n") <= 80);
        for (const char *c = line; *c != '\n'; c++) assert_true(*c >= ' ' && *c < 127);
    }
    assert_int_equal(text[strlen(text) - 1], '\n');
    free(text);
    drop(made);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(heights__stand_there_for_each_size_of_paper),
        cmocka_unit_test(papers_and_layers__are_counted),
        cmocka_unit_test(lines__only_those_of_this_kit_are_told),
        cmocka_unit_test(text__any_editor_shows_every_line_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
