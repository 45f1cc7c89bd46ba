// The backing board of a plain rectangle of 48 x 36 in with one upright seam: worked out by hand, an inch is 25.4 mm.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "kit/board.h"
#include "support/seam_case.h"

#include <stdlib.h>

#define IN 25.4

typedef struct BoardCase {
    SeamCase seam;
    KitInput input;
    DraftLayer layer;
    Draft draft;
    SectionPlan sections;
    int32_t line[1];
    const Board *board;
} BoardCase;

static void open_case(BoardCase *c, double seam_in, double board_w_in, double board_h_in)
{
    *c = (BoardCase){0};
    seam_case_open(&c->seam, "48x48in");
    static const double base[][2] = {{0, 0}, {48, 0}, {48, 36}, {0, 36}};
    SEAM_CASE_LAYER(&c->seam, base);
    Point *ends = arena_new(&c->seam.keep, Point, 2);
    ends[0] = point_from_mm(seam_in * IN, -5);
    ends[1] = point_from_mm(seam_in * IN, 36 * IN + 5);
    SeamLine *line = arena_new(&c->seam.keep, SeamLine, 1);
    *line = (SeamLine){ends, 2};
    c->seam.options.wishes.fixed = line;
    c->seam.options.wishes.fixed_count = 1;
    seam_case_divide(&c->seam);
    c->input = (KitInput){.stack = &c->seam.stack, .layer_pieces = &c->seam.pieces};
    c->input.options.board_mm[0] = board_w_in * IN;
    c->input.options.board_mm[1] = board_h_in * IN;
    c->draft = (Draft){.input = &c->input, .layers = &c->layer};
}

static void make(BoardCase *c)
{
    if (!board_make(&c->draft, &c->seam.keep, &c->seam.work, &c->board, &c->seam.err)) fail_msg("%s", c->seam.err.text);
}

static void board_make__is_inset_all_round(void **state)
{
    (void)state;
    BoardCase c;
    open_case(&c, 30, 50, 40);
    make(&c);
    Box box = rings_box(&c.board->outline);
    assert_int_equal(c.board->panel_count, 1);
    assert_int_equal(c.board->joint_count, 0);
    assert_true(labs((long)box.min.x - 15000) <= 150 && labs((long)box.min.y - 15000) <= 150);
    assert_true(labs((long)box.max.x - (long)(48 * IN * 1e3) + 15000) <= 150);
    seam_case_close(&c.seam);
}

// 46.8 in of board from 24 in boards: two panels, the joint from 23.4 to 24.6 in. A seam at 30 in is far, one at 24 is not.
static void board_make__tells_of_seams_along_joints(void **state)
{
    (void)state;
    BoardCase c;
    open_case(&c, 30, 24, 36);
    make(&c);
    assert_int_equal(c.board->panel_count, 2);
    assert_int_equal(c.board->joint_count, 1);
    assert_true(c.board->along_mm == 0.0);
    seam_case_close(&c.seam);
    open_case(&c, 24, 24, 36);
    make(&c);
    assert_int_equal(c.board->panel_count, 2);
    assert_true(fabs(c.board->along_mm - (36 * IN - 30)) < 0.5); // all of it but the insets
    seam_case_close(&c.seam);
}

// From 30 in boards the joint may lie from 17.4 to 30.6 in: it keeps 2 in from the seam in the middle.
static void board_make__joints_keep_off_seams(void **state)
{
    (void)state;
    BoardCase c;
    open_case(&c, 24, 30, 36);
    make(&c);
    assert_int_equal(c.board->panel_count, 2);
    assert_true(c.board->along_mm == 0.0);
    assert_true(labs((long)c.board->joints[0].from.x - (long)(24 * IN * 1e3)) >= 50800);
    seam_case_close(&c.seam);
}

static void board_make__parts_where_the_piece_parts(void **state)
{
    (void)state;
    BoardCase c;
    open_case(&c, 24, 60, 40);
    c.line[0] = (int32_t)(20 * IN * 1e3);
    c.sections = (SectionPlan){.at = {c.line, NULL}, .count = {1, 0}, .line_count = 1};
    c.input.sections = &c.sections;
    make(&c);
    assert_int_equal(c.board->panel_count, 2);
    assert_int_equal(c.board->panels[0].box.max.x, c.line[0]);
    assert_int_equal(c.board->panels[1].box.min.x, c.line[0]);
    seam_case_close(&c.seam);
}

static void board_make__none_is_made_unasked(void **state)
{
    (void)state;
    BoardCase c;
    open_case(&c, 24, 0, 0);
    make(&c);
    assert_null(c.board);
    seam_case_close(&c.seam);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(board_make__is_inset_all_round),       cmocka_unit_test(board_make__tells_of_seams_along_joints),
        cmocka_unit_test(board_make__joints_keep_off_seams),    cmocka_unit_test(board_make__parts_where_the_piece_parts),
        cmocka_unit_test(board_make__none_is_made_unasked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
