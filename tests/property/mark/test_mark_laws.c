// test_mark_laws.c - what holds for every mark: on the face of its piece, hidden in the end.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/mark_case.h"
#include "support/random_map.h"

#define SEEDS 60

// A triangle of up to 40 mm somewhere on or beside the picture.
static PenStroke random_stroke(Rng *rng, const Stack *stack, Arena *keep)
{
    PenStroke stroke = {.layer = 0, .points = arena_new(keep, Point, 3), .point_count = 3};
    double x = stack->width_mm * rng_unit(rng), y = stack->height_mm * rng_unit(rng);
    for (int i = 0; i < 3; i++) stroke.points[i] = point_from_mm(x + 40.0 * rng_unit(rng), y + 40.0 * rng_unit(rng));
    return stroke;
}

static int count_of(const LayerMarks *marks, MarkKind kind)
{
    int count = 0;
    for (int i = 0; i < marks->mark_count; i++) count += marks->marks[i].kind == kind;
    return count;
}

static int laws_hold(uint64_t seed, int *match_count)
{
    PaperCase test = paper_case_open();
    RandomMap map = random_map(seed, 2 + (int)(seed % 4));
    Outlines outlines = grid_map_labels(map.labels, map.width, map.height, map.cell_mm, 0.0, &test.keep);
    StackOptions options = stack_defaults();
    MarkOptions mark_options = mark_defaults(seed % 3 ? MARK_SCORE : MARK_PEN);
    Stack stack;
    must(&test, stack_make(&outlines, &options, &test.keep, &test.work, &stack, &test.err));
    PenStroke strokes[5];
    Rng rng = rng_make(seed + 7);
    for (int i = 0; i < 5; i++) {
        strokes[i] = random_stroke(&rng, &stack, &test.keep);
        strokes[i].layer = i % stack.layer_count;
    }
    stack.pen_strokes = strokes;
    stack.pen_stroke_count = (int)(seed % 6);
    LayerPieces *pieces = arena_new(&test.keep, LayerPieces, stack.layer_count);
    int count = 0;
    for (int i = 0; i < stack.layer_count; i++)
        pieces[i] = pieces_by_grid(&test, &stack, i, 60.0 + 10.0 * (double)(seed % 10));
    for (int i = 0; i < stack.layer_count; i++) {
        LayerMarks marks, again;
        must(&test, mark_layer(&stack, pieces, i, &mark_options, &test.keep, &test.work, &marks, &test.err));
        marks_keep_the_laws(&test, &stack, &pieces[i], &marks, &mark_options);
        must(&test, mark_layer(&stack, pieces, i, &mark_options, &test.keep, &test.work, &again, &test.err));
        assert_int_equal(marks.mark_count, again.mark_count);
        for (int k = 0; k < marks.mark_count; k++) {
            assert_int_equal(marks.marks[k].path.curve_count, again.marks[k].path.curve_count);
            for (int c = 0; c < marks.marks[k].path.curve_count; c++) {
                assert_true(point_equal(marks.marks[k].path.curves[c].p0, again.marks[k].path.curves[c].p0));
                assert_true(point_equal(marks.marks[k].path.curves[c].p3, again.marks[k].path.curves[c].p3));
            }
        }
        count += marks.mark_count;
        *match_count += count_of(&marks, MARK_MATCH);
    }
    paper_case_close(&test);
    return count;
}

static void every_mark_keeps_the_laws(void **state)
{
    (void)state;
    int count = 0, matches = 0;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        print_message("seed %d\r", (int)seed);
        count += laws_hold(seed, &matches);
    }
    print_message("%d marks, %d of them match marks\n", count, matches);
    assert_true(count > SEEDS && matches > SEEDS); // not for lack of marks
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(every_mark_keeps_the_laws)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
