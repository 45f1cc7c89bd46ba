// test_seam_measure.c - what bench/seam counts with, on shapes whose answer is known.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "seam_bound.h"
#include "seam_measure.h"
#include "seam_necks.h"

#include "shape/overlay.h"

#include <math.h>

typedef struct Fixture {
    Arena keep;
    Work work;
    Error err;
    Layer layers[2];
    Stack stack;
    LayerPieces pieces[2];
} Fixture;

static void begin(Fixture *f)
{
    *f = (Fixture){.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    assert_true(overlay_create(NULL, &f->work.overlay, &f->err));
    f->stack = (Stack){.layers = f->layers, .layer_count = 2, .width_mm = 1000, .height_mm = 1000};
    f->pieces[1].layer = 1;
}

static void end(Fixture *f)
{
    overlay_destroy(f->work.overlay);
    arena_free(&f->work.scratch);
    arena_free(&f->keep);
}

static Rings ring_of(Fixture *f, const double (*mm)[2], int count)
{
    Ring *ring = arena_new(&f->keep, Ring, 1);
    ring->points = arena_new(&f->keep, Point, count);
    ring->count = count;
    for (int i = 0; i < count; i++) ring->points[i] = point_from_mm(mm[i][0], mm[i][1]);
    return (Rings){ring, 1};
}

static Rings box_of(Fixture *f, double x0, double y0, double x1, double y1)
{
    return ring_of(f, (const double[4][2]){{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, 4);
}

static void add_seam(Fixture *f, int layer, const double (*mm)[2], int count)
{
    LayerPieces *pieces = &f->pieces[layer];
    Point points[8];
    Chain chain;
    int index;
    for (int i = 0; i < count; i++) points[i] = point_from_mm(mm[i][0], mm[i][1]);
    assert_true(chain_from_points(points, count, false, &f->keep, &chain, &f->err));
    assert_true(chains_add(&pieces->chains, &chain, &f->keep, &index, &f->err));
    Seam *seams = arena_new(&f->keep, Seam, pieces->seam_count + 1);
    for (int i = 0; i < pieces->seam_count; i++) seams[i] = pieces->seams[i];
    Link *link = arena_new(&f->keep, Link, 1);
    *link = (Link){index, 0, count - 1};
    double length_mm = link_length_mm(&pieces->chains, link);
    seams[pieces->seam_count++] = (Seam){.pieces = {0, 1}, .links = link, .link_count = 1, .length_mm = length_mm, .visible_mm = length_mm};
    pieces->seams = seams;
}

static void add_two_pieces(Fixture *f, int layer)
{
    f->pieces[layer].pieces = arena_new(&f->keep, Piece, 2);
    f->pieces[layer].piece_count = 2;
    for (int i = 0; i < 2; i++) f->pieces[layer].pieces[i].rings = box_of(f, 0, 0, 100, 100);
}

// ---- necks ----

// A box of 200 x 100 mm with a notch from its left side whose tip is 80 mm in; a seam right of it.
static int necks_beside_notch(double seam_x_mm, double layer_right_mm)
{
    Fixture f;
    int necks = 0;
    begin(&f);
    Rings layer = ring_of(&f, (const double[7][2]){{0, 0}, {layer_right_mm, 0}, {layer_right_mm, 100}, {0, 100}, {0, 60}, {80, 50}, {0, 40}}, 7);
    add_two_pieces(&f, 0);
    f.pieces[0].pieces[0].rings = ring_of(&f, (const double[7][2]){{0, 0}, {seam_x_mm, 0}, {seam_x_mm, 100}, {0, 100}, {0, 60}, {80, 50}, {0, 40}}, 7);
    f.pieces[0].pieces[1].rings = box_of(&f, seam_x_mm, 0, 200, 100);
    add_seam(&f, 0, (const double[2][2]){{seam_x_mm, 0}, {seam_x_mm, 100}}, 2);
    assert_true(count_necks(&layer, &f.pieces[0], &f.work, &necks, &f.err));
    end(&f);
    return necks;
}

static void count_necks__a_seam_near_the_tip_of_a_notch_makes_one(void **state)
{
    (void)state;
    assert_int_equal(necks_beside_notch(83.0, 200.0), 1);
    assert_int_equal(necks_beside_notch(92.0, 200.0), 1);
    assert_int_equal(necks_beside_notch(93.0, 200.0), 0); // 13 mm is half an inch and a little
    assert_int_equal(necks_beside_notch(120.0, 200.0), 0);
}

static void count_necks__a_neck_of_the_drawing_is_not_counted(void **state)
{
    (void)state;
    assert_int_equal(necks_beside_notch(90.0, 90.0), 0);
    assert_int_equal(necks_beside_notch(90.0, 92.0), 0);
}

static void count_thin__short_pieces_and_slices_with_a_seam_are_counted(void **state)
{
    (void)state;
    Fixture f;
    int thin = 0;
    begin(&f);
    add_two_pieces(&f, 0);
    add_seam(&f, 0, (const double[2][2]){{0, 0}, {0, 60}}, 2);
    f.pieces[0].pieces[0].rings = box_of(&f, 0, 0, 18, 60);  // a slice: 18 mm wide along a seam of 60 mm
    f.pieces[0].pieces[1].rings = box_of(&f, 0, 0, 30, 39);  // 49 mm from corner to corner
    assert_true(count_thin(&f.pieces[0], &f.work.scratch, &thin, &f.err));
    assert_int_equal(thin, 2);
    f.pieces[0].pieces[0].rings = box_of(&f, 0, 0, 20, 60);
    f.pieces[0].pieces[1].rings = box_of(&f, 0, 0, 30, 42);
    thin = 0;
    assert_true(count_thin(&f.pieces[0], &f.work.scratch, &thin, &f.err));
    assert_int_equal(thin, 0);
    end(&f);
}

// ---- the rest ----

static SeamScore measured(Fixture *f)
{
    SeamScore score;
    for (int i = 0; i < 2; i++)
        if (f->layers[i].rings.count == 0) f->layers[i].rings = box_of(f, 0, 0, 1000, 1000);
    assert_true(seam_measure(&f->stack, f->pieces, false, &f->work, &score, &f->err));
    return score;
}

static void seam_measure__a_seam_along_one_below_is_told_from_one_beside_or_across(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    add_two_pieces(&f, 0);
    add_two_pieces(&f, 1);
    add_seam(&f, 0, (const double[2][2]){{100, 100}, {100, 300}}, 2);
    add_seam(&f, 1, (const double[2][2]){{112, 100}, {112, 200}}, 2); // 12 mm beside it: along
    add_seam(&f, 1, (const double[2][2]){{87, 200}, {87, 300}}, 2);   // 13 mm beside it: not
    add_seam(&f, 1, (const double[2][2]){{50, 150}, {150, 150}}, 2);  // across
    SeamScore score = measured(&f);
    assert_true(fabs(score.above_mm - 300.0) < 0.01);
    assert_true(fabs(score.along_mm - 100.0) < 2.01);
    end(&f);
}

static void seam_measure__seams_in_small_detail_are_counted_where_in_sight(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    add_two_pieces(&f, 0);
    Rings outer = box_of(&f, 0, 0, 1000, 1000), eye = box_of(&f, 400, 100, 440, 140); // grown by 10 mm
    Ring rings[2] = {outer.items[0], eye.items[0]};
    for (int i = 0, k = rings[1].count - 1; i < k; i++, k--) { // a hole
        Point swap = rings[1].points[i];
        rings[1].points[i] = rings[1].points[k];
        rings[1].points[k] = swap;
    }
    f.layers[0].rings = (Rings){rings, 2};
    add_seam(&f, 0, (const double[2][2]){{300, 105}, {500, 105}}, 2); // through it: 60 mm in the grown one
    add_seam(&f, 0, (const double[2][2]){{300, 160}, {500, 160}}, 2); // beside it
    SeamScore score = measured(&f);
    assert_int_equal(score.details, 1);
    assert_true(fabs(score.detail_mm - 60.0) < 0.1);
    end(&f);
}

static void seam_measure__fours_and_near_joints_are_counted_in_sight_alone(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    add_two_pieces(&f, 0);
    for (int i = 0; i < 4; i++) // four meet at 500, 500
        add_seam(&f, 0, (const double[2][2]){{500, 500}, {500 + 200 * (i == 0) - 200 * (i == 1), 500 + 200 * (i == 2) - 200 * (i == 3)}}, 2);
    add_seam(&f, 0, (const double[2][2]){{500, 700}, {400, 800}}, 2); // three at 500, 700: its own end and these two
    add_seam(&f, 0, (const double[2][2]){{500, 700}, {600, 800}}, 2);
    SeamScore score = measured(&f);
    assert_int_equal(score.joints, 2);
    assert_int_equal(score.fours, 1);
    assert_int_equal(score.near_joints, 0);
    add_seam(&f, 0, (const double[2][2]){{700, 500}, {710, 510}}, 2);
    add_seam(&f, 0, (const double[2][2]){{700, 500}, {710, 490}}, 2); // a joint at 700, 500 ...
    add_seam(&f, 0, (const double[2][2]){{710, 510}, {800, 600}}, 2);
    add_seam(&f, 0, (const double[2][2]){{710, 510}, {800, 500}}, 2); // ... and one 14 mm from it
    score = measured(&f);
    assert_int_equal(score.joints, 4);
    assert_int_equal(score.near_joints, 1);
    f.layers[0].cover = box_of(&f, 450, 450, 550, 550); // hides the four
    score = measured(&f);
    assert_int_equal(score.joints, 3);
    assert_int_equal(score.fours, 0);
    end(&f);
}

static void seam_measure__corners_are_counted_for_each_stretch_in_sight(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    add_two_pieces(&f, 0);
    add_seam(&f, 0, (const double[6][2]){{0, 100}, {100, 100}, {100, 200}, {300, 200}, {300, 100}, {400, 100}}, 6);
    SeamScore score = measured(&f);
    assert_int_equal(score.stretches, 1);
    assert_int_equal(score.corners, 4);
    assert_int_equal(score.bent, 1);
    assert_int_equal(score.most_corners, 4);
    f.layers[0].cover = box_of(&f, 150, 150, 350, 250); // parts it, and hides one corner
    score = measured(&f);
    assert_int_equal(score.stretches, 2);
    assert_int_equal(score.corners, 3);
    assert_int_equal(score.bent, 1);
    f.layers[0].cover = box_of(&f, 50, 50, 350, 250);
    score = measured(&f);
    assert_int_equal(score.corners, 0);
    end(&f);
}

// ---- the bound ----

static void cheeger_constant__of_the_unit_square_is_two_and_the_root_of_pi(void **state)
{
    (void)state;
    assert_true(fabs(cheeger_constant(1.0, 1.0) - (2.0 + sqrt(M_PI))) < 1e-12);
    assert_true(fabs(cheeger_constant(8.0, 12.0) - cheeger_constant(12.0, 8.0)) < 1e-12);
}

// A bar as wide as the sheet and k sheets long needs k - 1 seams across; a plain square of n x n sheets 2 (n - 1) n sides.
static void seam_bound__lies_under_what_is_needed_and_near_it_on_a_large_panel(void **state)
{
    (void)state;
    Paper paper;
    Error err = {0};
    assert_true(paper_parse("12x12", &paper, &err));
    double side = paper_fit_space(&paper).width_mm;
    for (int n = 2; n <= 20; n += 6) {
        Fixture f;
        InSight seen;
        double bound_mm, needed_mm = 2.0 * (n - 1) * n * side;
        begin(&f);
        f.stack.layer_count = 1;
        f.layers[0].rings = box_of(&f, 0, 0, n * side, n * side);
        assert_true(in_sight_make(&f.stack, &f.keep, &f.work, &seen, &f.err));
        assert_true(seam_bound(&seen, &paper, &f.work, &bound_mm, &f.err));
        assert_true(bound_mm < needed_mm);
        if (n == 20) assert_true(bound_mm > 0.85 * needed_mm);
        f.layers[0].cover = box_of(&f, -10, -10, n * side + 10, n * side + 10); // all of it hidden
        assert_true(in_sight_make(&f.stack, &f.keep, &f.work, &seen, &f.err));
        assert_true(seam_bound(&seen, &paper, &f.work, &bound_mm, &f.err));
        assert_true(bound_mm == 0.0);
        end(&f);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(count_necks__a_seam_near_the_tip_of_a_notch_makes_one),
        cmocka_unit_test(count_necks__a_neck_of_the_drawing_is_not_counted),
        cmocka_unit_test(count_thin__short_pieces_and_slices_with_a_seam_are_counted),
        cmocka_unit_test(seam_measure__a_seam_along_one_below_is_told_from_one_beside_or_across),
        cmocka_unit_test(seam_measure__seams_in_small_detail_are_counted_where_in_sight),
        cmocka_unit_test(seam_measure__fours_and_near_joints_are_counted_in_sight_alone),
        cmocka_unit_test(seam_measure__corners_are_counted_for_each_stretch_in_sight),
        cmocka_unit_test(cheeger_constant__of_the_unit_square_is_two_and_the_root_of_pi),
        cmocka_unit_test(seam_bound__lies_under_what_is_needed_and_near_it_on_a_large_panel),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
