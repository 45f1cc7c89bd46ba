// test_detail.c - what counts as small detail in sight, and that seams keep out of it.

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "seam/detail.h"
#include "support/seam_case.h"
#include "support/seam_wish.h"

#define MOST_HOLES 12

// A square panel of 20 in that lies on the base, with openings (x, y, width, height in inches) through which that is seen.
static void open_panel(SeamCase *c, const double (*holes)[4], int count)
{
    static const double square[][2] = {{0, 0}, {20, 0}, {20, 20}, {0, 20}};
    Ring rings[MOST_HOLES + 1];
    seam_case_open(c, "letter");
    c->stack.width_mm = c->stack.height_mm = 508.0;
    rings[0] = seam_case_ring_in(c, square, 4, false);
    seam_case_set_layer(c, rings, 1);
    for (int i = 0; i < count; i++) {
        double x = holes[i][0], y = holes[i][1], x1 = x + holes[i][2], y1 = y + holes[i][3];
        rings[i + 1] = seam_case_ring_in(c, (const double[4][2]){{x, y}, {x1, y}, {x1, y1}, {x, y1}}, 4, true);
    }
    c->layer.cover = (Rings){arena_copy(&c->keep, rings, (size_t)count + 1, sizeof *rings), count + 1};
}

static int found(SeamCase *c, Rings *details)
{
    assert_true(details_find(&c->stack, &c->keep, &c->work, details, &c->err));
    return details->count;
}

static int places(SeamCase *c, const Rings *details, Rings *out)
{
    assert_true(detail_places(details, &c->layer, &c->options.paper, &c->keep, &c->work, out, &c->err));
    return out->count;
}

static void details__are_small_islands_that_are_no_strokes(void **state)
{
    (void)state;
    SeamCase c;
    Rings details;
    open_panel(&c, (const double[4][4]){{5, 5, 1, 1}, {10, 5, 2, 0.3}, {10, 10, 4, 4}, {2, 2, 0.1, 0.1}}, 4);
    assert_int_equal(found(&c, &details), 1); // a stroke, a large one and a dot are none
    assert_true(point_equal(ring_box(&details.items[0]).min, point_from_mm(127.0, 127.0)));
    seam_case_close(&c);
}

static void details__inside_another_one_add_nothing(void **state)
{
    (void)state;
    SeamCase c;
    Rings details;
    open_panel(&c, (const double[2][4]){{5, 5, 2, 2}, {5.5, 5.5, 1, 1}}, 2);
    assert_int_equal(found(&c, &details), 1);
    assert_true(box_width_mm(ring_box(&details.items[0])) > 50.0);
    seam_case_close(&c);
}

static void details__many_alike_are_a_pattern(void **state)
{
    (void)state;
    static const double spots[7][4] = {{1, 1, 1, 1}, {4, 1, 1, 1}, {7, 1, 1, 1}, {1, 5, 1, 1}, {4, 5, 1, 1}, {7, 5, 1.05, 1}, {12, 12, 2, 2}};
    SeamCase c;
    Rings details;
    open_panel(&c, spots, 7);
    assert_int_equal(found(&c, &details), 1); // the other one
    seam_case_close(&c);
    open_panel(&c, spots + 1, 6);
    assert_int_equal(found(&c, &details), 6); // five alike are still told apart
    seam_case_close(&c);
}

static void detail_places__near_islands_are_one_place(void **state)
{
    (void)state;
    SeamCase c;
    Rings details, out;
    open_panel(&c, (const double[3][4]){{2, 2, 1, 1}, {3.4, 2, 1, 1}, {12, 2, 1, 1}}, 3);
    assert_int_equal(found(&c, &details), 3);
    assert_int_equal(places(&c, &details, &out), 2);
    for (int i = 0; i < details.count; i++)
        for (int k = 0; k < details.items[i].count; k++) assert_true(rings_contain(&out, details.items[i].points[k]));
    assert_true(rings_contain(&out, point_from_mm(3.2 * 25.4, 2.5 * 25.4))); // between the two
    assert_true(rings_contain(&out, point_from_mm(11.8 * 25.4, 2.5 * 25.4)));
    assert_false(rings_contain(&out, point_from_mm(11.5 * 25.4, 2.5 * 25.4)));
    seam_case_close(&c);
}

static void detail_places__large_ones_and_those_elsewhere_are_left_out(void **state)
{
    (void)state;
    SeamCase c;
    Rings details, out;
    open_panel(&c, (const double[1][4]){{5, 5, 2, 2}}, 1);
    assert_int_equal(found(&c, &details), 1);
    assert_true(paper_parse("2x3", &c.options.paper, &c.err));
    assert_int_equal(places(&c, &details, &out), 0);
    assert_true(paper_parse("letter", &c.options.paper, &c.err));
    assert_int_equal(places(&c, &details, &out), 1);
    static const double corner[][2] = {{10, 10}, {20, 10}, {20, 20}, {10, 20}};
    SEAM_CASE_LAYER(&c, corner);
    assert_int_equal(places(&c, &details, &out), 0);
    seam_case_close(&c);
}

static void seam_divide__keeps_out_of_small_detail_where_that_costs_little(void **state)
{
    (void)state;
    static const double bar[][2] = {{0, 0}, {18, 0}, {18, 7}, {0, 7}};
    SeamCase c;
    seam_case_open(&c, "letter");
    SEAM_CASE_LAYER(&c, bar);
    seam_case_divide(&c);
    Point p = link_start(&c.pieces.chains, &c.pieces.seams[0].links[0]);
    double x = p.x / 25400.0;
    Ring ring = seam_case_ring_in(&c, (const double[4][2]){{x - 0.3, 2}, {x + 0.3, 2}, {x + 0.3, 4}, {x - 0.3, 4}}, 4, false);
    Rings detail = {&ring, 1};
    c.options.detail = &detail;
    int pieces = c.pieces.piece_count;
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, pieces);
    assert_true(seam_wish_seen_in_box_mm(&c, x - 0.3, 2, x + 0.3, 4) < 0.5);
    c.options.detail_weight = 0.0; // and it is this that moved it
    seam_case_divide(&c);
    assert_true(seam_wish_seen_in_box_mm(&c, x - 0.3, 2, x + 0.3, 4) > 50.0);
    seam_case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(details__are_small_islands_that_are_no_strokes),
        cmocka_unit_test(details__inside_another_one_add_nothing),
        cmocka_unit_test(details__many_alike_are_a_pattern),
        cmocka_unit_test(detail_places__near_islands_are_one_place),
        cmocka_unit_test(detail_places__large_ones_and_those_elsewhere_are_left_out),
        cmocka_unit_test(seam_divide__keeps_out_of_small_detail_where_that_costs_little),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
