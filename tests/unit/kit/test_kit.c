// The kit's files, from a kit made by hand. Golden sheets lie in golden/; PM_REFRESH=1 writes them anew.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/kit_case.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define GOLDEN PM_SOURCE_ROOT "/tests/unit/kit/golden/"

static Made *make(void)
{
    Made *made = prepare();
    make_files(made);
    return made;
}

static void assert_golden(const Made *made, const char *name, const char *golden)
{
    char path[512], found[65536] = {0}, *text = text_of(made, name);
    snprintf(path, sizeof path, "%s%s", GOLDEN, golden);
    if (getenv("PM_REFRESH")) {
        FILE *out = fopen(path, "wb");
        assert_non_null(out);
        fputs(text, out);
        fclose(out);
    }
    FILE *in = fopen(path, "rb");
    if (!in) fail_msg("%s is missing", path);
    size_t size = fread(found, 1, sizeof found - 1, in);
    fclose(in);
    found[size] = 0;
    assert_string_equal(text, found);
    free(text);
}

static void files__are_named_by_colour_number_height_and_box_and_sorted(void **state)
{
    (void)state;
    Made *made = make();
    static const char *const NAMES[] = {"READ-ME-FIRST.txt", "guide.html", "guide.pdf", "key-plan.svg", "kit.json",
                                        "sheets/00-test-letter-8x10.5in.svg", "sheets/ring-11.81in-navy-1-of-1-8x10.5in.svg",
                                        "sheets/ring-11.81in-navy-print-letter.pdf", "sheets/ring-11.81in-white-1-of-2-8x10.5in.svg",
                                        "sheets/ring-11.81in-white-2-of-2-8x10.5in.svg", "sheets/ring-11.81in-white-print-letter.pdf"};
    assert_int_equal(made->files.count, 11);
    for (int i = 0; i < 11; i++) assert_string_equal(made->files.items[i].name, NAMES[i]);
    drop(made);
}

static void sheets__are_exactly_the_golden_ones(void **state)
{
    (void)state;
    Made *made = make();
    assert_golden(made, "sheets/ring-11.81in-navy-1-of-1-8x10.5in.svg", "navy-1.svg");
    assert_golden(made, "sheets/ring-11.81in-white-1-of-2-8x10.5in.svg", "white-1.svg");
    assert_golden(made, "sheets/ring-11.81in-white-2-of-2-8x10.5in.svg", "white-2.svg");
    assert_golden(made, "kit.json", "kit.json");
    drop(made);
}

static void white_paper__is_never_filled_pure_white(void **state)
{
    (void)state;
    Made *made = make();
    char *sheet = text_of(made, "sheets/ring-11.81in-white-1-of-2-8x10.5in.svg");
    assert_non_null(strstr(sheet, "fill=\"#fdfdfb\""));
    assert_null(strstr(sheet, "#ffffff"));
    free(sheet);
    char *json = text_of(made, "kit.json");
    assert_non_null(strstr(json, "\"colour\": \"#ffffff\"")); // what the paper is
    free(json);
    drop(made);
}

static void sheets__use_only_the_four_commands_and_no_transform(void **state)
{
    (void)state;
    Made *made = make();
    for (int i = 0; i < made->files.count; i++) {
        const char *name = made->files.items[i].name;
        if (strncmp(name, "sheets/", 7) != 0 || strstr(name, ".pdf")) continue;
        char *text = text_of(made, made->files.items[i].name);
        assert_null(strstr(text, "transform"));
        for (const char *d = strstr(text, " d=\""); d; d = strstr(d, " d=\"")) {
            d += 4;
            size_t length = strcspn(d, "\"");
            assert_int_equal(strspn(d, "MLCZ -.0123456789"), length);
            d += length;
        }
        free(text);
    }
    drop(made);
}

static void marks__without_any_the_score_group_is_left_out(void **state)
{
    (void)state;
    Made *made = prepare();
    made->kit.marks[0].mark_count = 2; // those of A1
    made->kit.a_marks[2] = (Mark){.piece = 1, .kind = MARK_LABEL, .line = MARK_SCORE, .path = made->kit.a_marks[1].path};
    assert_true(kit_make(&made->kit.input, &made->keep, &made->work, &made->files, &made->err));
    char *text = text_of(made, "sheets/ring-11.81in-white-1-of-2-8x10.5in.svg");
    assert_non_null(strstr(text, "<g id=\"score\">"));
    assert_null(strstr(text, "<g id=\"pen\">"));
    free(text);
    drop(made);

    made = prepare();
    for (int i = 0; i < 5; i++) made->kit.a_marks[i].line = MARK_CUT;
    for (int i = 0; i < 2; i++) made->kit.papers[i].line = MARK_CUT;
    assert_true(kit_make(&made->kit.input, &made->keep, &made->work, &made->files, &made->err));
    text = text_of(made, "sheets/ring-11.81in-white-1-of-2-8x10.5in.svg");
    assert_null(strstr(text, "<g id=\"score\">")); // its marks are short cuts in the cut path, and nothing is noted
    assert_non_null(strstr(text, "M49.95 156.85"));
    free(text);
    text = text_of(made, "sheets/ring-11.81in-navy-1-of-1-8x10.5in.svg");
    assert_null(strstr(text, "<g id=\"score\">"));
    free(text);
    drop(made);
}

static void notes__follow_the_line_of_the_marks(void **state)
{
    (void)state;
    Made *made = prepare();
    for (int i = 0; i < 5; i++) made->kit.a_marks[i].line = MARK_PEN;
    for (int i = 0; i < 2; i++) made->kit.papers[i].line = MARK_PEN;
    assert_true(kit_make(&made->kit.input, &made->keep, &made->work, &made->files, &made->err));
    char *text = text_of(made, "sheets/ring-11.81in-navy-1-of-1-8x10.5in.svg");
    assert_non_null(strstr(text, "<g id=\"pen\">"));
    assert_null(strstr(text, "<g id=\"score\">"));
    free(text);
    drop(made);
}

static void names__are_safe_and_two_papers_of_one_colour_are_told_apart(void **state)
{
    (void)state;
    Made *made = prepare();
    made->kit.input.name = "a/b <c>";
    snprintf(made->kit.papers[0].colour_name, 32, "dark navy");
    snprintf(made->kit.papers[1].colour_name, 32, "dark navy");
    made->kit.papers[1].paper = (Paper){.id = "12x12in", .width_mm = 12 * 25.4, .height_mm = 12 * 25.4};
    assert_true(kit_make(&made->kit.input, &made->keep, &made->work, &made->files, &made->err));
    assert_non_null(file_find(&made->files, "sheets/a-b-c-11.81in-letter-dark-navy-1-of-2-8x10.5in.svg"));
    assert_non_null(file_find(&made->files, "sheets/a-b-c-11.81in-12x12in-dark-navy-1-of-1-11.5x11.5in.svg"));
    drop(made);
}

static void key_plan__names_every_piece_and_layer(void **state)
{
    (void)state;
    Made *made = make();
    char *text = text_of(made, "key-plan.svg");
    assert_non_null(strstr(text, ">A1</text>"));
    assert_non_null(strstr(text, ">A2</text>"));
    assert_non_null(strstr(text, ">B1</text>"));
    assert_non_null(strstr(text, "A  white: 2 pieces, letter"));
    assert_non_null(strstr(text, "seam in sight"));
    assert_non_null(strstr(text, "11.81 in tall"));
    free(text);
    drop(made);
}

static void key_plan__a_piece_that_is_covered_is_named_beside_a_ring(void **state)
{
    (void)state;
    Made *made = prepare();
    Rings all = made->kit.layers[0].rings; // the upper layer covers all of the base
    made->kit.b[0].rings = all;
    made->kit.layers[0].cover = all;
    assert_true(kit_make(&made->kit.input, &made->keep, &made->work, &made->files, &made->err));
    char *text = text_of(made, "key-plan.svg");
    assert_non_null(strstr(text, "r=\"0.7\" fill=\"#ffffff\""));
    assert_non_null(strstr(text, "a piece that higher layers cover"));
    assert_non_null(strstr(text, ">A2</text>"));
    assert_null(strstr(text, "stroke-width=\"0.6\"")); // no line from the margin crosses the picture
    free(text);
    drop(made);
}

static void piece_on_no_sheet__is_refused(void **state)
{
    (void)state;
    Made *made = prepare();
    made->kit.places[0][1].sheet = 7;
    assert_false(kit_make(&made->kit.input, &made->keep, &made->work, &made->files, &made->err));
    assert_non_null(strstr(made->err.text, "A2"));
    assert_int_equal(made->files.count, 0);
    drop(made);
}

static void twice__gives_the_same_bytes(void **state)
{
    (void)state;
    Made *one = make(), *two = make();
    for (int i = 0; i < one->files.count; i++) {
        assert_int_equal(one->files.items[i].size_bytes, two->files.items[i].size_bytes);
        assert_memory_equal(one->files.items[i].bytes, two->files.items[i].bytes, one->files.items[i].size_bytes);
    }
    drop(one);
    drop(two);
}

static void little_memory__is_said_at_every_step(void **state)
{
    (void)state;
    int refused = 0;
    for (int64_t after = 0; after < 600; after = after < 30 ? after + 1 : after * 4 / 3) {
        for (int which = 0; which < 2; which++) {
            Made *made = prepare();
            if (which) made->keep.fail_after = after;
            else made->work.scratch.fail_after = after;
            if (!kit_make(&made->kit.input, &made->keep, &made->work, &made->files, &made->err)) {
                assert_int_equal(made->err.kind, ERROR_SYSTEM);
                refused++;
            }
            drop(made);
        }
    }
    assert_true(refused > 50);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(files__are_named_by_colour_number_height_and_box_and_sorted),
        cmocka_unit_test(sheets__are_exactly_the_golden_ones),
        cmocka_unit_test(white_paper__is_never_filled_pure_white),
        cmocka_unit_test(sheets__use_only_the_four_commands_and_no_transform),
        cmocka_unit_test(marks__without_any_the_score_group_is_left_out),
        cmocka_unit_test(notes__follow_the_line_of_the_marks),
        cmocka_unit_test(names__are_safe_and_two_papers_of_one_colour_are_told_apart),
        cmocka_unit_test(key_plan__names_every_piece_and_layer),
        cmocka_unit_test(key_plan__a_piece_that_is_covered_is_named_beside_a_ring),
        cmocka_unit_test(piece_on_no_sheet__is_refused),
        cmocka_unit_test(twice__gives_the_same_bytes),
        cmocka_unit_test(little_memory__is_said_at_every_step),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
