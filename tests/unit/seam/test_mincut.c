// test_mincut.c - the cheapest cut of small graphs, worked out on paper, and of random ones against all cuts there are.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "seam/mincut.h"

enum { MOST_NODES = 8, MOST_LINKS = 24, RANDOM = 400 };

typedef struct Graph {
    CutLink links[MOST_LINKS];
    int link_count, node_count;
} Graph;

static int64_t cut(const Graph *g, bool *near)
{
    Work work = {.scratch = arena_make(0)};
    Error err = {0};
    int64_t value;
    assert_true(mincut(g->links, g->link_count, g->node_count, 0, 1, INT64_MAX, &work, near, &value, &err));
    arena_free(&work.scratch);
    assert_true(near[0] && !near[1]);
    return value;
}

static int64_t between(const Graph *g, unsigned near)
{
    int64_t sum = 0;
    for (int i = 0; i < g->link_count; i++)
        if ((near >> g->links[i].a & 1) != (near >> g->links[i].b & 1)) sum += g->links[i].capacity;
    return sum;
}

// 0 - 2 - 3 - 1 in a row with capacities 5, 2, 7: the middle one is cut.
static void mincut__cuts_the_weakest_link_of_a_row(void **state)
{
    (void)state;
    Graph g = {{{0, 2, 5}, {2, 3, 2}, {3, 1, 7}}, 3, 4};
    bool near[MOST_NODES];
    assert_int_equal(cut(&g, near), 2);
    assert_true(near[2] && !near[3]);
}

// Two ways from 0 to 1 with a link across that leads flow from one to the other: 0-2 3, 0-3 2, 2-3 4, 2-1 1, 3-1 6. Round
// node 1 the cut is 7, round node 0 it is 5: the latter is the cheapest.
static void mincut__flow_goes_across_where_that_carries_more(void **state)
{
    (void)state;
    Graph g = {{{0, 2, 3}, {0, 3, 2}, {2, 3, 4}, {2, 1, 1}, {3, 1, 6}}, 5, 4};
    bool near[MOST_NODES];
    assert_int_equal(cut(&g, near), 5);
    assert_false(near[2] || near[3]);
}

static void mincut__links_between_the_same_two_add_up(void **state)
{
    (void)state;
    Graph g = {{{0, 2, 1}, {2, 0, 1}, {0, 2, 1}, {2, 1, 4}, {2, 2, 9}}, 5, 3};
    bool near[MOST_NODES];
    assert_int_equal(cut(&g, near), 3);
    assert_false(near[2]);
}

static void mincut__of_what_hangs_apart_costs_nothing(void **state)
{
    (void)state;
    Graph g = {{{0, 2, 5}, {3, 1, 7}}, 2, 5};
    bool near[MOST_NODES];
    assert_int_equal(cut(&g, near), 0);
    assert_true(near[2] && !near[3] && !near[4]);
}

static void make_random(Rng *rng, Graph *g)
{
    *g = (Graph){.node_count = 3 + (int)rng_below(rng, MOST_NODES - 2), .link_count = 1 + (int)rng_below(rng, MOST_LINKS)};
    for (int i = 0; i < g->link_count; i++)
        g->links[i] = (CutLink){(int)rng_below(rng, (unsigned)g->node_count), (int)rng_below(rng, (unsigned)g->node_count),
                                (int32_t)rng_below(rng, 10)};
}

// The value is that of the nodes' sides, and no other sides are cheaper.
static void mincut__is_the_cheapest_of_all_cuts(void **state)
{
    (void)state;
    for (uint64_t seed = 0; seed < RANDOM; seed++) {
        Rng rng = rng_make(seed);
        Graph g;
        bool near[MOST_NODES] = {false};
        make_random(&rng, &g);
        int64_t value = cut(&g, near);
        unsigned sides = 0;
        for (int i = 0; i < g.node_count; i++) sides |= (unsigned)near[i] << i;
        if (between(&g, sides) != value) print_message("seed %llu\n", (unsigned long long)seed);
        assert_int_equal(between(&g, sides), value);
        for (unsigned other = 0; other < 1u << g.node_count; other++)
            if ((other & 3) == 1) assert_true(between(&g, other) >= value);
    }
}

// Ten ways of two links, each with 3: the cut is 30. Asked for no more than 10, it stops once it knows of more.
static void mincut__stops_above_what_is_asked_for(void **state)
{
    (void)state;
    Work work = {.scratch = arena_make(0)};
    Error err = {0};
    CutLink links[20];
    bool near[12];
    int64_t value;
    for (int i = 0; i < 10; i++) {
        links[2 * i] = (CutLink){0, 2 + i, 3};
        links[2 * i + 1] = (CutLink){2 + i, 1, 3};
    }
    assert_true(mincut(links, 20, 12, 0, 1, 10, &work, near, &value, &err));
    assert_true(value > 10 && value < 30);
    assert_true(mincut(links, 20, 12, 0, 1, 30, &work, near, &value, &err));
    assert_int_equal(value, 30);
    arena_free(&work.scratch);
}

static void mincut__tells_when_memory_runs_out(void **state)
{
    (void)state;
    Graph g = {{{0, 2, 5}, {2, 1, 2}}, 2, 3};
    bool near[MOST_NODES];
    int64_t value;
    for (int n = 0; n < 6; n++) {
        Work work = {.scratch = arena_make(0)};
        Error err = {0};
        work.scratch.fail_after = n;
        assert_false(mincut(g.links, g.link_count, g.node_count, 0, 1, INT64_MAX, &work, near, &value, &err));
        assert_int_equal(err.kind, ERROR_SYSTEM);
        arena_free(&work.scratch);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(mincut__cuts_the_weakest_link_of_a_row),
        cmocka_unit_test(mincut__flow_goes_across_where_that_carries_more),
        cmocka_unit_test(mincut__links_between_the_same_two_add_up),
        cmocka_unit_test(mincut__of_what_hangs_apart_costs_nothing),
        cmocka_unit_test(mincut__is_the_cheapest_of_all_cuts),
        cmocka_unit_test(mincut__stops_above_what_is_asked_for),
        cmocka_unit_test(mincut__tells_when_memory_runs_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
