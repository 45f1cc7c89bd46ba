// test_view.c - keys know all that a stage reads: what alters the pieces or the marks of a layer alters its key, also where
// nothing else of the layer changes with it.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "job/view.h"
#include "support/grid_map.h"
#include "support/paper_case.h"

#include <math.h>

typedef struct Layers {
    PaperCase test;
    Stack stack;
    SeamOptions options;
} Layers;

// A base of 400 x 240 mm that a broad band of colour 1 and a narrow one of colour 2 lie on.
static Layers layers_open(void)
{
    static const char *const lines[] = {"1111111111", "1122222211", "1122222211", "1122222211", "1113333111", "1111111111"};
    Layers l = {.test = paper_case_open()};
    StackOptions options = stack_defaults();
    Outlines outlines = grid_map(lines, 6, 40.0, 0.0, &l.test.keep);
    must(&l.test, stack_make(&outlines, &options, &l.test.keep, &l.test.work, &l.stack, &l.test.err));
    Paper paper;
    must(&l.test, paper_parse("letter", &paper, &l.test.err));
    l.options = seam_defaults(&paper);
    assert_int_equal(l.stack.layer_count, 3);
    return l;
}

static Key seams_key(Layers *l, int layer)
{
    Stack view;
    must(&l->test, view_for_seams(&l->stack, layer, &l->test.keep, &view, &l->test.err));
    return view_seams_key(&view, layer, &l->options);
}

static double visible_mm(Layers *l, int layer)
{
    Stack view;
    LayerPieces pieces;
    double sum = 0.0;
    must(&l->test, view_for_seams(&l->stack, layer, &l->test.keep, &view, &l->test.err));
    must(&l->test, seam_divide(&view, layer, &l->options, &l->test.keep, &l->test.work, &pieces, &l->test.err));
    for (int i = 0; i < pieces.seam_count; i++) sum += pieces.seams[i].visible_mm;
    return sum;
}

// The base's area is the full shape, whatever lies on it; where its seams are hidden is not.
static void view_seams_key__knows_the_cover_alone(void **state)
{
    (void)state;
    Layers l = layers_open();
    Key before = seams_key(&l, 0), upper = seams_key(&l, 2);
    double hidden_by_all = visible_mm(&l, 0);
    l.stack.layers[0].cover = l.stack.layers[2].rings; // as if the broad band were not there; the base's area stays
    assert_false(key_equal(seams_key(&l, 0), before));
    assert_true(key_equal(seams_key(&l, 2), upper));
    assert_true(visible_mm(&l, 0) > hidden_by_all + 50.0); // so a key without the cover would give wrong pieces
    paper_case_close(&l.test);
}

static void view_seams_key__knows_every_option(void **state)
{
    (void)state;
    Layers l = layers_open();
    Key before = seams_key(&l, 1);
    Point ends[2] = {{1000, 1000}, {1000, 9000}};
    SeamLine line = {ends, 2};
    Rings clear = l.stack.layers[2].rings;
    FrozenPiece frozen = {.id = "A1", .outline = &(Path){.first = (int[]){0}}};
    const SeamOptions plain = l.options;
    SeamOptions changed[21];
    for (int i = 0; i < 21; i++) changed[i] = plain;
    changed[0].paper.width_mm += 1.0;
    changed[1].paper.height_mm += 1.0;
    changed[2].wishes.fixed = &line, changed[2].wishes.fixed_count = 1;
    changed[3].wishes.forbidden = &line, changed[3].wishes.forbidden_count = 1;
    changed[4].wishes.keep_clear = &clear;
    changed[5].wishes.frozen = &frozen, changed[5].wishes.frozen_count = 1;
    changed[6].tries = 0;
    changed[7].hidden_by_mm += 1.0;
    changed[8].hidden_weight *= 2.0;
    changed[9].piece_weight += 1.0;
    changed[10].least_long_mm += 1.0;
    changed[11].least_wide_mm += 1.0;
    changed[12].least_neck_mm += 1.0;
    changed[13].paper.id[0] = 'm'; // errors name it
    changed[14].form = SEAM_LAP;
    changed[15].lap_mm += 1.0;
    FrozenPiece lapped = frozen; // other than without a face of its own
    lapped.face = frozen.outline;
    changed[16].wishes.frozen = &lapped, changed[16].wishes.frozen_count = 1;
    changed[17].above = &line, changed[17].above_count = 1;
    changed[18].stacked_weight *= 2.0;
    changed[19].detail = &clear;
    changed[20].detail_weight *= 2.0;
    for (int i = 0; i < 21; i++) {
        l.options = changed[i];
        if (key_equal(seams_key(&l, 1), before)) fail_msg("option %d is not in the key", i);
    }
    l.options = changed[5];
    Key without_face = seams_key(&l, 1);
    l.options = changed[16];
    assert_false(key_equal(seams_key(&l, 1), without_face));
    l.options = plain;
    assert_true(key_equal(seams_key(&l, 1), before));
    paper_case_close(&l.test);
}

static void view_seams_key__knows_hidden_edges_and_the_name(void **state)
{
    (void)state;
    Layers l = layers_open();
    Key before = seams_key(&l, 1);
    l.stack.layers[1].hidden[0] = !l.stack.layers[1].hidden[0];
    assert_false(key_equal(seams_key(&l, 1), before));
    l.stack.layers[1].hidden[0] = !l.stack.layers[1].hidden[0];
    l.stack.colours[l.stack.layers[1].colour].name[0] = 'X';
    assert_false(key_equal(seams_key(&l, 1), before));
    paper_case_close(&l.test);
}

static Key marks_key(Layers *l, const LayerPieces *pieces, int layer)
{
    MarkView view;
    MarkOptions options = mark_defaults(MARK_SCORE);
    must(&l->test, view_for_marks(&l->stack, pieces, layer, &l->test.keep, &view, &l->test.err));
    return view_marks_key(&view, layer, &options);
}

static void view_marks_key__knows_the_cover_and_the_layers_above_and_no_lower_one(void **state)
{
    (void)state;
    Layers l = layers_open();
    LayerPieces pieces[3];
    for (int i = 0; i < 3; i++)
        must(&l.test, seam_divide(&l.stack, i, &l.options, &l.test.keep, &l.test.work, &pieces[i], &l.test.err));
    Key base = marks_key(&l, pieces, 0), middle = marks_key(&l, pieces, 1);
    Rings cover = l.stack.layers[1].cover, low = l.stack.layers[0].rings, high = l.stack.layers[2].rings;
    l.stack.layers[1].cover = (Rings){0};
    assert_false(key_equal(marks_key(&l, pieces, 1), middle));
    l.stack.layers[1].cover = cover;
    l.stack.layers[0].rings = high;
    assert_true(key_equal(marks_key(&l, pieces, 1), middle));
    l.stack.layers[0].rings = low;
    l.stack.layers[2].rings = low;
    assert_false(key_equal(marks_key(&l, pieces, 1), middle));
    assert_false(key_equal(marks_key(&l, pieces, 0), base));
    paper_case_close(&l.test);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(view_seams_key__knows_the_cover_alone),
        cmocka_unit_test(view_seams_key__knows_every_option),
        cmocka_unit_test(view_seams_key__knows_hidden_edges_and_the_name),
        cmocka_unit_test(view_marks_key__knows_the_cover_and_the_layers_above_and_no_lower_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
