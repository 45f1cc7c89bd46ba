// seam_random.h - random parts to divide: stars with holes, windows, skylines, loops of cubics.
#ifndef PM_TESTS_SUPPORT_SEAM_RANDOM_H
#define PM_TESTS_SUPPORT_SEAM_RANDOM_H

#include "base/rng.h"
#include "support/seam_case.h"

static inline double seam_random_range(Rng *rng, double lo, double hi)
{
    return lo + (hi - lo) * rng_unit(rng);
}

// Unit vectors all round, by turning with a fixed small rotation.
static inline int seam_random_round_vectors(double (*out)[2], int count)
{
    for (int i = 0; i < count; i++) {
        out[i][0] = cos(2.0 * 3.14159265358979 * i / count);
        out[i][1] = sin(2.0 * 3.14159265358979 * i / count);
    }
    return count;
}

static inline Ring seam_random_star(SeamCase *c, Rng *rng, double x, double y, double least, double most, int corners,
                                    bool hole)
{
    double way[64][2], out[64][2];
    seam_random_round_vectors(way, corners);
    for (int i = 0; i < corners; i++) {
        double r = seam_random_range(rng, least, most);
        out[i][0] = x + r * way[i][0];
        out[i][1] = y + r * way[i][1];
    }
    return seam_case_ring_in(c, (const double(*)[2])out, corners, hole);
}

static inline void seam_random_star_with_holes(SeamCase *c, Rng *rng)
{
    Ring rings[4];
    int holes = (int)rng_below(rng, 4);
    rings[0] = seam_random_star(c, rng, 20, 20, 9, 20, 7 + (int)rng_below(rng, 40), false);
    for (int i = 0; i < holes; i++) {
        static const double places[3][2] = {{16.5, 17}, {23, 18.5}, {19, 23.5}};
        rings[1 + i] = seam_random_star(c, rng, places[i][0], places[i][1], 0.3, 2.5, 3 + (int)rng_below(rng, 9), true);
    }
    seam_case_set_layer(c, rings, 1 + holes);
}

// A frame of whole inches with windows: lines of cuts run along its edges again and again.
static inline void seam_random_windows(SeamCase *c, Rng *rng)
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
static inline void seam_random_skyline(SeamCase *c, Rng *rng)
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
static inline void seam_random_curvy_loop(SeamCase *c, Rng *rng)
{
    double way[16][2], r[16];
    int count = 4 + (int)rng_below(rng, 8);
    Point at[16];
    Curve curves[16];
    seam_random_round_vectors(way, count);
    for (int i = 0; i < count; i++) {
        r[i] = seam_random_range(rng, 180.0, 420.0);
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

static inline void seam_random_check_same(const LayerPieces *a, const LayerPieces *b)
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

#endif
