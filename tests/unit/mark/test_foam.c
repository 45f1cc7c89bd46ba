// Foam squares under raised pieces: rectangles whose answer is known.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "mark/foam.h"

#include <math.h>
#include <string.h>

#define MOST 6

typedef struct FoamCase {
    Arena keep;
    Work work;
    Error err;
    Layer layers[MOST];
    SeparationColour colours[1];
    Stack stack;
    LayerPieces pieces[MOST];
    Piece items[MOST][MOST];
    Foam foam;
} FoamCase;

static void open_case(FoamCase *f, int layers)
{
    memset(f, 0, sizeof *f);
    f->keep = arena_make(0);
    f->work.scratch = arena_make(0);
    f->stack = (Stack){.layers = f->layers, .layer_count = layers, .colours = f->colours, .colour_count = 1};
    strcpy(f->colours[0].name, "red");
    for (int i = 0; i < layers; i++) f->pieces[i] = (LayerPieces){.layer = i, .pieces = f->items[i]};
}

static void close_case(FoamCase *f)
{
    arena_free(&f->keep);
    arena_free(&f->work.scratch);
}

static void add(FoamCase *f, int layer, double x, double y, double w, double h)
{
    Piece *piece = &f->items[layer][f->pieces[layer].piece_count++];
    Ring *ring = arena_new(&f->keep, Ring, 1);
    Point corners[4] = {point_from_mm(x, y), point_from_mm(x + w, y), point_from_mm(x + w, y + h), point_from_mm(x, y + h)};
    *ring = (Ring){arena_copy(&f->keep, corners, 4, sizeof *corners), 4};
    piece->rings = (Rings){ring, 1};
    strcpy(piece->id, "B1");
}

static const FoamPiece *lay(FoamCase *f, int layer)
{
    assert_true(foam_make(&f->stack, f->pieces, &f->keep, &f->work, &f->foam, &f->err));
    return &f->foam.layers[layer][0];
}

static void raise(FoamCase *f, int layer, bool asked)
{
    f->layers[layer].raised = true;
    f->layers[layer].asked_raised = asked;
}

static void foam__squares_are_no_farther_than_60_mm_from_the_next_and_4_mm_inside(void **state)
{
    (void)state;
    FoamCase f;
    open_case(&f, 2);
    raise(&f, 1, true);
    add(&f, 1, 10, 20, 200, 150);
    const FoamPiece *piece = lay(&f, 1);
    assert_in_range(piece->count, 12, 30);
    assert_int_equal(f.foam.square_count, piece->count);
    for (int i = 0; i < piece->count; i++) {
        double x = piece->squares[i].x / 1000.0, y = piece->squares[i].y / 1000.0, nearest = 1e9;
        assert_true(x >= 10 + 12.485 && x <= 210 - 12.485 && y >= 20 + 12.485 && y <= 170 - 12.485);
        for (int k = 0; k < piece->count; k++)
            if (k != i) nearest = fmin(nearest, point_distance_mm(piece->squares[i], piece->squares[k]));
        assert_true(nearest <= 60.0 && nearest >= 16.97);
    }
    for (int k = 0; k < 4; k++) { // every corner is carried: from the square that may stand nearest to it on
        double x = k % 2 ? 197 : 23, y = k / 2 ? 157 : 33, nearest = 1e9;
        for (int i = 0; i < piece->count; i++) nearest = fmin(nearest, hypot(piece->squares[i].x / 1000.0 - x, piece->squares[i].y / 1000.0 - y));
        assert_true(nearest < 33.0);
    }
    assert_int_equal(f.foam.findings.count, 0);
    close_case(&f);
}

static void foam__small_piece_has_three(void **state)
{
    (void)state;
    FoamCase f;
    open_case(&f, 2);
    raise(&f, 1, true);
    add(&f, 1, 0, 0, 70, 45);
    assert_int_equal(lay(&f, 1)->count, 3);
    assert_int_equal(f.foam.findings.count, 0);
    close_case(&f);
}

static void foam__too_narrow_is_told(void **state)
{
    (void)state;
    static const struct { double w, h; int squares; } CASES[] = {{200, 20, 0}, {30, 30, 1}, {60, 28, 2}};
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        FoamCase f;
        open_case(&f, 2);
        raise(&f, 1, true);
        add(&f, 1, 0, 0, CASES[i].w, CASES[i].h);
        assert_int_equal(lay(&f, 1)->count, CASES[i].squares);
        assert_int_equal(f.foam.findings.count, 1);
        assert_string_equal(f.foam.findings.items[0].kind, "raised-narrow");
        close_case(&f);
    }
}

// Layer 2 lies half on layer 1, which stands off: it does too, its squares are beside.
static void foam__what_lies_on_raised_paper_is_raised_with_it(void **state)
{
    (void)state;
    FoamCase f;
    open_case(&f, 4);
    raise(&f, 1, true);
    raise(&f, 2, false);
    raise(&f, 3, false);
    add(&f, 1, 0, 0, 100, 100);
    add(&f, 2, 50, 0, 150, 100);
    add(&f, 3, 10, 10, 30, 30);   // wholly on layer 1
    add(&f, 3, 400, 0, 100, 100); // on nothing raised
    const FoamPiece *half = lay(&f, 2);
    assert_true(half->is_up);
    assert_true(half->count >= 3);
    for (int i = 0; i < half->count; i++) assert_true(half->squares[i].x / 1000.0 >= 100 + 8.48);
    assert_true(f.foam.layers[3][0].is_up);
    assert_int_equal(f.foam.layers[3][0].count, 0);
    assert_false(f.foam.layers[3][1].is_up);
    assert_int_equal(f.foam.layers[3][1].count, 0);
    assert_int_equal(f.foam.findings.count, 0);
    close_case(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(foam__squares_are_no_farther_than_60_mm_from_the_next_and_4_mm_inside),
        cmocka_unit_test(foam__small_piece_has_three),
        cmocka_unit_test(foam__too_narrow_is_told),
        cmocka_unit_test(foam__what_lies_on_raised_paper_is_raised_with_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
