// test_shares.c - what a path covers of the pixels it passes, on a picture whose shares are known.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "outline/shares.h"
#include "support/black_on_white.h"

#include <math.h>

#define SIDE 12
#define EIGHT_BITS 0.003    // a share cannot be drawn finer

typedef struct Drawn {
    BlackOnWhite drawing;
    Work work;
    CrackMap map;
    ArcPainting painting;
    Pixels pixels;
    EdgePath path;
    Comparison seen;
} Drawn;

static bool in_square(double x, double y)
{
    return x > 3.25 && x < 8.75 && y > 3.5 && y < 8.5;
}

static void draw(Drawn *d)
{
    black_on_white(&d->drawing, SIDE, in_square);
    d->work = (Work){.scratch = arena_make(0)};
    Error err = {0};
    assert_true(arcs_find(d->drawing.label, SIDE, SIDE, &d->work.scratch, &d->work, &d->map, &err));
    assert_int_equal(d->map.arc_count, 1);
    d->pixels = blend_prepare(&d->drawing.picture, &d->drawing.separation, false);
    d->painting = (ArcPainting){.whole = painting_plain()};
    const CrackArc *arc = &d->map.arcs[0];
    assert_true(shares_prepare(&d->pixels, &d->painting, &d->map, arc, true, arc->count, 8, &d->work.scratch, &d->path, &err));
}

static int nearest_crack(const Drawn *d, Vec at)
{
    const CrackArc *arc = &d->map.arcs[0];
    int best = 0;
    double least = INFINITY;
    for (int k = 0; k < arc->count; k++) {
        Cell c = d->map.corners[arc->first + k];
        double off = (c.x - at.x) * (c.x - at.x) + (c.y - at.y) * (c.y - at.y);
        if (off < least) least = off, best = k;
    }
    return best;
}

// The square's outline in the arc's direction, from the middle of a side back to it.
static void lay_path(Drawn *d)
{
    static const Vec way[6] = {{6.1, 3.5}, {8.75, 3.5}, {8.75, 8.5}, {3.25, 8.5}, {3.25, 3.5}, {6.1, 3.5}};
    const CrackArc *arc = &d->map.arcs[0];
    Cell a = d->map.corners[arc->first], b = d->map.corners[arc->first + 1]; // the first corner in raster order: top left
    bool is_clockwise = b.x > a.x;
    for (int i = 0; i < 6; i++) {
        Vec at = way[is_clockwise ? i : 5 - i];
        d->path.vertices[i] = (PathVertex){off_grid(at), nearest_crack(d, at), false};
    }
    d->path.count = 6;
}

static void shares_compare__the_drawn_outline_explains_every_pixel(void **state)
{
    (void)state;
    static Drawn d;
    draw(&d);
    lay_path(&d);
    shares_compare(&d.path, 1, d.path.count - 2, &d.seen); // the path's ends share a pixel that neither passes
    assert_in_range(d.seen.count, 18, 24); // pixels on the outline
    for (int i = 0; i < d.seen.count; i++) assert_true(fabs(d.seen.bits[i].off) < EIGHT_BITS);
    assert_true(d.seen.cost < 24 * EIGHT_BITS * EIGHT_BITS);
    arena_free(&d.work.scratch);
}

static void shares_compare__a_moved_side_costs_what_it_covers(void **state)
{
    (void)state;
    static Drawn d;
    draw(&d);
    lay_path(&d);
    for (int i = 1; i <= 2; i++) d.path.vertices[i].at.x += d.path.vertices[i].at.x > 6 ? 0.125 : -0.125; // one whole side, or two halves
    shares_compare(&d.path, 1, 2, &d.seen);
    double most = 0;
    for (int i = 0; i < d.seen.count; i++) most = fmax(most, fabs(d.seen.bits[i].off));
    assert_true(fabs(most - 0.125) < EIGHT_BITS);
    arena_free(&d.work.scratch);
}

// Against differences: the derivative of each pixel's share by each vertex, rounded vertices included.
static void shares_compare__derivatives_are_those_of_small_steps(void **state)
{
    (void)state;
    static Drawn d;
    static Comparison after;
    draw(&d);
    lay_path(&d);
    d.path.vertices[2].is_round = true;
    const double step = 1e-6;
    int checked = 0;
    for (int v = 1; v < 5; v++)
        for (int axis = 0; axis < 2; axis++) {
            shares_compare(&d.path, 0, 5, &d.seen);
            Vec at = d.path.vertices[v].at;
            if (axis) d.path.vertices[v].at.y += step;
            else d.path.vertices[v].at.x += step;
            shares_compare(&d.path, 0, 5, &after);
            d.path.vertices[v].at = at;
            assert_int_equal(after.count, d.seen.count);
            for (int i = 0; i < after.count; i++) {
                const PathBit *bit = &d.seen.bits[i];
                int k = v - bit->first;
                if (k < 0 || k >= bit->count || !bit->is_blend) continue;
                double by = axis ? bit->by[k].y : bit->by[k].x;
                assert_true(fabs((after.bits[i].off - bit->off) / step - by) < 1e-4);
                checked += by != 0;
            }
        }
    assert_true(checked > 40);
    arena_free(&d.work.scratch);
}

// A path that strays over more pixels than the table has slots for goes on with those it knows.
static void shares_compare__a_full_table_leaves_pixels_out(void **state)
{
    (void)state;
    static Drawn d;
    draw(&d);
    Error err = {0};
    const CrackArc *arc = &d.map.arcs[0];
    assert_true(shares_prepare(&d.pixels, &d.painting, &d.map, arc, true, 1, 64, &d.work.scratch, &d.path, &err));
    for (int i = 0; i < 40; i++) d.path.vertices[i] = (PathVertex){{i % 2 ? 11.3 : 0.3, 0.37 + 0.29 * i}, 0, false};
    d.path.count = 40;
    shares_compare(&d.path, 0, 39, &d.seen);
    assert_true(d.path.slots_used <= d.path.slot_mask);
    assert_true(d.seen.count > 0 && d.seen.count <= COMPARED_BITS);
    assert_true(isfinite(d.seen.cost));
    arena_free(&d.work.scratch);
}

static void off_grid__a_point_on_a_border_lies_in_one_pixel(void **state)
{
    (void)state;
    Vec p = off_grid((Vec){3.0, 4.5});
    assert_true(p.x > 3.0 && p.x < 3.0001);
    assert_true(p.y == 4.5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shares_compare__the_drawn_outline_explains_every_pixel),
        cmocka_unit_test(shares_compare__a_moved_side_costs_what_it_covers),
        cmocka_unit_test(shares_compare__derivatives_are_those_of_small_steps),
        cmocka_unit_test(shares_compare__a_full_table_leaves_pixels_out),
        cmocka_unit_test(off_grid__a_point_on_a_border_lies_in_one_pixel),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
