// Laws of the cover index, against the plain test of rings and against sampling.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <stdlib.h>

#include "shape/cover.h"
#include "support/label_map.h"

#define ROUNDS 200

// Rings of a random label set, or a random star; coarse, so that points and lines often meet vertices and edges.
static Rings random_rings(Rng *rng, int cell_um, Arena *keep)
{
    Rings rings;
    Error err;
    if (rng_below(rng, 4) == 0) {
        rings = (Rings){arena_new(keep, Ring, 1), 1};
        do { // small stars may fold up when they are rounded
            rings.items[0] = random_star(rng, (Point){cell_um, cell_um}, 3 + (int)rng_below(rng, 300), cell_um / 10,
                                         4 * cell_um, keep);
        } while (!ring_is_simple(&rings.items[0]));
        return rings;
    }
    LabelMap map = label_map_make(rng, 1 + (int)rng_below(rng, 10), 1 + (int)rng_below(rng, 10), 2, cell_um,
                                  (MapStyle)rng_below(rng, 3), keep);
    Area area = label_map_union(&map, 1u, keep);
    assert_true(area_rings(&map.chains, &area, keep, &rings, &err));
    return rings;
}

// A random place, often a vertex or a place on the grid.
static Point random_place(Rng *rng, const Rings *rings, int cell_um)
{
    if (rings->count > 0 && rng_below(rng, 3) == 0) {
        const Ring *ring = &rings->items[rng_below(rng, (uint32_t)rings->count)];
        return ring->points[rng_below(rng, (uint32_t)ring->count)];
    }
    int step = rng_below(rng, 2) ? cell_um / 2 : 1, most = 11 * cell_um / step;
    int32_t x = ((int32_t)rng_below(rng, (uint32_t)most) - cell_um / step) * step;
    return (Point){x, ((int32_t)rng_below(rng, (uint32_t)most) - cell_um / step) * step};
}

static void contains__agrees_with_the_plain_test(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Arena keep = arena_make(0);
        Error err;
        Rng rng = rng_make(seed);
        int cell_um = seed % 2 ? 20 : 3000;
        Rings rings = random_rings(&rng, cell_um, &keep);
        Cover cover;
        assert_true(cover_make(&rings, &keep, &cover, &err));
        for (int i = 0; i < 500; i++) {
            Point p = random_place(&rng, &rings, cell_um);
            if (cover_contains(&cover, p) != rings_contain(&rings, p))
                fail_msg("point %d %d, seed %llu", p.x, p.y, (unsigned long long)seed);
        }
        arena_free(&keep);
    }
}

static bool in_spans(const Span *spans, int count, double t)
{
    for (int i = 0; i < count; i++)
        if (t >= spans[i].t0 && t <= spans[i].t1) return true;
    return false;
}

static double nearest_end(const Span *spans, int count, double t)
{
    double best = INFINITY;
    for (int i = 0; i < count; i++) best = fmin(best, fmin(fabs(spans[i].t0 - t), fabs(spans[i].t1 - t)));
    return best;
}

#define FINE 64 // rings and lines of the next test are this many times larger, so that there are points in between

static Rings enlarged(const Rings *rings)
{
    for (int i = 0; i < rings->count; i++)
        for (int j = 0; j < rings->items[i].count; j++) {
            rings->items[i].points[j].x *= FINE;
            rings->items[i].points[j].y *= FINE;
        }
    return *rings;
}

// A place where the line only touches the rings has no span: it is outside just before and just after.
static bool only_touches(const Rings *rings, Point p, const int *way, bool first, bool last)
{
    Point after = {p.x + way[0], p.y + way[1]}, before = {p.x - way[0], p.y - way[1]};
    return (last || !rings_contain(rings, after)) && (first || !rings_contain(rings, before));
}

// On lines whose direction is one of a few small whole vectors, the whole points in between are known exactly.
static void spans__agree_with_the_plain_test_at_whole_points(void **state)
{
    (void)state;
    static const int ways[8][2] = {{1, 0}, {0, 1}, {1, 1}, {1, -1}, {2, 1}, {-1, 2}, {-1, 0}, {-3, -1}};
    long long tested = 0;
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Arena keep = arena_make(0);
        Error err;
        Rng rng = rng_make(seed);
        int cell_um = seed % 2 ? 20 : 120;
        Rings rings = random_rings(&rng, cell_um, &keep);
        rings = enlarged(&rings);
        Cover cover;
        assert_true(cover_make(&rings, &keep, &cover, &err));
        for (int i = 0; i < 60; i++) {
            Point a = random_place(&rng, &rings, cell_um * FINE);
            const int *way = ways[rng_below(&rng, 8)];
            int steps = 1 + (int)rng_below(&rng, (uint32_t)(8 * cell_um)), count;
            Point b = {a.x + FINE * steps * way[0], a.y + FINE * steps * way[1]};
            Span *spans = cover_spans(&cover, a, b, &keep, &count);
            assert_non_null(spans);
            for (int s = 0; s < count; s++) {
                assert_true(spans[s].t0 >= 0.0 && spans[s].t0 < spans[s].t1 && spans[s].t1 <= 1.0);
                if (s > 0) assert_true(spans[s - 1].t1 < spans[s].t0);
            }
            for (int j = 0; j <= steps; j++, tested++) {
                double t = (double)j / steps;
                Point p = {a.x + FINE * j * way[0], a.y + FINE * j * way[1]};
                bool want = rings_contain(&rings, p), got = in_spans(spans, count, t);
                // Next to the end of a span the points before and after do not tell.
                if (want == got || nearest_end(spans, count, t) <= 1.0 / (FINE * (double)steps)) continue;
                if (got || !only_touches(&rings, p, way, j == 0, j == steps))
                    fail_msg("line %d %d to %d %d at %d: %d, seed %llu", a.x, a.y, b.x, b.y, j, (int)want,
                             (unsigned long long)seed);
            }
        }
        arena_free(&keep);
    }
    print_message("whole points tested: %lld\n", tested);
}

static void length__of_a_line_and_of_its_halves_agree(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Arena keep = arena_make(0);
        Error err;
        Rng rng = rng_make(seed);
        Rings rings = random_rings(&rng, 3000, &keep);
        Cover cover;
        assert_true(cover_make(&rings, &keep, &cover, &err));
        for (int i = 0; i < 100; i++) {
            Point a = random_place(&rng, &rings, 3000), b = random_place(&rng, &rings, 3000);
            Point m = {(a.x + b.x) / 2, (a.y + b.y) / 2};
            b = (Point){2 * m.x - a.x, 2 * m.y - a.y}; // m is the exact middle
            double whole = cover_length_mm(&cover, a, b, &keep), back = cover_length_mm(&cover, b, a, &keep);
            double halves = cover_length_mm(&cover, a, m, &keep) + cover_length_mm(&cover, m, b, &keep);
            if (fabs(whole - halves) > 1e-5 || fabs(whole - back) > 1e-5)
                fail_msg("%g, back %g, halves %g, seed %llu", whole, back, halves, (unsigned long long)seed);
        }
        arena_free(&keep);
    }
}

static void distance__is_that_of_the_nearest_edge(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Arena keep = arena_make(0);
        Error err;
        Rng rng = rng_make(seed);
        Rings rings = random_rings(&rng, 3000, &keep);
        Cover cover;
        assert_true(cover_make(&rings, &keep, &cover, &err));
        for (int i = 0; i < 40; i++) {
            Point p = random_place(&rng, &rings, 3000);
            double limit = 10.0 * rng_unit(&rng), best = limit;
            for (int e = 0; e < cover.edge_count; e++)
                best = fmin(best, point_segment_distance_mm(p, cover.edges[e].a, cover.edges[e].b));
            if (cover_distance_mm(&cover, p, limit) != best) fail_msg("seed %llu", (unsigned long long)seed);
        }
        arena_free(&keep);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(contains__agrees_with_the_plain_test),
        cmocka_unit_test(spans__agree_with_the_plain_test_at_whole_points),
        cmocka_unit_test(length__of_a_line_and_of_its_halves_agree),
        cmocka_unit_test(distance__is_that_of_the_nearest_edge),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
