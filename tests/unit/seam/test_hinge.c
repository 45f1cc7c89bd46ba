// Hinges of bases cut as told, under papers whose edges lie where the tests put them.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "seam/hinge.h"
#include "support/seam_wish.h"

#define IN 25.4

typedef struct HingeCase {
    SeamCase c;
    Layer layers[2];
    Stack stack;
    LayerPieces pieces[2];
    Piece above[8];
    Hinges hinges;
} HingeCase;

static void hinge_open(HingeCase *h, const Ring *rings, int count)
{
    h->stack = (Stack){.layers = h->layers, .layer_count = 2, .width_mm = 600, .height_mm = 500};
    h->pieces[1] = (LayerPieces){.layer = 1, .pieces = h->above};
    seam_case_set_layer(&h->c, rings, count);
}

static void open_box(HingeCase *h, const char *paper, double width_in, double height_in)
{
    *h = (HingeCase){0};
    seam_case_open(&h->c, paper);
    const double box[][2] = {{0, 0}, {width_in, 0}, {width_in, height_in}, {0, height_in}};
    Ring ring = seam_case_ring_in(&h->c, box, 4, false);
    hinge_open(h, &ring, 1);
}

static void divide(HingeCase *h)
{
    seam_case_divide(&h->c);
    h->layers[0] = h->c.layer;
    h->pieces[0] = h->c.pieces;
}

// A rectangle of the higher layer, in millimetres.
static void lay(HingeCase *h, double x0, double y0, double x1, double y1)
{
    Rings *rings = &h->above[h->pieces[1].piece_count++].rings;
    const double box[][2] = {{x0 / IN, y0 / IN}, {x1 / IN, y0 / IN}, {x1 / IN, y1 / IN}, {x0 / IN, y1 / IN}};
    *rings = (Rings){arena_new(&h->c.keep, Ring, 1), 1};
    rings->items[0] = seam_case_ring_in(&h->c, box, 4, false);
}

static int hinges_of(HingeCase *h)
{
    assert_true(hinge_find(&h->stack, h->pieces, &h->c.keep, &h->c.work, &h->hinges, &h->c.err));
    return h->hinges.count;
}

// A bar 12 x 6 in (304.8 x 152.4 mm), cut across at x = 152.4 mm.
static void open_bar(HingeCase *h)
{
    static const double cut[][2] = {{6, 0}, {6, 6}};
    open_box(h, "letter", 12, 6);
    SEAM_WISH_FIXED(&h->c, cut);
    divide(h);
    assert_int_equal(h->pieces[0].seam_count, 1);
}

static void hinge__bare_seam_from_edge_to_edge_is_one(void **state)
{
    (void)state;
    HingeCase h;
    open_bar(&h);
    assert_int_equal(hinges_of(&h), 1);
    assert_int_equal(h.hinges.items[0].seam_count, 1);
    assert_true(fabs(h.hinges.items[0].length_mm - 152.4) < 0.01);
    assert_true(h.hinges.items[0].bridged_mm == 0.0);
    assert_true(point_distance_mm(h.hinges.items[0].at, point_from_mm(152.4, 76.2)) < 0.01);
    seam_case_close(&h.c);
}

// 76.2 mm are half of it.
static void hinge__paper_across_half_of_the_seam_holds_it(void **state)
{
    (void)state;
    for (int more = 0; more < 2; more++) {
        HingeCase h;
        open_bar(&h);
        lay(&h, 100, 20, 200, 20 + 75.7 + more);
        assert_int_equal(hinges_of(&h), 1 - more);
        if (!more) assert_true(fabs(h.hinges.items[0].bridged_mm - 75.7) < 0.01);
        if (!more) assert_true(fabs(h.hinges.items[0].at.y / 1000.0 - (95.7 + 152.4) / 2.0) < 0.01); // the longer gap
        seam_case_close(&h.c);
    }
}

static void hinge__paper_must_reach_12_mm_to_both_sides(void **state)
{
    (void)state;
    static const struct { double left, right; int hinges; } CASES[] = {
        {30, 30, 0}, {12.01, 12.01, 0}, {11.9, 30, 1}, {30, 11.9, 1}, {-1, 30, 1},
    };
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        HingeCase h;
        open_bar(&h);
        lay(&h, 152.4 - CASES[i].left, 0, 152.4 + CASES[i].right, 152.4);
        assert_int_equal(hinges_of(&h), CASES[i].hinges);
        seam_case_close(&h.c);
    }
}

// Two sheets that meet over the seam cover it whole and hold nothing; two that each lie across it add up.
static void hinge__pieces_that_meet_over_the_seam_do_not_hold_it(void **state)
{
    (void)state;
    HingeCase h;
    open_bar(&h);
    lay(&h, 100, 0, 152.4, 152.4);
    lay(&h, 152.4, 0, 200, 152.4);
    assert_int_equal(hinges_of(&h), 1);
    lay(&h, 100, 0, 200, 40);
    lay(&h, 100, 60, 200, 100);
    assert_int_equal(hinges_of(&h), 0);
    seam_case_close(&h.c);
}

// A hole of the paper beside the seam is none of its reach: the 30 mm beside it count as open.
static void hinge__hole_beside_the_seam_is_open(void **state)
{
    (void)state;
    HingeCase h;
    open_bar(&h);
    lay(&h, 100, 0, 200, 100);
    Rings *rings = &h.above[0].rings;
    const double hole[][2] = {{158 / IN, 20 / IN}, {170 / IN, 20 / IN}, {170 / IN, 50 / IN}, {158 / IN, 50 / IN}};
    Ring both[] = {rings->items[0], seam_case_ring_in(&h.c, hole, 4, true)};
    *rings = (Rings){both, 2};
    assert_int_equal(hinges_of(&h), 1);
    assert_true(fabs(h.hinges.items[0].bridged_mm - 70.0) < 0.01);
    seam_case_close(&h.c);
}

static void hinge__lap_holds_its_seam(void **state)
{
    (void)state;
    HingeCase h;
    static const double cut[][2] = {{6, 0}, {6, 6}};
    open_box(&h, "letter", 12, 6);
    h.c.options.form = SEAM_LAP;
    SEAM_WISH_FIXED(&h.c, cut);
    divide(&h);
    assert_int_equal(h.pieces[0].seams[0].form, SEAM_LAP);
    assert_int_equal(hinges_of(&h), 0);
    seam_case_close(&h.c);
}

// Four quarters: each line of two seams crosses the base as one.
static void hinge__seams_in_a_line_are_one(void **state)
{
    (void)state;
    HingeCase h;
    static const double down[][2] = {{7, 0}, {7, 18}}, right[][2] = {{0, 9}, {7, 9}}, rest[][2] = {{7, 9}, {14, 9.6}};
    open_box(&h, "letter", 14, 18);
    SEAM_WISH_FIXED(&h.c, down);
    SEAM_WISH_FIXED(&h.c, right);
    SEAM_WISH_FIXED(&h.c, rest); // a turn of 5 degrees
    divide(&h);
    assert_int_equal(h.pieces[0].piece_count, 4);
    assert_int_equal(hinges_of(&h), 2);
    for (int i = 0; i < 2; i++) assert_int_equal(h.hinges.items[i].seam_count, 2);
    assert_true(fabs(h.hinges.items[0].length_mm - 18 * IN) < 0.1); // the longer one comes first
    lay(&h, 150, 20, 210, 450); // holds the line down, but not the one across
    assert_int_equal(hinges_of(&h), 0 + 1);
    assert_true(h.hinges.items[0].length_mm < 15 * IN);
    seam_case_close(&h.c);
}

// Bricks: the line across is one, those down end on it.
static void hinge__line_that_ends_on_another_does_not_cross(void **state)
{
    (void)state;
    HingeCase h;
    static const double right[][2] = {{0, 9}, {14, 9}}, above[][2] = {{7.5, 0}, {7.5, 9}}, below[][2] = {{6.3, 9}, {6.3, 18}};
    open_box(&h, "letter", 14, 18);
    SEAM_WISH_FIXED(&h.c, right);
    SEAM_WISH_FIXED(&h.c, above);
    SEAM_WISH_FIXED(&h.c, below);
    divide(&h);
    assert_int_equal(h.pieces[0].piece_count, 4);
    assert_int_equal(hinges_of(&h), 1);
    assert_int_equal(h.hinges.items[0].seam_count, 3);
    seam_case_close(&h.c);
}

// A frame: the fold goes from its outer edge to the hole, and on behind it; cut on one side alone it does not fold.
static void hinge__goes_on_behind_a_hole(void **state)
{
    (void)state;
    for (int lines = 1; lines <= 2; lines++) {
        HingeCase h = {0};
        static const double box[][2] = {{0, 0}, {12, 0}, {12, 9}, {0, 9}}, hole[][2] = {{4, 3}, {8, 3}, {8, 6}, {4, 6}};
        static const double above[][2] = {{6, 0}, {6, 3}}, below[][2] = {{6.2, 6}, {6.2, 9}};
        seam_case_open(&h.c, "12x14");
        Ring rings[] = {seam_case_ring_in(&h.c, box, 4, false), seam_case_ring_in(&h.c, hole, 4, true)};
        hinge_open(&h, rings, 2);
        if (lines == 2) { // on letter it must be cut
            Paper paper;
            assert_true(paper_parse("letter", &paper, &h.c.err));
            h.c.options = seam_defaults(&paper);
            SEAM_WISH_FIXED(&h.c, above);
            SEAM_WISH_FIXED(&h.c, below);
        }
        divide(&h);
        assert_int_equal(h.pieces[0].seam_count, lines == 2 ? 2 : 0);
        assert_int_equal(hinges_of(&h), lines == 2);
        if (lines == 2) assert_true(fabs(h.hinges.items[0].length_mm - 6 * IN) < 0.01);
        seam_case_close(&h.c);
    }
}

static void hinge_tell__says_which_seams_and_what_to_do(void **state)
{
    (void)state;
    HingeCase h;
    Findings findings;
    open_bar(&h);
    lay(&h, 100, 0, 200, 38.1); // a quarter
    assert_true(hinge_tell(&h.stack, h.pieces, &h.c.keep, &h.c.work, &findings, &h.c.err));
    assert_int_equal(findings.count, 1);
    assert_string_equal(findings.items[0].kind, "hinge");
    assert_string_equal(findings.items[0].text,
                        "A-s1 crosses the base from edge to edge, 152 mm in all, and other paper bridges 25 % of that: it can fold there "
                        "like a hinge. Glue a backing strip 1 1/2 in (38 mm) wide behind it, from edge to edge, while the base still lies flat");
    assert_true(fabs(findings.items[0].x_mm - 152.4) < 0.01 && findings.items[0].y_mm > 38.1);
    h.stack.height_mm = 700; // the guide has strips behind all seams then
    assert_true(hinge_tell(&h.stack, h.pieces, &h.c.keep, &h.c.work, &findings, &h.c.err));
    assert_non_null(strstr(findings.items[0].text, "See that backing strips lie behind all of it"));
    seam_case_close(&h.c);
}

static void hinge__lack_of_memory_is_told(void **state)
{
    (void)state;
    HingeCase h;
    open_bar(&h);
    lay(&h, 100, 0, 200, 38.1);
    for (int64_t step = 0; step < 40; step++) {
        h.c.work.scratch.fail_after = step;
        if (!hinge_find(&h.stack, h.pieces, &h.c.keep, &h.c.work, &h.hinges, &h.c.err)) assert_int_equal(h.c.err.kind, ERROR_SYSTEM);
    }
    h.c.work.scratch.fail_after = -1;
    assert_int_equal(hinges_of(&h), 1);
    seam_case_close(&h.c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hinge__bare_seam_from_edge_to_edge_is_one),
        cmocka_unit_test(hinge__paper_across_half_of_the_seam_holds_it),
        cmocka_unit_test(hinge__paper_must_reach_12_mm_to_both_sides),
        cmocka_unit_test(hinge__pieces_that_meet_over_the_seam_do_not_hold_it),
        cmocka_unit_test(hinge__hole_beside_the_seam_is_open),
        cmocka_unit_test(hinge__lap_holds_its_seam),
        cmocka_unit_test(hinge__seams_in_a_line_are_one),
        cmocka_unit_test(hinge__line_that_ends_on_another_does_not_cross),
        cmocka_unit_test(hinge__goes_on_behind_a_hole),
        cmocka_unit_test(hinge_tell__says_which_seams_and_what_to_do),
        cmocka_unit_test(hinge__lack_of_memory_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
