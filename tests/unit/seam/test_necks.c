// test_necks.c - places where a seam leaves a piece too narrow: told from those of the drawing, and got rid of.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/seam_division.h"

#include "seam/necks.h"
#include "seam/rework.h"

static const double below[] = {7.4};

// 9 x 13 in, a notch from above whose tip ends at so many inches.
static void open_notched(SeamDivision *b, double tip_in)
{
    double sheet[][2] = {{0, 0}, {4, 0}, {4.5, tip_in}, {5, 0}, {9, 0}, {9, 13}, {0, 13}};
    seam_case_open(&b->c, "letter");
    Ring ring = seam_case_ring_in(&b->c, sheet, 7, false);
    seam_division_open(b, &ring, 1);
}

static Necks necks_of(SeamDivision *b)
{
    Necks necks;
    assert_true(necks_find(&b->on.ground, &b->net, b->c.options.least_neck_mm, &b->c.keep, &b->c.work, &necks, &b->c.err));
    return necks;
}

// A seam at 7.4 in leaves 0.3 in under the tip of the notch, of the upper piece.
static void necks__a_seam_near_the_tip_of_a_notch_makes_one(void **state)
{
    (void)state;
    SeamDivision b = {0};
    open_notched(&b, 7.1);
    seam_division_by(&b, below, 1, NULL, 0);
    Necks necks = necks_of(&b);
    assert_int_equal(necks.sum, 1);
    int upper = b.net.faces[0].area_mm2 > b.net.faces[1].area_mm2; // 66.6 - 3.55 against 50.4 square inches
    assert_int_equal(necks.by_face[upper ? 0 : 1], 1);
    seam_case_close(&b.c);
}

static void necks__a_seam_with_room_enough_makes_none(void **state)
{
    (void)state;
    SeamDivision b = {0};
    open_notched(&b, 6.8); // 0.6 in are left
    seam_division_by(&b, below, 1, NULL, 0);
    assert_int_equal(necks_of(&b).sum, 0);
    seam_case_close(&b.c);
}

// Between two slabs the drawing has a bar that is 0.3 in wide: the piece that it lies in is no worse for the seam below.
static void necks__what_the_drawing_has_narrow_is_none(void **state)
{
    (void)state;
    static const double slabs[][2] = {{0, 0}, {9, 0}, {9, 3}, {4.65, 3}, {4.65, 4}, {9, 4}, {9, 13}, {0, 13}, {0, 4}, {4.35, 4}, {4.35, 3}, {0, 3}};
    SeamDivision b = {0};
    seam_case_open(&b.c, "letter");
    Ring ring = seam_case_ring_in(&b.c, slabs, 12, false);
    seam_division_open(&b, &ring, 1);
    seam_division_by(&b, below, 1, NULL, 0);
    assert_int_equal(necks_of(&b).sum, 0);
    seam_case_close(&b.c);
}

// The same with a hole instead of the notch: between hole and seam hangs one side, and the other one holds it.
static void necks__a_hole_near_a_seam_is_none(void **state)
{
    (void)state;
    static const double sheet[][2] = {{0, 0}, {9, 0}, {9, 13}, {0, 13}}, hole[][2] = {{4, 5}, {5, 5}, {5, 7.1}, {4, 7.1}};
    SeamDivision b = {0};
    seam_case_open(&b.c, "letter");
    Ring rings[2] = {seam_case_ring_in(&b.c, sheet, 4, false), seam_case_ring_in(&b.c, hole, 4, true)};
    seam_division_open(&b, rings, 2);
    seam_division_by(&b, below, 1, NULL, 0);
    assert_int_equal(necks_of(&b).sum, 0);
    seam_case_close(&b.c);
}

// What is known of pieces that stay is taken as it is.
static void necks_after__looks_at_new_pieces_only(void **state)
{
    (void)state;
    SeamDivision b = {0};
    Necks after;
    open_notched(&b, 7.1);
    seam_division_by(&b, below, 1, NULL, 0);
    int told[2] = {5, 5};
    Necks known = {told, 10};
    assert_true(necks_after(&b.on.ground, &b.net, &b.net, &known, 12.7, &b.c.keep, &b.c.work, &after, &b.c.err));
    assert_int_equal(after.sum, 10);
    seam_case_close(&b.c);
}

static void rework__gets_rid_of_a_neck(void **state)
{
    (void)state;
    SeamDivision b = {0};
    Reworked out;
    open_notched(&b, 7.1);
    seam_division_by(&b, below, 1, NULL, 0);
    assert_true(rework_division(&b.on.ground, &b.lines, &b.single, 16, &b.c.options, &b.c.keep, &b.c.work, &out, &b.c.err));
    assert_true(out.kept > 0);
    assert_int_equal(out.necks, 0);
    assert_int_equal(out.judgement.pieces, 2);
    seam_case_close(&b.c);
}

// The tip ends at 5.9 in, sheets are 10.4 in: a seam anywhere under it is as long. None of the tries may leave a neck.
static void rework__makes_no_neck_that_was_not_there(void **state)
{
    (void)state;
    for (int i = 0; i < 8; i++) {
        SeamDivision b = {0};
        Reworked out;
        open_notched(&b, 5.2 + 0.2 * i);
        seam_division_by(&b, below, 1, NULL, 0);
        int before = necks_of(&b).sum;
        assert_true(rework_division(&b.on.ground, &b.lines, &b.single, 24, &b.c.options, &b.c.keep, &b.c.work, &out, &b.c.err));
        assert_true(out.necks <= before);
        if (out.kept > 0) {
            b.net = out.net;
            assert_int_equal(necks_of(&b).sum, out.necks);
        }
        seam_case_close(&b.c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(necks__a_seam_near_the_tip_of_a_notch_makes_one),
        cmocka_unit_test(necks__a_seam_with_room_enough_makes_none),
        cmocka_unit_test(necks__what_the_drawing_has_narrow_is_none),
        cmocka_unit_test(necks__a_hole_near_a_seam_is_none),
        cmocka_unit_test(necks_after__looks_at_new_pieces_only),
        cmocka_unit_test(rework__gets_rid_of_a_neck),
        cmocka_unit_test(rework__makes_no_neck_that_was_not_there),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
