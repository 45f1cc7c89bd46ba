// test_rework.c - pieces taken together as a part, divided anew, and put back into the division.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/seam_division.h"

#include "seam/rework.h"

static int piece_at(const SeamDivision *b, double x_in, double y_in)
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

static const double square[][2] = {{0, 0}, {18, 0}, {18, 18}, {0, 18}};
static const double window[][2] = {{3, 3}, {5, 3}, {5, 5}, {3, 5}};
static const double far_window[][2] = {{14, 14}, {15, 14}, {15, 15}, {14, 15}};

static void open_square(SeamDivision *b)
{
    seam_case_open(&b->c, "letter");
    Ring rings[3] = {seam_case_ring_in(&b->c, square, 4, false), seam_case_ring_in(&b->c, window, 4, true),
                     seam_case_ring_in(&b->c, far_window, 4, true)};
    seam_division_open(b, rings, 3);
    static const double y[] = {9.0}, x[] = {6.0, 12.0};
    seam_division_by(b, y, 1, x, 2);
    assert_int_equal(b->net.face_count, 6);
}

static void group__all_pieces_are_the_part_again(void **state)
{
    (void)state;
    SeamDivision b = {0};
    Group group;
    open_square(&b);
    bool inside[6] = {true, true, true, true, true, true};
    seam_division_group(&b, inside, &group);
    assert_int_equal(group.part.ring_count, 3);
    assert_int_equal(group.part.count, b.on.part.count);
    assert_float_equal(group.part.area_mm2, b.on.part.area_mm2, 1e-6);
    assert_float_equal(group.part.length_mm, b.on.part.length_mm, 1e-6);
    seam_case_close(&b.c);
}

// The two upper pieces on the left: 12 x 9 in, the window of the first in it. Below runs one seam, whatever ends on it.
static void group__of_two_has_their_hole_and_one_straight_edge_below(void **state)
{
    (void)state;
    SeamDivision b = {0};
    Group group;
    Net seams;
    open_square(&b);
    bool inside[6] = {false};
    inside[piece_at(&b, 3, 4.5)] = inside[piece_at(&b, 9, 4.5)] = true;
    seam_division_group(&b, inside, &group);
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
    SeamDivision b = {0};
    Group group;
    bool usable, inside[6] = {false};
    open_square(&b);
    inside[piece_at(&b, 3, 4.5)] = inside[piece_at(&b, 15, 4.5)] = true;
    assert_true(group_make(&b.on.ground, &b.net, b.ring_piece, inside, &b.c.keep, &group, &usable, &b.c.err));
    assert_false(usable);
    seam_case_close(&b.c);
}

// The lower two of four pieces are 1/2 in wide and 7.5 in long. The seam that makes them so is no seam between the two.
static void group__knows_slivers_by_the_seams_round_it(void **state)
{
    (void)state;
    static const double wide[][2] = {{0, 0}, {15, 0}, {15, 9}, {0, 9}}, y[] = {8.5}, x[] = {7.5};
    SeamDivision b = {0};
    Group group;
    Net seams;
    Judgement judgement;
    seam_case_open(&b.c, "letter");
    Ring ring = seam_case_ring_in(&b.c, wide, 4, false);
    seam_division_open(&b, &ring, 1);
    seam_division_by(&b, y, 1, x, 1);
    bool inside[4] = {false};
    inside[piece_at(&b, 3.75, 8.75)] = inside[piece_at(&b, 11.25, 8.75)] = true;
    seam_division_group(&b, inside, &group);
    assert_true(group_seams(&b.net, inside, &group, &b.c.keep, &seams, &b.c.err));
    Joined each = {arena_new(&b.c.keep, int, 2), seams.faces, 2};
    each.piece_of[1] = 1;
    NetGround ground = b.on.ground;
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
    SeamDivision b = {0};
    Reworked out;
    seam_case_open(&b.c, "letter");
    Ring ring = seam_case_ring_in(&b.c, bar, 7, false);
    seam_division_open(&b, &ring, 1);
    seam_division_by(&b, NULL, 0, x, 2);
    assert_true(rework_division(&b.on.ground, &b.lines, &b.single, 60, &b.c.options, &b.c.keep, &b.c.work, &out, &b.c.err));
    assert_true(out.kept > 0);
    assert_int_equal(out.judgement.pieces, 2);
    assert_true(out.judgement.visible_in < 4.4); // lines are shifted by no less than 3 mm
    assert_int_equal(out.net.segment_count, 1);
    seam_case_close(&b.c);
}

static void rework__no_tries_leave_the_division_as_it_is(void **state)
{
    (void)state;
    SeamDivision b = {0};
    Reworked out;
    open_square(&b);
    assert_true(rework_division(&b.on.ground, &b.lines, &b.single, 0, &b.c.options, &b.c.keep, &b.c.work, &out, &b.c.err));
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
    SeamDivision b = {0};
    Reworked one, two;
    Judgement before;
    open_square(&b);
    assert_true(judge_division(&b.on.ground, &b.lines, &b.single, &b.c.options, &b.c.work.scratch, &before, &b.c.err));
    assert_true(rework_division(&b.on.ground, &b.lines, &b.single, 40, &b.c.options, &b.c.keep, &b.c.work, &one, &b.c.err));
    assert_true(rework_division(&b.on.ground, &b.lines, &b.single, 40, &b.c.options, &b.c.keep, &b.c.work, &two, &b.c.err));
    assert_true(one.judgement.cost_in <= before.cost_in + 1e-6);
    assert_int_equal(one.net.node_count, two.net.node_count);
    for (int i = 0; i < one.net.node_count; i++) assert_true(point_equal(one.net.nodes[i].at, two.net.nodes[i].at));
    seam_case_close(&b.c);
}

// A square of 10 in, in four by two lines; then the first `count` of the places lie in one piece.
static void open_quarters(SeamDivision *b, const double (*together)[2], int count)
{
    static const double panel[][2] = {{0, 0}, {10, 0}, {10, 10}, {0, 10}}, middle[] = {5.0};
    bool first[4] = {false};
    seam_case_open(&b->c, "letter");
    Ring ring = seam_case_ring_in(&b->c, panel, 4, false);
    seam_division_open(b, &ring, 1);
    seam_division_by(b, middle, 1, middle, 1);
    for (int i = 0; i < count; i++) first[piece_at(b, together[i][0], together[i][1])] = true;
    Joined joined = {arena_new(&b->c.keep, int, 4), arena_new(&b->c.keep, NetFace, 4), count ? 5 - count : 4};
    for (int f = 0, n = count > 0; f < 4; f++) {
        joined.piece_of[f] = first[f] ? 0 : n++;
        joined.pieces[joined.piece_of[f]] = b->net.faces[f];
    }
    seam_division_joined(b, &joined);
}

static void judge_group(SeamDivision *b, const bool *inside, Judgement *out)
{
    Group group;
    Net seams;
    seam_division_group(b, inside, &group);
    assert_true(group_seams(&b->net, inside, &group, &b->c.keep, &seams, &b->c.err));
    Joined each = {arena_new(&b->c.keep, int, seams.face_count), seams.faces, seams.face_count};
    for (int i = 0; i < seams.face_count; i++) each.piece_of[i] = i;
    assert_true(judge_division(&b->on.ground, &seams, &each, &b->c.options, &b->c.keep, out, &b->c.err));
}

// The two quarters on the right are one piece. The seam between it and the piece at the top left ends where the other one
// turns: that is a joint, not an end near another one's end, and costs nothing.
static void group__a_seam_that_ends_on_a_bend_costs_its_length(void **state)
{
    (void)state;
    static const double right[][2] = {{7.5, 2.5}, {7.5, 7.5}};
    SeamDivision b = {0};
    Judgement judgement;
    bool inside[3] = {false};
    open_quarters(&b, right, 2);
    inside[piece_at(&b, 2.5, 2.5)] = inside[piece_at(&b, 7.5, 5.0)] = true;
    judge_group(&b, inside, &judgement);
    assert_float_equal(judgement.visible_in, 5.0, 0.001);
    assert_float_equal(judgement.penalty_in, 0.0, 1e-9);
    seam_case_close(&b.c);
}

// Of four quarters three are taken: their two seams and two others meet in the middle, which is what four that meet cost.
static void group__four_that_meet_on_its_border_cost_as_much_as_inside(void **state)
{
    (void)state;
    SeamDivision b = {0};
    Judgement three, all;
    bool inside[4] = {true, true, true, true};
    open_quarters(&b, NULL, 0);
    judge_group(&b, inside, &all);
    inside[piece_at(&b, 7.5, 7.5)] = false;
    judge_group(&b, inside, &three);
    assert_true(all.penalty_in > 0.0);
    assert_float_equal(three.penalty_in, all.penalty_in, 1e-9);
    seam_case_close(&b.c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(group__all_pieces_are_the_part_again),
        cmocka_unit_test(group__of_two_has_their_hole_and_one_straight_edge_below),
        cmocka_unit_test(group__of_two_that_touch_nowhere_is_none),
        cmocka_unit_test(group__knows_slivers_by_the_seams_round_it),
        cmocka_unit_test(group__a_seam_that_ends_on_a_bend_costs_its_length),
        cmocka_unit_test(group__four_that_meet_on_its_border_cost_as_much_as_inside),
        cmocka_unit_test(rework__finds_the_notch_and_saves_a_piece),
        cmocka_unit_test(rework__no_tries_leave_the_division_as_it_is),
        cmocka_unit_test(rework__is_never_dearer_and_the_same_twice),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
