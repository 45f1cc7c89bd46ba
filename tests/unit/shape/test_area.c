#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/label_map.h"

// The rings of label 1 in a small map of unit cells of 1 mm; label 0 is around it.
typedef struct Case {
    LabelMap map;
    Area area;
    Arena keep;
} Case;

static Case map_case(const int *labels, int columns, int rows)
{
    Case c = {.keep = arena_make(0)};
    Rng rng = rng_make(1);
    c.map = label_map_of(labels, columns, rows, 1000, MAP_STAIRS, &rng, &c.keep);
    c.area = label_map_union(&c.map, 2u, &c.keep);
    return c;
}

static Rings rings_of(Case *c)
{
    Rings rings;
    Error err;
    assert_true(area_rings(&c->map.chains, &c->area, &c->keep, &rings, &err));
    for (int i = 0; i < rings.count; i++) assert_true(ring_is_simple(&rings.items[i]));
    return rings;
}

static void two_cells_that_touch_at_a_corner__are_two_rings(void **state)
{
    (void)state;
    Case c = map_case((int[]){1, 0, 0, 1}, 2, 2);
    Rings rings = rings_of(&c);
    assert_int_equal(rings.count, 2);
    assert_true(ring_area_mm2(&rings.items[0]) == 1.0 && ring_area_mm2(&rings.items[1]) == 1.0);
    assert_true(point_equal(rings.items[0].points[0], (Point){0, 0}));
    assert_true(point_equal(rings.items[1].points[0], (Point){1000, 1000}));
    arena_free(&c.keep);
}

static void hole_that_touches_its_outline__is_a_ring_of_its_own(void **state)
{
    (void)state;
    Case c = map_case((int[]){0, 1, 1, 1, 0, 1, 1, 1, 1}, 3, 3);
    Rings rings = rings_of(&c);
    assert_int_equal(rings.count, 2);
    assert_true(ring_area_mm2(&rings.items[0]) == 8.0);
    assert_true(ring_area_mm2(&rings.items[1]) == -1.0);
    assert_int_equal(c.area.rings[1].outer, 0);
    assert_true(area_mm2(&c.map.chains, &c.area) == 7.0);
    arena_free(&c.keep);
}

static void ring_of_touching_holes__parts_what_lies_within(void **state)
{
    (void)state;
    Case c = map_case((int[]){1, 1, 1, 1, 1, 1, 1, 0, 1, 1, 1, 0, 1, 0, 1, 1, 1, 0, 1, 1, 1, 1, 1, 1, 1}, 5, 5);
    Rings rings = rings_of(&c);
    int outer = 0;
    for (int i = 0; i < rings.count; i++) outer += c.area.rings[i].outer == i;
    assert_int_equal(outer, 2); // the cell in the middle hangs on by corners only
    assert_true(area_mm2(&c.map.chains, &c.area) == 21.0);
    arena_free(&c.keep);
}

static void island_in_a_hole__is_outer_again_and_a_polygon_of_its_own(void **state)
{
    (void)state;
    Case c = map_case((int[]){1, 1, 1, 1, 1, 1, 0, 0, 0, 1, 1, 0, 1, 0, 1, 1, 0, 0, 0, 1, 1, 1, 1, 1, 1}, 5, 5);
    Error err;
    Area island, frame;
    assert_int_equal(c.area.ring_count, 3);
    assert_int_equal(c.area.rings[0].outer, 0);
    assert_int_equal(c.area.rings[1].outer, 0);
    assert_int_equal(c.area.rings[2].outer, 2);
    assert_true(area_polygon(&c.area, 0, &c.keep, &frame, &err));
    assert_true(area_polygon(&c.area, 2, &c.keep, &island, &err));
    assert_int_equal(frame.ring_count, 2);
    assert_int_equal(frame.rings[1].outer, 0);
    assert_true(area_mm2(&c.map.chains, &frame) == 16.0);
    assert_true(area_mm2(&c.map.chains, &island) == 1.0);
    Box box = area_box(&c.map.chains, &island);
    assert_true(box.min.x == 2000 && box.max.y == 3000);
    arena_free(&c.keep);
}

static Area one_ring_area(Arena *keep, Chains *chains, bool closed)
{
    Error err;
    Chain chain;
    int index;
    // Starts inside of its lower curve, far from the least point.
    const Curve curves[] = {
        {{0, 9000}, {4000, 12000}, {8000, 12000}, {12000, 9000}, false},
        {{12000, 9000}, {9000, -3000}, {3000, -3000}, {0, 9000}, false},
    };
    assert_true(chain_make(curves, 2, closed, keep, &chain, &err));
    assert_true(chains_add(chains, &chain, keep, &index, &err));
    Link *links = arena_new(keep, Link, 3);
    LinkRing *rings = arena_new(keep, LinkRing, 1);
    int last = chain.point_count - 1;
    links[0] = (Link){0, last, 30}, links[1] = (Link){0, 30, 5}, links[2] = (Link){0, 5, 0};
    rings[0] = (LinkRing){0, 3, 0};
    return (Area){links, 3, rings, 1};
}

static void normalise__joins_links_and_starts_at_the_least_point(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err;
    Chains chains = {0};
    Area area = one_ring_area(&keep, &chains, true), normal, again;
    assert_true(area_normalise(&chains, &area, &keep, &normal, &err));
    assert_int_equal(normal.link_count, 2); // cut at the least point, and where the closed chain ends
    Point start = link_start(&chains, &normal.links[0]);
    for (int i = 0; i < normal.link_count; i++)
        for (int j = 0; j < link_point_count(&normal.links[i]); j++)
            assert_true(point_compare(start, link_point(&chains, &normal.links[i], j)) <= 0);
    assert_true(area_mm2(&chains, &normal) == area_mm2(&chains, &area));
    assert_true(area_normalise(&chains, &normal, &keep, &again, &err));
    assert_int_equal(again.link_count, normal.link_count);
    assert_memory_equal(again.links, normal.links, sizeof(Link) * 2);
    arena_free(&keep);
}

static void path__gives_curves_whole_although_the_ring_starts_within_one(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err;
    Chains chains = {0};
    Area area = one_ring_area(&keep, &chains, true), normal;
    Path path;
    assert_true(area_normalise(&chains, &area, &keep, &normal, &err));
    assert_true(area_path(&chains, &normal, &keep, &path, &err));
    assert_int_equal(path.part_count, 1);
    assert_int_equal(path.curve_count, 2);
    assert_int_equal(path.first[1], 2);
    for (int i = 0; i < 2; i++) assert_true(point_equal(path.curves[i].p3, path.curves[1 - i].p0));
    Curve turned = curve_reversed(&path.curves[0]);
    assert_memory_equal(&turned, &chains.items[0].curves[1], 4 * sizeof(Point));
    arena_free(&keep);
}

static void empty_area__has_no_rings_anywhere(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err;
    Chains chains = {0};
    Area area;
    Path path;
    Rings rings;
    assert_true(area_from_links(&chains, NULL, 0, &keep, &area, &err));
    assert_int_equal(area.ring_count, 0);
    assert_true(area_path(&chains, &area, &keep, &path, &err) && path.curve_count == 0);
    assert_true(area_rings(&chains, &area, &keep, &rings, &err) && rings.count == 0);
    assert_true(area_mm2(&chains, &area) == 0.0);
    arena_free(&keep);
}

static void missing_memory__is_a_clean_error(void **state)
{
    (void)state;
    const int labels[] = {0, 1, 1, 1, 0, 1, 1, 1, 1};
    for (int64_t after = 0;; after++) {
        Case c = map_case(labels, 3, 3);
        Error err = {0};
        Area area = {0};
        Path path = {0};
        Link links[16];
        for (int i = 0; i < c.area.link_count; i++) links[i] = c.area.links[i];
        Arena keep = arena_make(0);
        keep.fail_after = after;
        bool ok = area_from_links(&c.map.chains, links, c.area.link_count, &keep, &area, &err) &&
                  area_path(&c.map.chains, &area, &keep, &path, &err);
        if (!ok) {
            assert_int_equal(err.kind, ERROR_SYSTEM);
            assert_true(path.curve_count == 0);
        }
        arena_free(&keep);
        arena_free(&c.keep);
        if (ok) break;
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_cells_that_touch_at_a_corner__are_two_rings),
        cmocka_unit_test(hole_that_touches_its_outline__is_a_ring_of_its_own),
        cmocka_unit_test(ring_of_touching_holes__parts_what_lies_within),
        cmocka_unit_test(island_in_a_hole__is_outer_again_and_a_polygon_of_its_own),
        cmocka_unit_test(normalise__joins_links_and_starts_at_the_least_point),
        cmocka_unit_test(path__gives_curves_whole_although_the_ring_starts_within_one),
        cmocka_unit_test(empty_area__has_no_rings_anywhere),
        cmocka_unit_test(missing_memory__is_a_clean_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
