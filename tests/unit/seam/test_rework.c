// test_rework.c - pieces taken together as a part, divided anew, and put back into the division.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/seam_case.h"

#include "seam/group.h"
#include "seam/rework.h"
#include "seam/splice.h"

typedef struct Bench { // a layer of one part, and a division of it by lines
    SeamCase c;
    Part part;
    Hiding hiding;
    Avoid avoid;
    Cover outline;
    FitMemo memo;
    NetGround ground;
    NetFrame frame;
    Net lines;      // as laid
    Joined single;  // every face a piece
    Net net;        // with pieces as faces
    int *ring_piece;
} Bench;

static void open_bench(Bench *b, const Ring *rings, int ring_count)
{
    SeamCase *c = &b->c;
    Rings *outline = &c->layer.rings;
    seam_case_set_layer(c, rings, ring_count);
    assert_true(part_make(&c->stack.chains, &c->layer.area, 0, 0, &c->keep, &b->part, &c->err));
    assert_true(hiding_make(&c->layer.cover, c->options.hidden_by_mm, &c->keep, &b->hiding, &c->err));
    assert_true(avoid_make(&c->options.wishes, &c->keep, &b->avoid, &c->err));
    assert_true(cover_make(outline, &c->keep, &b->outline, &c->err));
    assert_true(memo_make(paper_fit_space(&c->options.paper), &c->keep, &b->memo, &c->err));
    b->ground = (NetGround){&b->part, &c->stack.chains, &b->hiding, &b->avoid, &b->outline, paper_fit_space(&c->options.paper), &b->memo};
}

// Borders at y, and the same cross cuts in each strip at x; in inches.
static void divide_by(Bench *b, const double *y, int y_count, const double *x, int x_count)
{
    SeamCase *c = &b->c;
    Layout layout = {.frame = {1.0, 0.0}, .border_count = y_count};
    layout.borders = arena_new(&c->keep, double, y_count);
    layout.crosses = arena_new(&c->keep, double, x_count * (y_count + 1));
    layout.first_cross = arena_new(&c->keep, int, y_count + 2);
    for (int i = 0; i < y_count; i++) layout.borders[i] = 25.4 * y[i];
    for (int s = 0; s <= y_count; s++) {
        for (int i = 0; i < x_count; i++) layout.crosses[s * x_count + i] = 25.4 * x[i];
        layout.first_cross[s + 1] = (s + 1) * x_count;
    }
    assert_true(net_frame_make(&b->part, layout.frame, &c->keep, &b->frame, &c->err));
    assert_true(net_make(&b->ground, &b->frame, &layout, &c->keep, &b->lines, &c->err));
    assert_true(b->lines.usable);
    b->single = (Joined){arena_new(&c->keep, int, b->lines.face_count), b->lines.faces, b->lines.face_count};
    for (int i = 0; i < b->lines.face_count; i++) b->single.piece_of[i] = i;
    assert_true(splice_pieces(&b->ground, &b->lines, &b->single, &c->keep, &c->work.scratch, &b->net, &c->err));
    assert_true(b->net.usable);
    b->ring_piece = group_find_rings(&b->part, &b->net, &c->keep);
    assert_non_null(b->ring_piece);
}

static int piece_at(const Bench *b, double x_in, double y_in)
{
    Point at = point_from_mm(25.4 * x_in, 25.4 * y_in);
    int best = -1;
    double nearest = 1e9;
    for (int f = 0; f < b->net.face_count; f++) {
        double x = 0, y = 0;
        for (int i = 0; i < b->net.faces[f].hull_count; i++)
            x += b->net.faces[f].hull[i].x, y += b->net.faces[f].hull[i].y;
        Point middle = {(int32_t)(x / b->net.faces[f].hull_count), (int32_t)(y / b->net.faces[f].hull_count)};
        if (point_distance_mm(middle, at) >= nearest) continue;
        nearest = point_distance_mm(middle, at);
        best = f;
    }
    return best;
}

static void take_together(Bench *b, const bool *inside, Group *group)
{
    bool usable;
    assert_true(group_make(&b->ground, &b->net, b->ring_piece, inside, &b->c.keep, group, &usable, &b->c.err));
    assert_true(usable);
}

static const double square[][2] = {{0, 0}, {18, 0}, {18, 18}, {0, 18}};
static const double window[][2] = {{3, 3}, {5, 3}, {5, 5}, {3, 5}};
static const double far_window[][2] = {{14, 14}, {15, 14}, {15, 15}, {14, 15}};

static void open_square(Bench *b)
{
    seam_case_open(&b->c, "letter");
    Ring rings[3] = {seam_case_ring_in(&b->c, square, 4, false), seam_case_ring_in(&b->c, window, 4, true),
                     seam_case_ring_in(&b->c, far_window, 4, true)};
    open_bench(b, rings, 3);
    static const double y[] = {9.0}, x[] = {6.0, 12.0};
    divide_by(b, y, 1, x, 2);
    assert_int_equal(b->net.face_count, 6);
}

static void group__all_pieces_are_the_part_again(void **state)
{
    (void)state;
    Bench b = {0};
    Group group;
    open_square(&b);
    bool inside[6] = {true, true, true, true, true, true};
    take_together(&b, inside, &group);
    assert_int_equal(group.part.ring_count, 3);
    assert_int_equal(group.part.count, b.part.count);
    assert_float_equal(group.part.area_mm2, b.part.area_mm2, 1e-6);
    assert_float_equal(group.part.length_mm, b.part.length_mm, 1e-6);
    seam_case_close(&b.c);
}

// The two upper pieces on the left: 12 x 9 in, the window of the first in it. Below runs one seam, whatever ends on it.
static void group__of_two_has_their_hole_and_one_straight_edge_below(void **state)
{
    (void)state;
    Bench b = {0};
    Group group;
    Net seams;
    open_square(&b);
    bool inside[6] = {false};
    inside[piece_at(&b, 3, 4.5)] = inside[piece_at(&b, 9, 4.5)] = true;
    take_together(&b, inside, &group);
    assert_int_equal(group.part.ring_count, 2);
    assert_float_equal(group.part.area_mm2, (12 * 9 - 4) * 25.4 * 25.4, 0.1);
    int seam_edges = 0, hard = 0;
    for (int i = 0; i < group.part.count; i++) {
        seam_edges += group.outline_edge[i] < 0;
        hard += group.node[i] >= 0;
    }
    assert_int_equal(seam_edges, 3); // right, and below in two: the lower seam at x = 6 ends there from outside
    assert_int_equal(hard, 4);
    assert_true(group_seams(&b.net, inside, &group, &b.c.keep, &seams, &b.c.err));
    assert_int_equal(seams.segment_count, 1);
    assert_float_equal(seams.segments[0].length_mm, 9 * 25.4, 0.01);
    seam_case_close(&b.c);
}

static void group__of_two_that_touch_nowhere_is_none(void **state)
{
    (void)state;
    Bench b = {0};
    Group group;
    bool usable, inside[6] = {false};
    open_square(&b);
    inside[piece_at(&b, 3, 4.5)] = inside[piece_at(&b, 15, 4.5)] = true;
    assert_true(group_make(&b.ground, &b.net, b.ring_piece, inside, &b.c.keep, &group, &usable, &b.c.err));
    assert_false(usable);
    seam_case_close(&b.c);
}

// The lower two of four pieces are 1/2 in wide and 7.5 in long. The seam that makes them so is no seam between the two.
static void group__knows_slivers_by_the_seams_round_it(void **state)
{
    (void)state;
    static const double wide[][2] = {{0, 0}, {15, 0}, {15, 9}, {0, 9}}, y[] = {8.5}, x[] = {7.5};
    Bench b = {0};
    Group group;
    Net seams;
    Judgement judgement;
    seam_case_open(&b.c, "letter");
    Ring ring = seam_case_ring_in(&b.c, wide, 4, false);
    open_bench(&b, &ring, 1);
    divide_by(&b, y, 1, x, 1);
    bool inside[4] = {false};
    inside[piece_at(&b, 3.75, 8.75)] = inside[piece_at(&b, 11.25, 8.75)] = true;
    take_together(&b, inside, &group);
    assert_true(group_seams(&b.net, inside, &group, &b.c.keep, &seams, &b.c.err));
    Joined each = {arena_new(&b.c.keep, int, 2), seams.faces, 2};
    each.piece_of[1] = 1;
    NetGround ground = b.ground;
    ground.part = &group.part;
    assert_true(judge_division(&ground, &seams, &each, &b.c.options, &b.c.work.scratch, &judgement, &b.c.err));
    assert_int_equal(judgement.slivers, 2);
    seam_case_close(&b.c);
}

// A bar of 20 x 7 in with a notch that leaves 4 in at 10.1 in, cut in three by lines at 7 and 14 in: two pieces, and the
// seam in the notch, are the least.
static void rework__finds_the_notch_and_saves_a_piece(void **state)
{
    (void)state;
    static const double bar[][2] = {{0, 0}, {9, 0}, {10.1, 3}, {11.2, 0}, {20, 0}, {20, 7}, {0, 7}};
    static const double x[] = {7.0, 14.0};
    Bench b = {0};
    Reworked out;
    seam_case_open(&b.c, "letter");
    Ring ring = seam_case_ring_in(&b.c, bar, 7, false);
    open_bench(&b, &ring, 1);
    divide_by(&b, NULL, 0, x, 2);
    assert_true(rework_division(&b.ground, &b.lines, &b.single, 60, &b.c.options, &b.c.keep, &b.c.work, &out, &b.c.err));
    assert_true(out.kept > 0);
    assert_int_equal(out.judgement.pieces, 2);
    assert_true(out.judgement.visible_in < 4.4); // lines are shifted by no less than 3 mm
    assert_int_equal(out.net.segment_count, 1);
    seam_case_close(&b.c);
}

static void rework__no_tries_leave_the_division_as_it_is(void **state)
{
    (void)state;
    Bench b = {0};
    Reworked out;
    open_square(&b);
    assert_true(rework_division(&b.ground, &b.lines, &b.single, 0, &b.c.options, &b.c.keep, &b.c.work, &out, &b.c.err));
    assert_int_equal(out.kept, 0);
    assert_int_equal(out.net.face_count, 6);
    double length = 0.0;
    for (int i = 0; i < out.net.segment_count; i++) length += out.net.segments[i].length_mm;
    assert_float_equal(length, 3 * 18 * 25.4, 0.05); // no window lies on a seam
    seam_case_close(&b.c);
}

static void rework__is_never_dearer_and_the_same_twice(void **state)
{
    (void)state;
    Bench b = {0};
    Reworked one, two;
    Judgement before;
    open_square(&b);
    assert_true(judge_division(&b.ground, &b.lines, &b.single, &b.c.options, &b.c.work.scratch, &before, &b.c.err));
    assert_true(rework_division(&b.ground, &b.lines, &b.single, 40, &b.c.options, &b.c.keep, &b.c.work, &one, &b.c.err));
    assert_true(rework_division(&b.ground, &b.lines, &b.single, 40, &b.c.options, &b.c.keep, &b.c.work, &two, &b.c.err));
    assert_true(one.judgement.cost_in <= before.cost_in + 1e-6);
    assert_int_equal(one.net.node_count, two.net.node_count);
    for (int i = 0; i < one.net.node_count; i++) assert_true(point_equal(one.net.nodes[i].at, two.net.nodes[i].at));
    seam_case_close(&b.c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(group__all_pieces_are_the_part_again),
        cmocka_unit_test(group__of_two_has_their_hole_and_one_straight_edge_below),
        cmocka_unit_test(group__of_two_that_touch_nowhere_is_none),
        cmocka_unit_test(group__knows_slivers_by_the_seams_round_it),
        cmocka_unit_test(rework__finds_the_notch_and_saves_a_piece),
        cmocka_unit_test(rework__no_tries_leave_the_division_as_it_is),
        cmocka_unit_test(rework__is_never_dearer_and_the_same_twice),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
