// test_mark.c - placement lines and labels on square cells.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/mark_case.h"

#include <math.h>
#include <string.h>

typedef struct MarkedStack {
    PaperCase test;
    Stack stack;
    LayerPieces *pieces;
    LayerMarks *marks;
    MarkOptions options;
} MarkedStack;

static MarkedStack marked(const char *const *lines, int line_count, double cell_mm, double tile_mm)
{
    MarkedStack m = {.test = paper_case_open(), .options = mark_defaults(MARK_SCORE)};
    PaperCase *test = &m.test;
    StackOptions options = stack_defaults();
    Outlines outlines = grid_map(lines, line_count, cell_mm, 0.0, &test->keep);
    must(test, stack_make(&outlines, &options, &test->keep, &test->work, &m.stack, &test->err));
    m.pieces = arena_new(&test->keep, LayerPieces, m.stack.layer_count);
    m.marks = arena_new(&test->keep, LayerMarks, m.stack.layer_count);
    for (int i = 0; i < m.stack.layer_count; i++) m.pieces[i] = pieces_by_grid(test, &m.stack, i, tile_mm);
    for (int i = 0; i < m.stack.layer_count; i++) {
        must(test, mark_layer(&m.stack, m.pieces, i, &m.options, &test->keep, &test->work, &m.marks[i], &test->err));
        marks_keep_the_laws(test, &m.stack, &m.pieces[i], &m.marks[i], &m.options);
    }
    return m;
}
#define MARKED(cell_mm, tile_mm, ...)                                                                                  \
    marked((const char *const[]){__VA_ARGS__}, (int)(sizeof((const char *const[]){__VA_ARGS__}) / sizeof(char *)),     \
           cell_mm, tile_mm)

static double length_of(const LayerMarks *marks, int piece, MarkKind kind)
{
    double length = 0.0;
    for (int i = 0; i < marks->mark_count; i++)
        if (marks->marks[i].piece == piece && marks->marks[i].kind == kind)
            for (int k = 0; k < marks->marks[i].path.curve_count; k++)
                length += point_distance_mm(marks->marks[i].path.curves[k].p0, marks->marks[i].path.curves[k].p3);
    return length;
}

static void mark__the_edge_of_the_next_layer_moves_inward(void **state)
{
    (void)state;
    MarkedStack m = MARKED(20.0, 500.0, "1111111", "1222221", "1222221", "1222221", "1111111");
    assert_int_equal(m.marks[0].mark_count, 2);
    // 100 x 60 mm, 1.5 mm inside
    assert_true(fabs(length_of(&m.marks[0], 0, MARK_PLACEMENT) - 2.0 * (97.0 + 57.0)) < 0.5);
    assert_int_equal(m.marks[0].marks[0].path.part_count, 1);
    paper_case_close(&m.test);
}

static void mark__top_layers_have_none(void **state)
{
    (void)state;
    MarkedStack m = MARKED(20.0, 500.0, "1111111", "1222221", "1222221", "1222221", "1111111");
    assert_int_equal(m.marks[1].mark_count, 0);
    assert_int_equal(m.marks[1].unlabelled_count, 1);
    paper_case_close(&m.test);
}

static void mark__lines_lie_on_the_topmost_layer_below(void **state)
{
    (void)state;
    // 3 lies in the middle of 2: its line belongs to 2, not to the base. 2 keeps a hole of 60 x 40 less 6 mm of
    // underlap all round; the edge of this hole is an edge of 2 as well.
    MarkedStack m = MARKED(20.0, 500.0, "111111111", "122222221", "122333221", "122333221", "122222221", "111111111");
    assert_true(fabs(length_of(&m.marks[0], 0, MARK_PLACEMENT) - 2.0 * (137.0 + 77.0) - 2.0 * (51.0 + 31.0)) < 4.0);
    // on the rim of 2 below 3 the line gives way to the name: two letters, one below the other
    double given_way = 2.0 * (57.0 + 37.0) - length_of(&m.marks[1], 0, MARK_PLACEMENT);
    assert_true(given_way > 12.0 && given_way < 17.0);
    assert_int_equal(m.marks[1].unlabelled_count, 0);
    paper_case_close(&m.test);
}

static void mark__lines_are_cut_at_seams(void **state)
{
    (void)state;
    MarkedStack m = MARKED(20.0, 70.0, "1111111", "1222221", "1222221", "1222221", "1111111");
    assert_int_equal(m.pieces[0].piece_count, 4);
    double sum = 0.0;
    for (int i = 0; i < 4; i++) sum += length_of(&m.marks[0], i, MARK_PLACEMENT);
    assert_true(fabs(sum - 2.0 * (97.0 + 57.0) + 2.0 * 2.0 * 1.0) < 0.5); // 0.5 mm on both sides of 4 crossings
    paper_case_close(&m.test);
}

static void mark__narrow_parts_get_a_smaller_inset(void **state)
{
    (void)state;
    // A strip of 4 mm: a quarter of its width, a little more for the ends, is less than 1.5 mm.
    MarkedStack m = MARKED(4.0, 500.0, "1111111111111111111111", "1111111111111111111111", "1222222222222222222221",
                           "1111111111111111111111", "1111111111111111111111");
    const Mark *mark = &m.marks[0].marks[0];
    assert_int_equal(mark->kind, MARK_PLACEMENT);
    Box box = box_empty();
    for (int i = 0; i < mark->path.curve_count; i++) box_add(&box, mark->path.curves[i].p0);
    assert_true(box_height_mm(box) > 1.9 && box_height_mm(box) < 2.2);
    paper_case_close(&m.test);
}

static void mark__label_is_ten_millimetres_where_there_is_room(void **state)
{
    (void)state;
    MarkedStack m = MARKED(20.0, 500.0, "1111111", "1222221", "1222221", "1222221", "1111111");
    const Mark *label = &m.marks[0].marks[1];
    assert_int_equal(label->kind, MARK_LABEL);
    Box box = box_empty();
    for (int i = 0; i < label->path.curve_count; i++) {
        box_add(&box, label->path.curves[i].p0);
        box_add(&box, label->path.curves[i].p3);
    }
    assert_true(fabs(box_height_mm(box) - 10.0) < 0.01);
    // in the middle of what is covered
    assert_true(fabs((box.min.x + box.max.x) / 2.0 - 70000.0) < 1500.0);
    assert_true(fabs((box.min.y + box.max.y) / 2.0 - 50000.0) < 1500.0);
    paper_case_close(&m.test);
}

static void mark__label_shrinks_and_turns(void **state)
{
    (void)state;
    // An upright bar of 12 mm: no room for 10 mm letters level, none across.
    MarkedStack m = MARKED(12.0, 500.0, "111", "121", "121", "121", "121", "121", "111");
    assert_int_equal(m.marks[0].unlabelled_count, 0);
    paper_case_close(&m.test);
}

static void mark__a_piece_without_cover_stays_unlabelled(void **state)
{
    (void)state;
    MarkedStack m = MARKED(4.0, 500.0, "1111111", "1111111", "1112111", "1111111");
    assert_int_equal(m.marks[0].unlabelled_count, 1);
    paper_case_close(&m.test);
}

static void mark__with_a_blade_alone_lines_are_short_cuts_and_nothing_is_written(void **state)
{
    (void)state;
    MarkedStack m = MARKED(20.0, 500.0, "1111111", "1222221", "1222221", "1222221", "1111111");
    MarkOptions options = mark_defaults(MARK_CUT);
    LayerMarks marks;
    must(&m.test, mark_layer(&m.stack, m.pieces, 0, &options, &m.test.keep, &m.test.work, &marks, &m.test.err));
    marks_keep_the_laws(&m.test, &m.stack, &m.pieces[0], &marks, &options);
    assert_int_equal(marks.mark_count, 1);
    assert_int_equal(marks.unlabelled_count, 1);
    assert_int_equal(marks.marks[0].path.part_count, 44); // 308 mm, 7 mm each
    assert_true(fabs(length_of(&marks, 0, MARK_PLACEMENT) - 44.0) < 0.1);
    paper_case_close(&m.test);
}

static PenStroke square_stroke(MarkedStack *m, int layer, double x_mm, double y_mm, double side_mm)
{
    PenStroke stroke = {.layer = layer, .points = arena_new(&m->test.keep, Point, 4), .point_count = 4};
    for (int i = 0; i < 4; i++)
        stroke.points[i] = point_from_mm(x_mm + (i == 1 || i == 2 ? side_mm : 0.0), y_mm + (i >= 2 ? side_mm : 0.0));
    return stroke;
}

static LayerMarks marks_with(MarkedStack *m, int layer, MarkLine line, PenStroke *strokes, int count)
{
    LayerMarks marks;
    MarkOptions options = mark_defaults(line);
    m->stack.pen_strokes = strokes;
    m->stack.pen_stroke_count = count;
    must(&m->test, mark_layer(&m->stack, m->pieces, layer, &options, &m->test.keep, &m->test.work, &marks, &m->test.err));
    marks_keep_the_laws(&m->test, &m->stack, &m->pieces[layer], &marks, &options);
    return marks;
}

static void mark__details_are_drawn_where_they_are_seen(void **state)
{
    (void)state;
    MarkedStack m = MARKED(20.0, 500.0, "1111111", "1222221", "1222221", "1222221", "1111111");
    PenStroke stroke = square_stroke(&m, 1, 60.0, 40.0, 5.0);
    LayerMarks top = marks_with(&m, 1, MARK_SCORE, &stroke, 1), base = marks_with(&m, 0, MARK_SCORE, &stroke, 1);
    assert_int_equal(top.mark_count, 1);
    assert_int_equal(top.marks[0].kind, MARK_DRAWN);
    assert_true(fabs(length_of(&top, 0, MARK_DRAWN) - 20.0) < 0.001);
    assert_int_equal(base.mark_count, m.marks[0].mark_count);
    paper_case_close(&m.test);
}

// Half on the base, half on the layer above: each has its share, up to half a millimetre from the upper one's edge.
static void mark__details_across_an_edge_are_shared(void **state)
{
    (void)state;
    MarkedStack m = MARKED(20.0, 500.0, "1111111", "1222221", "1222221", "1222221", "1111111");
    PenStroke strokes[2] = {square_stroke(&m, 0, 15.0, 40.0, 10.0), square_stroke(&m, 1, 15.0, 40.0, 10.0)};
    LayerMarks top = marks_with(&m, 1, MARK_SCORE, strokes, 2), base = marks_with(&m, 0, MARK_SCORE, strokes, 2);
    assert_true(fabs(length_of(&base, 0, MARK_DRAWN) - 20.0) < 0.01);
    assert_true(fabs(length_of(&top, 0, MARK_DRAWN) - 19.0) < 0.1);
    paper_case_close(&m.test);
}

static void mark__details_are_cut_at_seams(void **state)
{
    (void)state;
    MarkedStack m = MARKED(20.0, 70.0, "1111111", "1111111", "1111111", "1111111", "1111111");
    PenStroke stroke = square_stroke(&m, 0, 65.0, 30.0, 10.0);
    LayerMarks marks = marks_with(&m, 0, MARK_SCORE, &stroke, 1);
    assert_int_equal(marks.mark_count, 2);
    for (int i = 0; i < 2; i++) {
        assert_int_equal(marks.marks[i].piece, i);
        assert_true(fabs(length_of(&marks, i, MARK_DRAWN) - 19.0) < 0.1);
    }
    paper_case_close(&m.test);
}

static void mark__a_second_tool_is_told(void **state)
{
    (void)state;
    MarkedStack m = MARKED(20.0, 500.0, "1111111", "1222221", "1222221", "1222221", "1111111");
    PenStroke strokes[2] = {square_stroke(&m, 0, 105.0, 5.0, 5.0), square_stroke(&m, 0, 5.0, 5.0, 5.0)};
    LayerMarks base = marks_with(&m, 0, MARK_SCORE, strokes, 2), top = marks_with(&m, 1, MARK_SCORE, strokes, 2);
    assert_int_equal(base.findings.count, 1);
    assert_string_equal(base.findings.items[0].kind, "two-tools");
    assert_int_equal(top.findings.count, 0);
    assert_int_equal(marks_with(&m, 0, MARK_PEN, strokes, 2).findings.count, 0);
    assert_int_equal(marks_with(&m, 0, MARK_CUT, strokes, 2).findings.count, 1);
    assert_null(strstr(base.findings.items[0].text, "by hand"));
    MarkOptions options = mark_defaults(MARK_SCORE);
    options.pen_missing = true;
    must(&m.test, mark_layer(&m.stack, m.pieces, 0, &options, &m.test.keep, &m.test.work, &base, &m.test.err));
    assert_non_null(strstr(base.findings.items[0].text, "which the cutter does not have; draw by hand"));
    paper_case_close(&m.test);
}

// Paper that takes no line of the kit, that takes no pen, and both.
static void mark__what_the_paper_does_not_take_is_left_out(void **state)
{
    (void)state;
    MarkedStack m = MARKED(20.0, 500.0, "1111111", "1222221", "1222221", "1222221", "1111111");
    PenStroke stroke = square_stroke(&m, 0, 105.0, 5.0, 5.0);
    m.stack.pen_strokes = &stroke;
    m.stack.pen_stroke_count = 1;
    for (int way = 1; way < 4; way++) {
        LayerMarks marks;
        MarkOptions options = mark_defaults(MARK_SCORE);
        options.no_marks = way & 1;
        options.no_pen = way & 2;
        must(&m.test, mark_layer(&m.stack, m.pieces, 0, &options, &m.test.keep, &m.test.work, &marks, &m.test.err));
        assert_true((length_of(&marks, 0, MARK_PLACEMENT) > 0.0) != options.no_marks);
        assert_true((length_of(&marks, 0, MARK_LABEL) > 0.0) != options.no_marks);
        assert_true((length_of(&marks, 0, MARK_DRAWN) > 0.0) != options.no_pen);
        assert_int_equal(marks.unlabelled_count, options.no_marks);
        assert_int_equal(marks.findings.count, 1);
        assert_string_equal(marks.findings.items[0].kind, options.no_pen ? "not-drawn" : "two-tools");
        if (options.no_pen) assert_non_null(strstr(marks.findings.items[0].text, "1 small detail of layer A is left out"));
    }
    paper_case_close(&m.test);
}

static void mark__lines_run_at_the_inset_that_is_asked(void **state)
{
    (void)state;
    MarkedStack m = MARKED(20.0, 500.0, "1111111", "1222221", "1222221", "1222221", "1111111");
    const double insets[] = {0.5, 1.0, 3.0, 5.0};
    for (int i = 0; i < 4; i++) {
        LayerMarks marks;
        MarkOptions options = mark_defaults(MARK_SCORE);
        options.inset_mm = insets[i];
        options.hide_mm = fmin(options.hide_mm, insets[i] - 0.1);
        must(&m.test, mark_layer(&m.stack, m.pieces, 0, &options, &m.test.keep, &m.test.work, &marks, &m.test.err));
        marks_keep_the_laws(&m.test, &m.stack, &m.pieces[0], &marks, &options);
        double expected = 2.0 * (100.0 - 2.0 * insets[i] + 60.0 - 2.0 * insets[i]);
        if (fabs(length_of(&marks, 0, MARK_PLACEMENT) - expected) > 0.5) fail_msg("inset %g: %g", insets[i], length_of(&marks, 0, MARK_PLACEMENT));
    }
    paper_case_close(&m.test);
}

static void mark__lack_of_memory_is_a_clean_error(void **state)
{
    (void)state;
    MarkedStack m = MARKED(20.0, 70.0, "1111111", "1222221", "1223221", "1222221", "1111111");
    bool done = false;
    int failures = 0;
    for (int64_t after = 0; !done; after++) {
        Arena keep = arena_make(0);
        keep.fail_after = after;
        LayerMarks marks;
        Error err = {0};
        done = mark_layer(&m.stack, m.pieces, 0, &m.options, &keep, &m.test.work, &marks, &err);
        failures += !done;
        assert_true(done || (err.kind == ERROR_SYSTEM && marks.mark_count == 0));
        arena_free(&keep);
    }
    assert_true(failures > 5);
    paper_case_close(&m.test);
}

static void mark__a_small_budget_is_a_clean_error(void **state)
{
    (void)state;
    MarkedStack m = MARKED(20.0, 70.0, "1111111", "1222221", "1223221", "1222221", "1111111");
    bool done = false;
    int failures = 0;
    for (size_t budget = 256; !done; budget += budget / 3) {
        Work work = {.scratch = arena_make(budget), .overlay = m.test.work.overlay};
        Arena keep = arena_make(0);
        LayerMarks marks;
        Error err = {0};
        done = mark_layer(&m.stack, m.pieces, 0, &m.options, &keep, &work, &marks, &err);
        failures += !done;
        assert_true(done || err.kind == ERROR_SYSTEM);
        arena_free(&keep);
        arena_free(&work.scratch);
    }
    assert_true(failures > 5);
    paper_case_close(&m.test);
}

static void mark__stops_when_asked(void **state)
{
    (void)state;
    MarkedStack m = MARKED(20.0, 70.0, "1111111", "1222221", "1223221", "1222221", "1111111");
    atomic_bool stop = true;
    m.test.work.cancel = &stop;
    LayerMarks marks;
    assert_false(mark_layer(&m.stack, m.pieces, 0, &m.options, &m.test.keep, &m.test.work, &marks, &m.test.err));
    assert_int_equal(m.test.err.kind, ERROR_CANCELLED);
    paper_case_close(&m.test);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(mark__the_edge_of_the_next_layer_moves_inward),
        cmocka_unit_test(mark__top_layers_have_none),
        cmocka_unit_test(mark__lines_lie_on_the_topmost_layer_below),
        cmocka_unit_test(mark__lines_are_cut_at_seams),
        cmocka_unit_test(mark__narrow_parts_get_a_smaller_inset),
        cmocka_unit_test(mark__label_is_ten_millimetres_where_there_is_room),
        cmocka_unit_test(mark__label_shrinks_and_turns),
        cmocka_unit_test(mark__a_piece_without_cover_stays_unlabelled),
        cmocka_unit_test(mark__with_a_blade_alone_lines_are_short_cuts_and_nothing_is_written),
        cmocka_unit_test(mark__details_are_drawn_where_they_are_seen),
        cmocka_unit_test(mark__details_across_an_edge_are_shared),
        cmocka_unit_test(mark__details_are_cut_at_seams),
        cmocka_unit_test(mark__a_second_tool_is_told),
        cmocka_unit_test(mark__what_the_paper_does_not_take_is_left_out),
        cmocka_unit_test(mark__lines_run_at_the_inset_that_is_asked),
        cmocka_unit_test(mark__lack_of_memory_is_a_clean_error),
        cmocka_unit_test(mark__a_small_budget_is_a_clean_error),
        cmocka_unit_test(mark__stops_when_asked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
