// How the sheets of a kit made by hand are parted into files.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/small_kit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct Made {
    Arena keep;
    Work work;
    SmallKit kit;
    FileSet files;
    Error err;
} Made;

static Made *make(KitFor sheets_for)
{
    Made *made = calloc(1, sizeof *made);
    assert_non_null(made);
    made->keep = arena_make(0);
    made->work = (Work){.scratch = arena_make(0)};
    assert_true(small_kit_make(&made->kit, &made->keep));
    made->kit.input.options.sheets_for = sheets_for;
    if (!kit_make(&made->kit.input, &made->keep, &made->work, &made->files, &made->err)) fail_msg("%s", made->err.text);
    return made;
}

static void drop(Made *made)
{
    arena_free(&made->keep);
    arena_free(&made->work.scratch);
    free(made);
}

static char *text_of(const Made *made, const char *name)
{
    const FileBytes *file = file_find(&made->files, name);
    if (!file) fail_msg("%s is missing", name);
    char *text = calloc(1, file->size_bytes + 1);
    memcpy(text, file->bytes, file->size_bytes);
    return text;
}

static int count_of(const char *text, const char *word)
{
    int count = 0;
    for (const char *at = strstr(text, word); at; at = strstr(at + 1, word)) count++;
    return count;
}

static int svg_count(const Made *made)
{
    int count = 0;
    for (int i = 0; i < made->files.count; i++)
        count += strncmp(made->files.items[i].name, "sheets/ring", 11) == 0 && strstr(made->files.items[i].name, ".svg") != NULL;
    return count;
}

static void words__find_their_form_and_back(void **state)
{
    (void)state;
    KitFor form = KIT_FOR_SHEET;
    for (int f = KIT_FOR_SHEET; f <= KIT_FOR_LINE; f++) {
        assert_true(kit_for_find(kit_for_word((KitFor)f), &form));
        assert_int_equal(form, f);
    }
    assert_false(kit_for_find("sheets", &form));
    assert_int_equal(form, KIT_FOR_LINE); // as it was
}

static void piece__has_a_group_of_its_name_for_each_line_kind(void **state)
{
    (void)state;
    Made *made = make(KIT_FOR_PIECE);
    char *text = text_of(made, "sheets/ring-11.81in-white-1-of-2-8x10.5in.svg");
    assert_int_equal(svg_count(made), 3);
    assert_int_equal(count_of(text, "<g id=\"cut\">"), 1);
    assert_int_equal(count_of(text, "<g id=\"corners\">"), 1);
    assert_int_equal(count_of(text, "<g id=\"A1\">"), 1);
    assert_int_equal(count_of(text, "<g id=\"A1-score\">"), 1);
    assert_int_equal(count_of(text, "<path"), 3);
    free(text);
    text = text_of(made, "sheets/ring-11.81in-navy-1-of-1-8x10.5in.svg");
    assert_int_equal(count_of(text, "<g id=\"notes-score\">"), 1);
    free(text);
    drop(made);
}

static void layer__has_a_file_a_paper_with_its_sheets_apart(void **state)
{
    (void)state;
    Made *made = make(KIT_FOR_LAYER);
    assert_int_equal(svg_count(made), 2);
    char *text = text_of(made, "sheets/ring-11.81in-white-1-to-2-16.894x10.5in.svg"), *json = text_of(made, "kit.json");
    assert_non_null(strstr(text, "width=\"441.8mm\" height=\"279.4mm\" viewBox=\"0 0 441.8 279.4\""));
    assert_int_equal(count_of(text, "<path"), 2);
    assert_non_null(strstr(text, "M6.35 6.35 L9.35 6.35"));
    assert_non_null(strstr(text, "M232.25 6.35 L235.25 6.35")); // 215.9 + 10 further right
    assert_non_null(strstr(json, "\"sheets_for\": \"layer\""));
    assert_non_null(strstr(json, "\"offset_mm\": [225.9, 0]"));
    assert_int_equal(count_of(json, "white-1-to-2-16.894x10.5in.svg"), 2);
    free(text);
    free(json);
    drop(made);
}

static void line__has_a_file_a_line_kind_with_the_same_corners(void **state)
{
    (void)state;
    Made *made = make(KIT_FOR_LINE);
    assert_int_equal(svg_count(made), 6);
    char *cut = text_of(made, "sheets/ring-11.81in-white-1-of-2-8x10.5in-cut.svg"),
         *score = text_of(made, "sheets/ring-11.81in-white-1-of-2-8x10.5in-score.svg"), *json = text_of(made, "kit.json");
    static const char CORNERS[] = "M6.35 6.35 L9.35 6.35 L6.35 9.35 Z M209.55 273.05 L206.55 273.05 L209.55 270.05 Z";
    assert_int_equal(count_of(cut, CORNERS), 1);
    assert_int_equal(count_of(score, CORNERS), 1);
    assert_int_equal(count_of(cut, "#b4581a"), 0);
    assert_int_equal(count_of(score, "#fdfdfb"), 0);
    assert_int_equal(count_of(score, "stroke-width"), 1);
    assert_non_null(strstr(json, "\"score\": \"sheets/ring-11.81in-white-1-of-2-8x10.5in-score.svg\""));
    free(cut);
    free(score);
    free(json);
    drop(made);
}

static void read_me__tells_what_to_do_with_the_files(void **state)
{
    (void)state;
    static const char *const WORDS[] = {"last thing", "group of its own", "10 mm apart", "-score run first"};
    for (int f = KIT_FOR_PIECE; f <= KIT_FOR_LINE; f++) {
        Made *made = make((KitFor)f);
        char *text = text_of(made, "READ-ME-FIRST.txt");
        assert_non_null(strstr(text, WORDS[f]));
        for (const char *line = text; *line; line += strcspn(line, "\n") + 1) assert_true(strcspn(line, "\n") <= 80);
        if (f == KIT_FOR_LAYER) assert_non_null(strstr(text, "white, letter        height 10.5 in (266.7 mm); the width is then 16.894 in"));
        free(text);
        drop(made);
    }
}

static void little_memory__is_said_whatever_the_form(void **state)
{
    (void)state;
    int refused = 0;
    for (int f = KIT_FOR_PIECE; f <= KIT_FOR_LINE; f++)
        for (int64_t after = 40; after < 400; after += 67) {
            Made *made = make((KitFor)f);
            Arena keep = arena_make(0);
            keep.fail_after = after;
            if (!kit_make(&made->kit.input, &keep, &made->work, &made->files, &made->err)) {
                assert_int_equal(made->err.kind, ERROR_SYSTEM);
                refused++;
            }
            arena_free(&keep);
            drop(made);
        }
    assert_true(refused > 5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(words__find_their_form_and_back),
        cmocka_unit_test(piece__has_a_group_of_its_name_for_each_line_kind),
        cmocka_unit_test(layer__has_a_file_a_paper_with_its_sheets_apart),
        cmocka_unit_test(line__has_a_file_a_line_kind_with_the_same_corners),
        cmocka_unit_test(read_me__tells_what_to_do_with_the_files),
        cmocka_unit_test(little_memory__is_said_whatever_the_form),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
