// Laws of areas made of links, over random label maps and random shapes.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "shape/overlay.h"
#include "support/label_map.h"

#define ROUNDS 300

typedef struct Bench {
    Arena keep;
    Work work;
    Error err;
} Bench;

static Bench bench_make(void)
{
    Bench bench = {arena_make(0), {.scratch = arena_make(0)}, {0}};
    assert_true(overlay_create(NULL, &bench.work.overlay, &bench.err));
    return bench;
}

static void bench_free(Bench *bench)
{
    overlay_destroy(bench->work.overlay);
    arena_free(&bench->work.scratch);
    arena_free(&bench->keep);
}

static LabelMap random_map(Rng *rng, Arena *keep)
{
    MapStyle style = (MapStyle)rng_below(rng, 3);
    int columns = 2 + (int)rng_below(rng, 12), rows = 2 + (int)rng_below(rng, 12);
    return label_map_make(rng, columns, rows, 2 + (int)rng_below(rng, 5), 3000, style, keep);
}

static int64_t area2(const Chains *chains, const Area *area)
{
    return (int64_t)llround(area_mm2(chains, area) * 2e6);
}

static double perimeter_mm(const Chains *chains, const Area *area)
{
    double sum = 0.0;
    for (int i = 0; i < area->link_count; i++) sum += link_length_mm(chains, &area->links[i]);
    return sum;
}

static Rings rings_of(Bench *bench, const Chains *chains, const Area *area)
{
    Rings rings;
    assert_true(area_rings(chains, area, &bench->keep, &rings, &bench->err));
    return rings;
}

static void assert_normal(Bench *bench, const Chains *chains, const Area *area)
{
    Rings rings = rings_of(bench, chains, area);
    for (int i = 0; i < rings.count; i++) {
        const Ring *ring = &rings.items[i];
        assert_true(point_equal(ring->points[0], link_start(chains, &area->links[area->rings[i].first_link])));
        for (int j = 1; j < ring->count; j++) assert_true(point_compare(ring->points[0], ring->points[j]) < 0);
        if (i > 0) assert_true(point_compare(rings.items[i - 1].points[0], ring->points[0]) <= 0);
        assert_true(ring_area2_um2(ring) != 0);
        int outer = area->rings[i].outer;
        assert_true((ring_area2_um2(ring) > 0) == (outer == i));
        assert_true(ring_area2_um2(&rings.items[outer]) > 0);
        if (ring->count < 1000) assert_true(ring_is_simple(ring));
    }
    Area again;
    assert_true(area_normalise(chains, area, &bench->keep, &again, &bench->err));
    assert_int_equal(again.link_count, area->link_count);
    assert_int_equal(again.ring_count, area->ring_count);
    assert_memory_equal(again.links, area->links, sizeof(Link) * (size_t)area->link_count);
    assert_memory_equal(again.rings, area->rings, sizeof(LinkRing) * (size_t)area->ring_count);
}

static void same_rings(const Rings *a, const Rings *b)
{
    assert_int_equal(a->count, b->count);
    for (int i = 0; i < a->count; i++) {
        assert_int_equal(a->items[i].count, b->items[i].count);
        assert_memory_equal(a->items[i].points, b->items[i].points, sizeof(Point) * (size_t)a->items[i].count);
    }
}

static uint32_t random_set(Rng *rng, const LabelMap *map)
{
    return rng_below(rng, 1u << map->label_count);
}

static void union_of_labels__has_the_area_of_its_labels_and_is_valid(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Bench bench = bench_make();
        Rng rng = rng_make(seed);
        LabelMap map = random_map(&rng, &bench.keep);
        uint32_t set = random_set(&rng, &map);
        Area area = label_map_union(&map, set, &bench.keep);
        if (area2(&map.chains, &area) != label_map_area2(&map, set))
            fail_msg("area differs, seed %llu", (unsigned long long)seed);
        assert_normal(&bench, &map.chains, &area);
        Rings rings = rings_of(&bench, &map.chains, &area), parts[32], ours, theirs;
        int n = 0;
        for (int i = 0; i < map.label_count; i++) {
            Area one = label_map_union(&map, set & 1u << i, &bench.keep);
            parts[n++] = rings_of(&bench, &map.chains, &one);
        }
        assert_true(overlay_rings_union(parts, n, &bench.keep, &bench.work, &theirs, &bench.err));
        assert_true(overlay_rings_union(&rings, 1, &bench.keep, &bench.work, &ours, &bench.err));
        same_rings(&rings, &ours); // GEOS changes nothing in it: it was valid
        if (llround(rings_area_mm2(&theirs) * 2e6) != label_map_area2(&map, set))
            fail_msg("polygons differ, seed %llu", (unsigned long long)seed);
        bench_free(&bench);
    }
}

static Area combined(Bench *bench, const Area *a, const Area *b, OverlayOp op, Chains *chains)
{
    Area out;
    assert_true(overlay_combine(a, b, op, chains, &bench->keep, &bench->work, &out, &bench->err));
    return out;
}

static void areas_that_share_arcs__keep_their_arcs_through_an_overlay(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Bench bench = bench_make();
        Rng rng = rng_make(seed);
        LabelMap map = random_map(&rng, &bench.keep);
        uint32_t one = random_set(&rng, &map), two = random_set(&rng, &map);
        Area a = label_map_union(&map, one, &bench.keep), b = label_map_union(&map, two, &bench.keep);
        const uint32_t wanted[3] = {one | two, one & two, one & ~two};
        size_t chain_count = map.chains.count;
        for (int op = 0; op < 3; op++) {
            Area got = combined(&bench, &a, &b, (OverlayOp)op, &map.chains);
            Area plain = label_map_union(&map, wanted[op], &bench.keep);
            Rings got_rings = rings_of(&bench, &map.chains, &got), plain_rings = rings_of(&bench, &map.chains, &plain);
            if (map.chains.count != chain_count)
                fail_msg("new chains without need, seed %llu", (unsigned long long)seed);
            if (area2(&map.chains, &got) != label_map_area2(&map, wanted[op]))
                fail_msg("area, seed %llu", (unsigned long long)seed);
            same_rings(&got_rings, &plain_rings);
            assert_normal(&bench, &map.chains, &got);
        }
        bench_free(&bench);
    }
}

// How many of the flat points of the result are in the chains that went in (by root).
typedef struct Kept {
    long long points, unknown_links;
} Kept;

static void count_kept(const Chains *chains, size_t inputs, const Area *area, Kept *kept)
{
    for (int i = 0; i < area->link_count; i++) {
        int root = chain_root(chains, area->links[i].chain);
        if ((size_t)root < inputs)
            kept->points += link_point_count(&area->links[i]) - 1;
        else
            kept->unknown_links++;
    }
}

static void areas_that_cross__add_up_and_keep_their_chains(void **state)
{
    (void)state;
    Kept kept = {0};
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) {
        Bench bench = bench_make();
        Rng rng = rng_make(seed);
        LabelMap map = random_map(&rng, &bench.keep);
        Area a = label_map_union(&map, random_set(&rng, &map), &bench.keep), b;
        int size = 3000 * (map.columns < map.rows ? map.columns : map.rows);
        Ring star =
            random_star(&rng, (Point){size / 2, size / 2}, 5 + (int)rng_below(&rng, 200), size / 8, size, &bench.keep);
        assert_true(area_from_rings(&(Rings){&star, 1}, &map.chains, &bench.keep, &b, &bench.err));
        size_t inputs = map.chains.count;
        Chains before;
        assert_true(chains_copy(&map.chains, &bench.keep, &before, &bench.err));
        Area joined = combined(&bench, &a, &b, OVERLAY_UNION, &map.chains);
        Area common = combined(&bench, &a, &b, OVERLAY_INTERSECTION, &map.chains);
        Area rest = combined(&bench, &a, &b, OVERLAY_DIFFERENCE, &map.chains);
        double off = 0.001 * (perimeter_mm(&map.chains, &a) + perimeter_mm(&map.chains, &b)) + 1e-9;
        double sa = area_mm2(&map.chains, &a), sb = area_mm2(&map.chains, &b);
        double su = area_mm2(&map.chains, &joined), si = area_mm2(&map.chains, &common),
               sd = area_mm2(&map.chains, &rest);
        if (fabs(sa + sb - su - si) > off || fabs(sa - si - sd) > off)
            fail_msg("areas do not add up, seed %llu", (unsigned long long)seed);
        // What was cut apart is put together again. Two operations may round the same crossing in two ways.
        Area again = combined(&bench, &common, &rest, OVERLAY_UNION, &map.chains);
        if (fabs(area_mm2(&map.chains, &again) - sa) > off)
            fail_msg("parts do not join, seed %llu", (unsigned long long)seed);
        Area results[4] = {joined, common, rest, again};
        for (int i = 0; i < 4; i++) {
            assert_normal(&bench, &map.chains, &results[i]);
            count_kept(&map.chains, inputs, &results[i], &kept);
        }
        for (size_t i = 0; i < inputs; i++) {
            assert_memory_equal(before.items[i].points, map.chains.items[i].points,
                                sizeof(Point) * (size_t)before.items[i].point_count);
            assert_memory_equal(before.items[i].at, map.chains.items[i].at,
                                sizeof(double) * (size_t)before.items[i].point_count);
        }
        bench_free(&bench);
    }
    print_message("kept points %lld, links of unknown origin %lld\n", kept.points, kept.unknown_links);
    assert_int_equal(kept.unknown_links, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(union_of_labels__has_the_area_of_its_labels_and_is_valid),
        cmocka_unit_test(areas_that_share_arcs__keep_their_arcs_through_an_overlay),
        cmocka_unit_test(areas_that_cross__add_up_and_keep_their_chains),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
