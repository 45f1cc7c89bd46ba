// test_match.c - ticks and letters across seams of square cells.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "mark/match_name.h"
#include "support/mark_case.h"

#include <string.h>

typedef struct MatchCase {
    PaperCase test;
    Stack stack;
    LayerPieces *pieces;
    LayerMarks base, next; // of the two lowest layers
} MatchCase;

static MatchCase matched(const char *const *lines, int line_count, double cell_mm, double tile_mm, MarkLine line)
{
    MatchCase m = {.test = paper_case_open()};
    PaperCase *test = &m.test;
    MarkOptions marks = mark_defaults(line);
    StackOptions options = stack_defaults();
    Outlines outlines = grid_map(lines, line_count, cell_mm, 0.0, &test->keep);
    must(test, stack_make(&outlines, &options, &test->keep, &test->work, &m.stack, &test->err));
    m.pieces = arena_new(&test->keep, LayerPieces, m.stack.layer_count);
    for (int i = 0; i < m.stack.layer_count; i++) m.pieces[i] = pieces_by_grid(test, &m.stack, i, tile_mm);
    must(test, mark_layer(&m.stack, m.pieces, 0, &marks, &test->keep, &test->work, &m.base, &test->err));
    must(test, mark_layer(&m.stack, m.pieces, 1, &marks, &test->keep, &test->work, &m.next, &test->err));
    marks_keep_the_laws(test, &m.stack, &m.pieces[0], &m.base, &marks);
    marks_keep_the_laws(test, &m.stack, &m.pieces[1], &m.next, &marks);
    return m;
}
#define MATCHED(cell_mm, tile_mm, line, ...)                                                                           \
    matched((const char *const[]){__VA_ARGS__}, (int)(sizeof((const char *const[]){__VA_ARGS__}) / sizeof(char *)),    \
            cell_mm, tile_mm, line)

static int match_count(const LayerMarks *marks)
{
    int count = 0;
    for (int i = 0; i < marks->mark_count; i++) count += marks->marks[i].kind == MARK_MATCH;
    return count;
}

static const Mark *match_at(const LayerMarks *marks, int index)
{
    for (int i = 0; i < marks->mark_count; i++)
        if (marks->marks[i].kind == MARK_MATCH && index-- == 0) return &marks->marks[i];
    return NULL;
}

// A bar of 200 x 60 mm, one seam across at 100 mm; the upper 40 mm are covered.
static void match__a_seam_that_is_partly_covered_gets_its_mark_there(void **state)
{
    (void)state;
    MatchCase m = MATCHED(20.0, 100.0, MARK_SCORE, "1122222211", "1122222211", "1111111111");
    assert_int_equal(m.pieces[0].seam_count, 1);
    assert_int_equal(match_count(&m.base), 2);
    assert_int_equal(m.base.unmarked_count, 0);
    for (int i = 0; i < 2; i++) {
        const Mark *mark = match_at(&m.base, i);
        assert_int_equal(mark->piece, i);
        assert_string_equal(mark->text, "A");
        assert_true(mark->path.part_count > 1); // with its letter
        Curve tick = mark->path.curves[0];
        assert_int_equal(abs(tick.p0.x - 100000), 100); // beside the seam
        assert_true(tick.p0.y < 40000);
        assert_int_equal(tick.p3.x, i == 0 ? 96000 : 104000); // straight across
        assert_int_equal(tick.p3.y, tick.p0.y);
    }
    paper_case_close(&m.test);
}

static Box letters_box(const Mark *mark)
{
    Box box = box_empty();
    for (int i = 1; i < mark->path.curve_count; i++) {
        box_add(&box, mark->path.curves[i].p0);
        box_add(&box, mark->path.curves[i].p3);
    }
    return box;
}

static void match__letters_are_as_high_as_asked_and_upright(void **state)
{
    (void)state;
    MatchCase score = MATCHED(20.0, 100.0, MARK_SCORE, "1122222211", "1122222211", "1111111111");
    MatchCase pen = MATCHED(20.0, 100.0, MARK_PEN, "1122222211", "1122222211", "1111111111");
    assert_true(fabs(box_height_mm(letters_box(match_at(&score.base, 0))) - 10.0) < 0.01);
    assert_true(fabs(box_height_mm(letters_box(match_at(&pen.base, 1))) - 8.0) < 0.01);
    assert_int_equal(match_at(&pen.base, 1)->line, MARK_PEN);
    paper_case_close(&score.test);
    paper_case_close(&pen.test);
}

static void match__a_seam_in_sight_gets_a_letter_but_no_mark(void **state)
{
    (void)state;
    MatchCase m = MATCHED(20.0, 100.0, MARK_SCORE, "1222111111", "1222111111", "1111111111");
    assert_int_equal(m.pieces[0].seam_count, 1);
    assert_int_equal(match_count(&m.base), 0);
    assert_int_equal(m.base.unmarked_count, 1);
    assert_int_equal(m.base.seam_count, 1);
    assert_string_equal(m.base.seam_letters[0], "A");
    paper_case_close(&m.test);
}

// 2 covers 3 mm beyond the seam: not enough for half a tick and its distance from what is seen.
static void match__too_little_cover_beside_the_seam_gets_none(void **state)
{
    (void)state;
    MatchCase m = MATCHED(3.0, 33.0, MARK_SCORE, "11222222222211111111", "11222222222211111111", "11222222222211111111",
                          "11111111111111111111");
    assert_int_equal(m.pieces[0].seam_count, 1);
    assert_int_equal(m.base.unmarked_count, 1);
    paper_case_close(&m.test);
}

// A strip of 7.5 mm across the seam, with two placement lines in it: nothing but a tick, and lines give way to it.
static void match__a_narrow_place_gets_a_tick_alone(void **state)
{
    (void)state;
    MatchCase m = MATCHED(4.0, 40.0, MARK_SCORE, "11111111111111111111", "11222222222222222211", "11111111111111111111");
    assert_int_equal(m.pieces[0].seam_count, 1);
    assert_int_equal(match_count(&m.base), 2);
    assert_int_equal(match_at(&m.base, 0)->path.curve_count, 1);
    paper_case_close(&m.test);
}

// The layer above the base reaches 6 mm under 3; its seam is covered there and nowhere else.
static void match__an_underlap_is_room_enough(void **state)
{
    (void)state;
    MatchCase m = MATCHED(20.0, 100.0, MARK_SCORE, "1111111111", "1222222221", "1223333221", "1223333221", "1222222221", "1111111111");
    assert_true(m.pieces[1].seam_count > 0);
    assert_true(match_count(&m.next) > 0);
    for (int i = 0; i < match_count(&m.next); i++) {
        Box box = letters_box(match_at(&m.next, i));
        assert_true(fabs(fmax(box_width_mm(box), box_height_mm(box)) - 6.0) < 0.01); // along or across the rim
    }
    paper_case_close(&m.test);
}

static void match__long_seams_get_two_ticks_near_the_ends_of_their_cover(void **state)
{
    (void)state;
    MatchCase m = MATCHED(20.0, 100.0, MARK_SCORE, "1111111111", "1111221111", "1111221111", "1111221111", "1111221111");
    assert_int_equal(m.pieces[0].seam_count, 1);
    assert_int_equal(match_count(&m.base), 4);
    double first = match_at(&m.base, 0)->path.curves[0].p0.y / UM_PER_MM, second = match_at(&m.base, 1)->path.curves[0].p0.y / UM_PER_MM;
    assert_true(fmin(first, second) < 45.0 && fmax(first, second) > 75.0); // covered from 20 to 100 mm
    paper_case_close(&m.test);
}

static void match__a_blade_alone_makes_none(void **state)
{
    (void)state;
    MatchCase m = MATCHED(20.0, 100.0, MARK_CUT, "1122222211", "1122222211", "1111111111");
    assert_int_equal(match_count(&m.base), 0);
    assert_int_equal(m.base.unmarked_count, 1);
    assert_string_equal(m.base.seam_letters[0], "A"); // the guide names it all the same
    paper_case_close(&m.test);
}

// ---- letters ----

static void match_name__is_unique_and_keeps_its_place(void **state)
{
    (void)state;
    static char names[2500][MATCH_NAME_MAX];
    for (int i = 0; i < 2500; i++) match_name(i, names[i]);
    assert_string_equal(names[0], "A");
    assert_string_equal(names[17], "Y");
    assert_int_equal(strlen(names[18]), 2);
    assert_int_equal(strlen(names[18 + 180]), 3);
    for (int i = 0; i < 2500; i++)
        for (int k = 0; k < i; k++) assert_string_not_equal(names[i], names[k]);
}

// What a name may be read as when the piece lies upside down; false when it is no name at all.
static bool upside_down(const char *name, char out[MATCH_NAME_MAX])
{
    static const char from[] = "HIMNOSWXZ", to[] = "HIWNOSMXZ";
    size_t length = strlen(name);
    for (size_t i = 0; i < length; i++) {
        const char *at = strchr(from, name[length - 1 - i]);
        if (!at) return false;
        out[i] = to[at - from];
    }
    out[length] = '\0';
    return true;
}

static void match_name__reads_as_no_other_upside_down_nor_as_a_number(void **state)
{
    (void)state;
    static char names[2500][MATCH_NAME_MAX];
    for (int i = 0; i < 2500; i++) match_name(i, names[i]);
    for (int i = 0; i < 2500; i++) {
        char turned[MATCH_NAME_MAX];
        assert_null(strpbrk(names[i], "IOQMWZUV"));
        assert_null(strpbrk(names[i] + 1, "BDGSHNX"));
        for (size_t k = 1; names[i][k]; k++) assert_true(names[i][k] != names[i][k - 1]);
        if (!upside_down(names[i], turned)) continue;
        for (int k = 0; k < 2500; k++) assert_true(k == i || strcmp(turned, names[k]) != 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(match__a_seam_that_is_partly_covered_gets_its_mark_there),
        cmocka_unit_test(match__letters_are_as_high_as_asked_and_upright),
        cmocka_unit_test(match__a_seam_in_sight_gets_a_letter_but_no_mark),
        cmocka_unit_test(match__too_little_cover_beside_the_seam_gets_none),
        cmocka_unit_test(match__a_narrow_place_gets_a_tick_alone),
        cmocka_unit_test(match__an_underlap_is_room_enough),
        cmocka_unit_test(match__long_seams_get_two_ticks_near_the_ends_of_their_cover),
        cmocka_unit_test(match__a_blade_alone_makes_none),
        cmocka_unit_test(match_name__is_unique_and_keeps_its_place),
        cmocka_unit_test(match_name__reads_as_no_other_upside_down_nor_as_a_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
