// Laws of every division, over random parts: pieces fit, are connected and simple, add up to the layer, share their
// seams to the bit, and come out the same each time. The seed of a part is printed when a law fails.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "support/seam_case.h"

#define PARTS 12

static const char *papers[] = {"letter", "12x12", "a4", "150x210mm"};

static double in_range(Rng *rng, double lo, double hi)
{
    return lo + (hi - lo) * rng_unit(rng);
}

// Unit vectors all round, by turning with a fixed small rotation.
static int round_vectors(double (*out)[2], int count)
{
    for (int i = 0; i < count; i++) {
        out[i][0] = cos(2.0 * 3.14159265358979 * i / count);
        out[i][1] = sin(2.0 * 3.14159265358979 * i / count);
    }
    return count;
}

static Ring star_in(SeamCase *c, Rng *rng, double x, double y, double least, double most, int corners, bool hole)
{
    double way[64][2], out[64][2];
    round_vectors(way, corners);
    for (int i = 0; i < corners; i++) {
        double r = in_range(rng, least, most);
        out[i][0] = x + r * way[i][0];
        out[i][1] = y + r * way[i][1];
    }
    return seam_case_ring_in(c, (const double(*)[2])out, corners, hole);
}

static void make_star_with_holes(SeamCase *c, Rng *rng)
{
    Ring rings[4];
    int holes = (int)rng_below(rng, 4);
    rings[0] = star_in(c, rng, 20, 20, 9, 20, 7 + (int)rng_below(rng, 40), false);
    for (int i = 0; i < holes; i++) {
        static const double places[3][2] = {{16.5, 17}, {23, 18.5}, {19, 23.5}};
        rings[1 + i] = star_in(c, rng, places[i][0], places[i][1], 0.3, 2.5, 3 + (int)rng_below(rng, 9), true);
    }
    seam_case_set_layer(c, rings, 1 + holes);
}

// A frame of whole inches with windows: lines of cuts run along its edges again and again.
static void make_windows(SeamCase *c, Rng *rng)
{
    Ring rings[1 + 16];
    int columns = 1 + (int)rng_below(rng, 4), rows = 1 + (int)rng_below(rng, 4), n = 0;
    double pane = 2 + (double)rng_below(rng, 9), bar = 0.25 + 0.25 * rng_below(rng, 8);
    double w = columns * pane + (columns + 1) * bar, h = rows * pane + (rows + 1) * bar;
    double box[4][2] = {{0, 0}, {w, 0}, {w, h}, {0, h}};
    rings[n++] = seam_case_ring_in(c, (const double(*)[2])box, 4, false);
    for (int i = 0; i < columns; i++) {
        for (int k = 0; k < rows; k++) {
            if (rng_below(rng, 5) == 0) continue;
            double x = bar + i * (pane + bar), y = bar + k * (pane + bar);
            double hole[4][2] = {{x, y}, {x + pane, y}, {x + pane, y + pane}, {x, y + pane}};
            rings[n++] = seam_case_ring_in(c, (const double(*)[2])hole, 4, true);
        }
    }
    seam_case_set_layer(c, rings, n);
}

// Stairs up and down, in steps of whole quarter inches.
static void make_skyline(SeamCase *c, Rng *rng)
{
    double out[2 * 24 + 2][2];
    int steps = 4 + (int)rng_below(rng, 20), n = 0;
    double x = 0;
    for (int i = 0; i < steps; i++) {
        double top = 20 - 0.25 * (4 + rng_below(rng, 60));
        if (n && out[n - 1][1] == top) top += 0.25;
        out[n][0] = x, out[n++][1] = top;
        x += 0.5 + 0.25 * rng_below(rng, 12);
        out[n][0] = x, out[n++][1] = top;
    }
    out[n][0] = x, out[n++][1] = 21;
    out[n][0] = 0, out[n++][1] = 21;
    Ring ring = seam_case_ring_in(c, (const double(*)[2])out, n, false);
    seam_case_set_layer(c, &ring, 1);
}

// A loop of cubics through points all round; neighbours share the direction at their joint.
static void make_curvy_loop(SeamCase *c, Rng *rng)
{
    double way[16][2], r[16];
    int count = 4 + (int)rng_below(rng, 8);
    Point at[16];
    Curve curves[16];
    round_vectors(way, count);
    for (int i = 0; i < count; i++) {
        r[i] = in_range(rng, 180.0, 420.0);
        at[i] = point_from_mm(450 + r[i] * way[i][0], 450 + r[i] * way[i][1]);
    }
    for (int i = 0; i < count; i++) {
        int k = (i + 1) % count;
        double reach = 0.3 * 2.0 * 3.14 / count;
        Point a = point_from_mm(at[i].x / 1e3 - way[i][1] * r[i] * reach, at[i].y / 1e3 + way[i][0] * r[i] * reach);
        Point b = point_from_mm(at[k].x / 1e3 + way[k][1] * r[k] * reach, at[k].y / 1e3 - way[k][0] * r[k] * reach);
        curves[i] = (Curve){at[i], a, b, at[k], false};
    }
    Chain chain;
    int index;
    assert_true(chain_make(curves, count, true, &c->keep, &chain, &c->err));
    assert_true(chains_add(&c->stack.chains, &chain, &c->keep, &index, &c->err));
    Link link = {index, 0, chain.point_count - 1};
    assert_true(area_from_links(&c->stack.chains, &link, 1, &c->keep, &c->layer.area, &c->err));
    assert_true(area_rings(&c->stack.chains, &c->layer.area, &c->keep, &c->layer.rings, &c->err));
}

static void check_same(const LayerPieces *a, const LayerPieces *b)
{
    assert_int_equal(a->piece_count, b->piece_count);
    assert_int_equal(a->seam_count, b->seam_count);
    for (int i = 0; i < a->piece_count; i++) {
        assert_string_equal(a->pieces[i].id, b->pieces[i].id);
        assert_int_equal(a->pieces[i].rings.count, b->pieces[i].rings.count);
        for (int r = 0; r < a->pieces[i].rings.count; r++) {
            const Ring *s = &a->pieces[i].rings.items[r], *t = &b->pieces[i].rings.items[r];
            assert_int_equal(s->count, t->count);
            assert_memory_equal(s->points, t->points, (size_t)s->count * sizeof *s->points);
        }
    }
    for (int i = 0; i < a->seam_count; i++) assert_true(a->seams[i].visible_mm == b->seams[i].visible_mm);
}

static void check_many(uint64_t kind, void (*make)(SeamCase *, Rng *))
{
    for (uint64_t i = 0; i < PARTS; i++) {
        uint64_t seed = 1000 * kind + i;
        Rng rng = rng_make(seed);
        SeamCase c;
        seam_case_open(&c, papers[rng_below(&rng, 4)]);
        make(&c, &rng);
        if (rng_below(&rng, 2)) {
            Ring cover = star_in(&c, &rng, 16, 14, 4, 15, 24, false);
            seam_case_set_cover(&c, &cover, 1);
        }
        print_message("seed %llu\n", (unsigned long long)seed);
        LayerPieces grid, again;
        seam_case_divide(&c);
        assert_true(seam_divide_grid(&c.stack, 0, &c.options, &c.keep, &c.work, &grid, &c.err));
        seam_case_check_laws(&c, &grid);
        assert_true(c.pieces.piece_count <= grid.piece_count);
        assert_true(seam_divide(&c.stack, 0, &c.options, &c.keep, &c.work, &again, &c.err));
        check_same(&c.pieces, &again);
        seam_case_close(&c);
    }
}

static void laws_hold__stars_with_holes(void **state)
{
    (void)state;
    check_many(1, make_star_with_holes);
}

static void laws_hold__windows_on_whole_inches(void **state)
{
    (void)state;
    check_many(2, make_windows);
}

static void laws_hold__skylines(void **state)
{
    (void)state;
    check_many(3, make_skyline);
}

static void laws_hold__loops_of_cubics(void **state)
{
    (void)state;
    check_many(4, make_curvy_loop);
}

static void lack_of_memory__is_told_and_nothing_breaks(void **state)
{
    (void)state;
    SeamCase c;
    Rng rng = rng_make(7);
    seam_case_open(&c, "letter");
    make_star_with_holes(&c, &rng);
    bool done = false;
    for (int64_t step = 0; !done && step < 4000000; step = step * 2 + 1) {
        c.work.scratch.fail_after = step;
        done = seam_divide(&c.stack, 0, &c.options, &c.keep, &c.work, &c.pieces, &c.err);
        if (!done) assert_int_equal(c.err.kind, ERROR_SYSTEM);
    }
    c.work.scratch.fail_after = -1;
    assert_true(done);
    for (int64_t step = 0; step < 200; step += 7) {
        c.keep.fail_after = step;
        if (!seam_divide(&c.stack, 0, &c.options, &c.keep, &c.work, &c.pieces, &c.err))
            assert_int_equal(c.err.kind, ERROR_SYSTEM);
    }
    c.keep.fail_after = -1;
    seam_case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(laws_hold__stars_with_holes),
        cmocka_unit_test(laws_hold__windows_on_whole_inches),
        cmocka_unit_test(laws_hold__skylines),
        cmocka_unit_test(laws_hold__loops_of_cubics),
        cmocka_unit_test(lack_of_memory__is_told_and_nothing_breaks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
