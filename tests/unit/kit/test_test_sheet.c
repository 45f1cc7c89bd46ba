// The test sheets of a kit made by hand.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/kit_case.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define LETTER "sheets/00-test-letter-8x10.5in.svg"

static int test_sheet_count(const Made *made)
{
    int count = 0;
    for (int i = 0; i < made->files.count; i++) count += strncmp(made->files.items[i].name, "sheets/00-test-", 15) == 0;
    return count;
}

// Corners of the ring that starts with the n-th M of the path that follows `from`.
static void box_of_ring(const char *from, int n, double box[4])
{
    const char *at = strstr(from, " d=\"");
    assert_non_null(at);
    for (int i = 0; i <= n; i++) {
        at = strchr(at + 1, 'M');
        assert_non_null(at);
    }
    box[0] = box[1] = INFINITY;
    box[2] = box[3] = -INFINITY;
    for (at++; *at && !strchr("MZ\"", *at);) {
        char *end;
        double v[2];
        for (int k = 0; k < 2; k++) {
            while (strchr("LC ", *at)) at++;
            v[k] = strtod(at, &end);
            at = end;
        }
        while (*at && strchr("LC ", *at)) at++;
        for (int k = 0; k < 2; k++) {
            box[k] = fmin(box[k], v[k]);
            box[k + 2] = fmax(box[k + 2], v[k]);
        }
    }
}

static void square__is_two_inches_with_a_bridge_of_two_and_a_disc_of_eight_millimetres(void **state)
{
    (void)state;
    Made *made = prepare();
    make_files(made);
    char *text = text_of(made, LETTER);
    double one[4], two[4], square[4], disc[4], corner[4];
    box_of_ring(text, 1, corner);
    box_of_ring(text, 2, one);
    box_of_ring(text, 3, two);
    box_of_ring(text, 4, square);
    box_of_ring(text, 5, disc);
    assert_float_equal(corner[2], 6.35 + 8 * 25.4, 1e-3); // the drawn box ends here
    assert_float_equal(corner[3], 6.35 + 10.5 * 25.4, 1e-3);
    for (int k = 0; k < 2; k++) {
        assert_float_equal(square[k + 2] - square[k], 50.8, 1e-3);
        assert_float_equal(disc[k + 2] - disc[k], 8, 1e-3);
    }
    assert_float_equal(two[0] - one[2], 2, 1e-3);
    assert_true(one[0] > square[0] && two[2] < square[2] && one[1] > square[1] && one[3] < square[3]);
    assert_true(disc[0] > square[2] + 3 && disc[2] < corner[2]);
    free(text);
    drop(made);
}

static void line__of_the_tool_runs_one_and_a_half_millimetres_inside(void **state)
{
    (void)state;
    Made *made = prepare();
    make_files(made);
    char *text = text_of(made, LETTER);
    const char *score = strstr(text, "<g id=\"score\">");
    assert_non_null(score);
    double square[4], line[4];
    box_of_ring(text, 4, square);
    box_of_ring(score, 0, line);
    assert_float_equal(line[0] - square[0], 1.5, 1e-3);
    assert_float_equal(line[1] - square[1], 1.5, 1e-3);
    assert_true(line[2] < square[2] - 1.5 && line[3] < square[3] - 1.5);
    assert_null(strstr(text, "<g id=\"pen\">"));
    free(text);
    drop(made);
}

static void tools__each_that_the_kit_uses_has_its_line(void **state)
{
    (void)state;
    Made *made = prepare();
    made->kit.a_marks[0].line = MARK_PEN;
    make_files(made);
    char *text = text_of(made, LETTER);
    assert_non_null(strstr(text, "<g id=\"score\">"));
    assert_non_null(strstr(text, "<g id=\"pen\">"));
    free(text);
    drop(made);

    made = prepare();
    for (int i = 0; i < 5; i++) made->kit.a_marks[i].line = MARK_CUT;
    for (int i = 0; i < 2; i++) made->kit.papers[i].line = MARK_CUT;
    make_files(made);
    text = text_of(made, LETTER);
    assert_null(strstr(text, "<g id=\"score\">"));
    double dash[4], square[4] = {0};
    box_of_ring(text, 2, dash); // before what is cut out
    assert_null(strstr(text, "<g id=\"corners\">"));
    for (int i = 3; i < 40; i++) { // the square is the largest
        double ring[4];
        box_of_ring(text, i, ring);
        if (ring[2] - ring[0] > 50) memcpy(square, ring, sizeof square);
        if (ring[2] - ring[0] > 50) break;
    }
    assert_float_equal(dash[2] - dash[0], 1, 1e-3);
    assert_float_equal(dash[1] - square[1], 1.5, 1e-3);
    free(text);
    drop(made);
}

static void lines__with_a_file_each_have_a_test_sheet_each(void **state)
{
    (void)state;
    Made *made = prepare();
    made->kit.input.options.sheets_for = KIT_FOR_LINE;
    make_files(made);
    char *cut = text_of(made, "sheets/00-test-letter-8x10.5in-cut.svg"), *score = text_of(made, "sheets/00-test-letter-8x10.5in-score.svg");
    assert_null(file_find(&made->files, LETTER));
    assert_null(file_find(&made->files, "sheets/00-test-letter-8x10.5in-pen.svg")); // nothing is drawn by pen
    assert_null(strstr(cut, "<g id=\"score\">"));
    assert_null(strstr(score, "<g id=\"cut\">"));
    double corner[2][4];
    box_of_ring(cut, 0, corner[0]);
    box_of_ring(score, 0, corner[1]);
    for (int k = 0; k < 4; k++) assert_float_equal(corner[0][k], corner[1][k], 1e-9);
    free(cut);
    free(score);
    drop(made);
}

static void papers__of_one_size_share_a_test_sheet(void **state)
{
    (void)state;
    Made *made = prepare();
    make_files(made);
    assert_int_equal(test_sheet_count(made), 1);
    drop(made);
    made = prepare();
    made->kit.papers[1].paper = (Paper){.id = "12x12in", .width_mm = 12 * 25.4, .height_mm = 12 * 25.4};
    make_files(made);
    assert_int_equal(test_sheet_count(made), 2);
    char *text = text_of(made, "sheets/00-test-12x12in-11.5x11.5in.svg");
    assert_non_null(strstr(text, "fill=\"#1d2f5a\"")); // the first paper of this size
    free(text);
    drop(made);
}

static void small_paper__gets_a_square_of_one_inch_and_the_smallest_none(void **state)
{
    (void)state;
    Made *made = prepare();
    made->kit.papers[0].paper = (Paper){.id = "2.5x4in", .width_mm = 2.5 * 25.4, .height_mm = 4 * 25.4};
    made->kit.papers[1].paper = (Paper){.id = "1.5x2in", .width_mm = 1.5 * 25.4, .height_mm = 2 * 25.4};
    make_files(made);
    assert_int_equal(test_sheet_count(made), 1);
    char *text = text_of(made, "sheets/00-test-2.5x4in-2x3.5in.svg");
    double square[4];
    box_of_ring(text, 4, square);
    assert_float_equal(square[2] - square[0], 25.4, 1e-3);
    free(text);
    text = text_of(made, "READ-ME-FIRST.txt");
    assert_non_null(strstr(text, "1 in (25.4 mm) each way"));
    free(text);
    drop(made);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(square__is_two_inches_with_a_bridge_of_two_and_a_disc_of_eight_millimetres),
        cmocka_unit_test(line__of_the_tool_runs_one_and_a_half_millimetres_inside),
        cmocka_unit_test(tools__each_that_the_kit_uses_has_its_line),
        cmocka_unit_test(lines__with_a_file_each_have_a_test_sheet_each),
        cmocka_unit_test(papers__of_one_size_share_a_test_sheet),
        cmocka_unit_test(small_paper__gets_a_square_of_one_inch_and_the_smallest_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
