#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

#include "shape/chain.h"

static const Curve bow = {{0, 0}, {0, 10000}, {20000, 10000}, {20000, 0}, false};

static void steps__follow_wangs_bound(void **state)
{
    (void)state;
    Curve line = curve_line((Point){0, 0}, (Point){9, 9});
    Curve straight = {{0, 0}, {3000, 0}, {6000, 0}, {9000, 0}, false};
    assert_int_equal(curve_steps(&line), 1);
    assert_int_equal(curve_steps(&straight), 1); // evenly spaced: no second difference
    // Second differences are (20000, -10000) and (-20000, -10000): 22361 um; sqrt(0.75 * 22361 / 4.29) = 62.5.
    assert_int_equal(curve_steps(&bow), 63);
}

static void point__is_exact_at_the_ends_and_right_in_the_middle(void **state)
{
    (void)state;
    assert_true(point_equal(curve_point(&bow, 0.0), bow.p0));
    assert_true(point_equal(curve_point(&bow, 1.0), bow.p3));
    assert_true(point_equal(curve_point(&bow, 0.5), (Point){10000, 7500}));
}

static void part__of_a_curve_has_de_casteljaus_points(void **state)
{
    (void)state;
    Curve half = curve_part(&bow, 0.0, 0.5, bow.p0, (Point){10000, 7500});
    const Curve want = {{0, 0}, {0, 5000}, {5000, 7500}, {10000, 7500}, false};
    assert_memory_equal(&half, &want, 4 * sizeof(Point));
    Curve line = curve_line((Point){0, 0}, (Point){100, 0});
    Curve part = curve_part(&line, 0.2, 0.7, (Point){20, 0}, (Point){70, 0});
    assert_true(part.is_line && point_equal(part.p1, part.p0) && point_equal(part.p2, part.p3));
}

static void make__keeps_joints_and_drops_repeated_points(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err;
    Chain chain;
    // A cubic of 2 um with a strong bend has more steps than places.
    Curve curves[] = {{{0, 0}, {60, 60}, {-60, 60}, {2, 0}, false}, curve_line((Point){2, 0}, (Point){50, 0})};
    assert_true(chain_make(curves, 2, false, &keep, &chain, &err));
    assert_int_equal(chain.curve_count, 2);
    for (int i = 0; i + 1 < chain.point_count; i++) assert_false(point_equal(chain.points[i], chain.points[i + 1]));
    assert_true(point_equal(chain.points[chain.point_count - 1], (Point){50, 0}));
    assert_true(chain.at[chain.point_count - 1] == 2.0 && chain.at[chain.point_count - 2] == 1.0);
    assert_int_equal(chain.origin, -1);
    arena_free(&keep);
}

static void make__leaves_out_a_curve_without_any_flat_edge(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err;
    Chain chain;
    Curve curves[] = {{{0, 0}, {1, 0}, {0, 0}, {0, 0}, false}, curve_line((Point){0, 0}, (Point){50, 0})};
    assert_true(chain_make(curves, 2, false, &keep, &chain, &err));
    assert_int_equal(chain.curve_count, 1);
    assert_int_equal(chain.point_count, 2);
    assert_true(chain.curves[0].is_line);
    arena_free(&keep);
}

static void closed_chain__ends_where_it_starts(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err;
    Chain chain;
    const Point points[] = {{0, 0}, {10, 0}, {10, 10}};
    assert_true(chain_from_points(points, 3, true, &keep, &chain, &err));
    assert_int_equal(chain.point_count, 4);
    assert_int_equal(chain.curve_count, 3);
    assert_true(point_equal(chain.points[3], points[0]) && chain.at[3] == 3.0);
    arena_free(&keep);
}

static void insert__puts_a_node_on_the_curve_not_on_the_flat_edge(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err;
    Chain chain, cut;
    int at[3];
    assert_true(chain_make(&bow, 1, false, &keep, &chain, &err));
    int edge = chain.point_count / 2;
    // In any order; the first and the last of an edge are points that are there already.
    const ChainNode nodes[3] = {{edge, 0.5}, {edge, 0.0}, {3, 1.0}};
    assert_true(chain_insert(&chain, 4, nodes, 3, &keep, &cut, at, &err));
    assert_int_equal(cut.point_count, chain.point_count + 1);
    assert_int_equal(cut.origin, 4);
    assert_int_equal(at[0], edge + 1);
    assert_int_equal(at[1], edge);
    assert_int_equal(at[2], 4);
    double t = (chain.at[edge] + chain.at[edge + 1]) / 2.0;
    assert_true(cut.at[at[0]] == t);
    assert_true(point_equal(cut.points[at[0]], curve_point(&bow, t)));
    arena_free(&keep);
}

static void insert__of_the_same_node_twice_is_one_point(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err;
    Chain chain, cut;
    int at[2];
    const Point points[] = {{0, 0}, {1000, 0}};
    const ChainNode nodes[2] = {{0, 0.5}, {0, 0.5001}};
    assert_true(chain_from_points(points, 2, false, &keep, &chain, &err));
    assert_true(chain_insert(&chain, 0, nodes, 2, &keep, &cut, at, &err));
    assert_int_equal(cut.point_count, 3);
    assert_true(at[0] == 1 && at[1] == 1);
    arena_free(&keep);
}

static void link__walks_both_ways_and_gives_whole_curves_back(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err;
    Chains chains = {0};
    Chain chain;
    int index;
    Curve curves[] = {bow, curve_line(bow.p3, (Point){30000, 0})};
    assert_true(chain_make(curves, 2, false, &keep, &chain, &err));
    assert_true(chains_add(&chains, &chain, &keep, &index, &err));
    Link link = {index, 0, chain.point_count - 1}, back = link_reversed(link);
    assert_int_equal(link_point_count(&link), chain.point_count);
    assert_true(point_equal(link_start(&chains, &back), (Point){30000, 0}));
    assert_true(point_equal(link_end(&chains, &back), (Point){0, 0}));
    assert_true(point_equal(link_point(&chains, &back, 1), bow.p3));
    assert_int_equal(link_curve_count(&chains, &link), 2);
    Curve out[2];
    link_curves(&chains, &link, out);
    assert_memory_equal(out, curves, sizeof out);
    link_curves(&chains, &back, out);
    Curve turned = curve_reversed(&bow);
    assert_memory_equal(&out[1], &turned, 4 * sizeof(Point));
    assert_true(fabs(link_length_mm(&chains, &link) - link_length_mm(&chains, &back)) < 1e-9);
    arena_free(&keep);
}

static void copy__is_deep_and_root_is_the_original(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err;
    Chains chains = {0}, copy;
    Chain chain, cut, cut_again;
    int at, index;
    assert_true(chain_make(&bow, 1, false, &keep, &chain, &err));
    assert_true(chains_add(&chains, &chain, &keep, &index, &err));
    assert_true(chain_insert(&chain, 0, &(ChainNode){3, 0.5}, 1, &keep, &cut, &at, &err));
    assert_true(chains_add(&chains, &cut, &keep, &index, &err));
    assert_true(chain_insert(&cut, index, &(ChainNode){9, 0.5}, 1, &keep, &cut_again, &at, &err));
    assert_true(chains_add(&chains, &cut_again, &keep, &index, &err));
    assert_int_equal(chain_root(&chains, 2), 0);
    assert_int_equal(chain_root(&chains, 0), 0);
    assert_true(chains_copy(&chains, &keep, &copy, &err));
    assert_int_equal(copy.count, 3);
    assert_ptr_not_equal(copy.items[2].points, chains.items[2].points);
    assert_memory_equal(copy.items[2].points, chains.items[2].points, sizeof(Point) * (size_t)cut_again.point_count);
    arena_free(&keep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steps__follow_wangs_bound),
        cmocka_unit_test(point__is_exact_at_the_ends_and_right_in_the_middle),
        cmocka_unit_test(part__of_a_curve_has_de_casteljaus_points),
        cmocka_unit_test(make__keeps_joints_and_drops_repeated_points),
        cmocka_unit_test(make__leaves_out_a_curve_without_any_flat_edge),
        cmocka_unit_test(closed_chain__ends_where_it_starts),
        cmocka_unit_test(insert__puts_a_node_on_the_curve_not_on_the_flat_edge),
        cmocka_unit_test(insert__of_the_same_node_twice_is_one_point),
        cmocka_unit_test(link__walks_both_ways_and_gives_whole_curves_back),
        cmocka_unit_test(copy__is_deep_and_root_is_the_original),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
