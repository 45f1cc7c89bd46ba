// Laws of chains of random cubics: flattening, inserted nodes, split curves.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <stdlib.h>

#include "base/rng.h"
#include "shape/chain.h"

#define ROUNDS 300
#define SAMPLES 64

static Point random_point(Rng *rng, int reach)
{
    int32_t x = (int32_t)rng_below(rng, (uint32_t)(2 * reach + 1)) - reach;
    return (Point){x, (int32_t)rng_below(rng, (uint32_t)(2 * reach + 1)) - reach};
}

static Chain random_chain(Rng *rng, Arena *keep)
{
    int count = 1 + (int)rng_below(rng, 6), reach = 50 << rng_below(rng, 14);
    Curve curves[6];
    Point at = random_point(rng, reach);
    for (int i = 0; i < count; i++) {
        Point end = random_point(rng, reach);
        while (point_equal(end, at)) end = random_point(rng, reach);
        curves[i] = rng_below(rng, 3) ? (Curve){at, random_point(rng, reach), random_point(rng, reach), end, false}
                                      : curve_line(at, end);
        at = end;
    }
    Chain chain;
    Error err;
    assert_true(chain_make(curves, count, false, keep, &chain, &err));
    return chain;
}

typedef struct Spot {
    double x, y;
} Spot;

// The curve's exact place, by Bernstein's sum: another way than the code under test.
static Spot place(const Curve *c, double t)
{
    double s = 1.0 - t;
    if (c->is_line) return (Spot){c->p0.x * s + c->p3.x * t, c->p0.y * s + c->p3.y * t};
    double b0 = s * s * s, b1 = 3 * s * s * t, b2 = 3 * s * t * t, b3 = t * t * t;
    return (Spot){b0 * c->p0.x + b1 * c->p1.x + b2 * c->p2.x + b3 * c->p3.x,
                  b0 * c->p0.y + b1 * c->p1.y + b2 * c->p2.y + b3 * c->p3.y};
}

static double spot_segment_um(Spot p, Point a, Point b)
{
    double dx = b.x - (double)a.x, dy = b.y - (double)a.y, px = p.x - a.x, py = p.y - a.y;
    double t = fmin(fmax((px * dx + py * dy) / (dx * dx + dy * dy), 0.0), 1.0);
    return hypot(px - t * dx, py - t * dy);
}

static void flat_edges__stay_within_five_micrometres_of_their_curve(void **state)
{
    (void)state;
    double worst = 0.0;
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Arena keep = arena_make(0);
        Rng rng = rng_make(seed);
        Chain chain = random_chain(&rng, &keep);
        for (int i = 0; i + 1 < chain.point_count; i++) {
            assert_true(chain.at[i] < chain.at[i + 1]);
            assert_false(point_equal(chain.points[i], chain.points[i + 1]));
            int k = (int)floor(chain.at[i]);
            for (int j = 1; j < 8; j++) {
                double t = chain.at[i] - k + (chain.at[i + 1] - chain.at[i]) * j / 8.0;
                double off = spot_segment_um(place(&chain.curves[k], t), chain.points[i], chain.points[i + 1]);
                worst = fmax(worst, off);
                if (off > FLATTEN_MM * UM_PER_MM) fail_msg("%g um off, seed %llu", off, (unsigned long long)seed);
            }
        }
        arena_free(&keep);
    }
    print_message("flat edges: worst %.3f um\n", worst);
}

// How far the part is from where the uncut curve is at the same parameter.
static double part_off_um(const Curve *part, const Curve *whole, double t0, double t1)
{
    double worst = 0.0;
    for (int i = 0; i <= SAMPLES; i++) {
        double t = (double)i / SAMPLES;
        Spot p = place(part, t), q = place(whole, t0 + (t1 - t0) * t);
        worst = fmax(worst, hypot(p.x - q.x, p.y - q.y));
    }
    return worst;
}

// Cuts a chain at random nodes; where `on_edge`, at points of the straight flat edge as another computation gives them.
static double cut_and_compare(uint64_t seed, bool on_edge)
{
    enum { NODES = 9 };
    Arena keep = arena_make(0);
    Error err;
    Rng rng = rng_make(seed);
    Chains chains = {0};
    Chain chain = random_chain(&rng, &keep), cut;
    ChainNode nodes[NODES];
    ChainPoint points[NODES];
    int at[NODES], index;
    for (int i = 0; i < NODES; i++) {
        nodes[i] = (ChainNode){(int)rng_below(&rng, (uint32_t)chain.point_count - 1), rng_unit(&rng)};
        if (i % 3 == 2) nodes[i].edge = nodes[i - 1].edge; // several on one edge
        Point a = chain.points[nodes[i].edge], b = chain.points[nodes[i].edge + 1];
        points[i] = (ChainPoint){nodes[i].edge, nodes[i].along, {0, 0}};
        points[i].point = (Point){(int32_t)lround(a.x + nodes[i].along * (b.x - (double)a.x)),
                                  (int32_t)lround(a.y + nodes[i].along * (b.y - (double)a.y))};
    }
    if (on_edge)
        assert_true(chain_insert_points(&chain, 7, points, NODES, &keep, &cut, at, &err));
    else
        assert_true(chain_insert(&chain, 7, nodes, NODES, &keep, &cut, at, &err));
    assert_int_equal(cut.origin, 7);
    for (int i = 0; i + 1 < cut.point_count; i++) {
        assert_true(cut.at[i] < cut.at[i + 1]);
        assert_false(point_equal(cut.points[i], cut.points[i + 1]));
    }
    for (int i = 0; i < NODES; i++) {
        Point want = on_edge ? points[i].point : chain_edge_point(&chain, nodes[i].edge, nodes[i].along);
        assert_true(point_equal(cut.points[at[i]], want));
    }
    assert_true(chains_add(&chains, &cut, &keep, &index, &err));
    double worst = 0.0;
    Point end = cut.points[0];
    for (int from = 0, to; from < cut.point_count - 1; from = to) { // links between the nodes
        to = cut.point_count - 1;
        for (int i = 0; i < NODES; i++)
            if (at[i] > from && at[i] < to) to = at[i];
        Link link = {index, from, to}, back = link_reversed(link);
        int count = link_curve_count(&chains, &link);
        Curve *curves = arena_new(&keep, Curve, count), *turned = arena_new(&keep, Curve, count);
        link_curves(&chains, &link, curves);
        link_curves(&chains, &back, turned);
        assert_true(point_equal(curves[0].p0, end));
        for (int i = 0; i < count; i++) {
            Curve mirror = curve_reversed(&turned[count - 1 - i]);
            assert_memory_equal(&mirror, &curves[i], sizeof(Point) * 4);
            if (i > 0) assert_true(point_equal(curves[i - 1].p3, curves[i].p0));
            int k = (int)floor(cut.at[from]) + i;
            double t0 = fmax(cut.at[from] - k, 0.0), t1 = fmin(cut.at[to] - k, 1.0);
            if (t0 == 0.0 && t1 == 1.0)
                assert_memory_equal(&curves[i], &chain.curves[k], sizeof(Point) * 4); // to the bit
            worst = fmax(worst, part_off_um(&curves[i], &chain.curves[k], t0, t1));
        }
        end = curves[count - 1].p3;
        assert_true(point_equal(end, cut.points[to]));
    }
    arena_free(&keep);
    return worst;
}

static void split_curves__share_nodes_and_stay_on_the_uncut_curve(void **state)
{
    (void)state;
    double worst = 0.0;
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        double off = cut_and_compare(seed, false);
        worst = fmax(worst, off);
        if (off > 1.0) fail_msg("%g um off, seed %llu", off, (unsigned long long)seed);
    }
    print_message("parts cut at nodes of the curve: worst %.3f um\n", worst);
}

static void curves_split_at_given_points__stay_within_six_micrometres(void **state)
{
    (void)state;
    double worst = 0.0;
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        double off = cut_and_compare(seed, true);
        worst = fmax(worst, off);
        if (off > 6.0) fail_msg("%g um off, seed %llu", off, (unsigned long long)seed);
    }
    print_message("parts cut at points of flat edges: worst %.3f um at the same parameter\n", worst);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(flat_edges__stay_within_five_micrometres_of_their_curve),
        cmocka_unit_test(split_curves__share_nodes_and_stay_on_the_uncut_curve),
        cmocka_unit_test(curves_split_at_given_points__stay_within_six_micrometres),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
