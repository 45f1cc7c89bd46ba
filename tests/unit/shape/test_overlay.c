#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <pthread.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "shape/overlay.h"
#include "support/label_map.h"

typedef struct Desk {
    Arena keep;
    Work work;
    Error err;
} Desk;

static Desk desk_make(void)
{
    Desk desk = {arena_make(0), {.scratch = arena_make(0)}, {0}};
    assert_true(overlay_create(NULL, &desk.work.overlay, &desk.err));
    return desk;
}

static void desk_free(Desk *desk)
{
    overlay_destroy(desk->work.overlay);
    arena_free(&desk->work.scratch);
    arena_free(&desk->keep);
}

static Rings box_rings(Arena *keep, int32_t left, int32_t top, int32_t right, int32_t bottom)
{
    Rings rings = {arena_new(keep, Ring, 1), 1};
    Point points[4] = {{left, top}, {right, top}, {right, bottom}, {left, bottom}};
    rings.items[0] = (Ring){arena_copy(keep, points, 4, sizeof(Point)), 4};
    return rings;
}

static void rings__come_back_oriented_sorted_and_from_their_least_point(void **state)
{
    (void)state;
    Desk d = desk_make();
    Rings a = box_rings(&d.keep, 0, 0, 10000, 10000), b = box_rings(&d.keep, 2000, 2000, 4000, 4000), c, e;
    assert_true(overlay_rings(&a, &b, OVERLAY_DIFFERENCE, &d.keep, &d.work, &c, &d.err));
    assert_int_equal(c.count, 2);
    const Point outer[] = {{0, 0}, {10000, 0}, {10000, 10000}, {0, 10000}},
                hole[] = {{2000, 2000}, {2000, 4000}, {4000, 4000}, {4000, 2000}};
    assert_memory_equal(c.items[0].points, outer, sizeof outer);
    assert_memory_equal(c.items[1].points, hole, sizeof hole);
    b = box_rings(&d.keep, -1000, 3000, 11000, 3500); // cuts it in two; pieces are sorted from the top
    assert_true(overlay_rings(&a, &b, OVERLAY_DIFFERENCE, &d.keep, &d.work, &e, &d.err));
    assert_int_equal(e.count, 2);
    assert_int_equal(e.items[0].points[0].y, 0);
    assert_int_equal(e.items[1].points[0].y, 3500);
    desk_free(&d);
}

static void empty_results_and_operands__are_no_error(void **state)
{
    (void)state;
    Desk d = desk_make();
    Rings a = box_rings(&d.keep, 0, 0, 1000, 1000), b = box_rings(&d.keep, 2000, 0, 3000, 1000), none = {0}, c;
    assert_true(overlay_rings(&a, &b, OVERLAY_INTERSECTION, &d.keep, &d.work, &c, &d.err) && c.count == 0);
    assert_true(overlay_rings(&a, &none, OVERLAY_UNION, &d.keep, &d.work, &c, &d.err) && c.count == 1);
    assert_true(overlay_rings(&none, &none, OVERLAY_UNION, &d.keep, &d.work, &c, &d.err) && c.count == 0);
    assert_true(overlay_rings_union(NULL, 0, &d.keep, &d.work, &c, &d.err) && c.count == 0);
    assert_true(overlay_offset(&a, -0.6, 0.01, &d.keep, &d.work, &c, &d.err) && c.count == 0);
    assert_true(overlay_offset(&none, 1.0, 0.01, &d.keep, &d.work, &c, &d.err) && c.count == 0);
    Rings touching = box_rings(&d.keep, 1000, 0, 3000, 1000); // in common: a line, which is no area
    assert_true(overlay_rings(&a, &touching, OVERLAY_INTERSECTION, &d.keep, &d.work, &c, &d.err) && c.count == 0);
    desk_free(&d);
}

static void union_of_many_sets__may_overlap(void **state)
{
    (void)state;
    Desk d = desk_make();
    Rings sets[3] = {box_rings(&d.keep, 0, 0, 4000, 4000), box_rings(&d.keep, 2000, 2000, 6000, 6000),
                     box_rings(&d.keep, 1000, 1000, 3000, 3000)},
          c;
    assert_true(overlay_rings_union(sets, 3, &d.keep, &d.work, &c, &d.err));
    assert_int_equal(c.count, 1);
    assert_true(rings_area_mm2(&c) == 28.0);
    desk_free(&d);
}

static void offset__rounds_corners_within_the_given_distance(void **state)
{
    (void)state;
    Desk d = desk_make();
    Rings a = box_rings(&d.keep, 0, 0, 10000, 10000), c;
    assert_true(overlay_offset(&a, 2.0, 0.01, &d.keep, &d.work, &c, &d.err));
    double exact = 100.0 + 4.0 * 20.0 + 3.141592653589793 * 4.0, got = rings_area_mm2(&c);
    assert_true(got < exact && exact - got < 0.01 * 3.141592653589793 * 4.0);
    for (int i = 0; i < c.items[0].count; i++) { // corners of the outline lie on the true arcs, rounded
        Point p = c.items[0].points[i];
        double dx = p.x < 0 ? -p.x : p.x > 10000 ? p.x - 10000 : 0, dy = p.y < 0 ? -p.y : p.y > 10000 ? p.y - 10000 : 0;
        assert_true(fabs(sqrt(dx * dx + dy * dy) - 2000.0) < 1.0);
    }
    assert_true(overlay_offset(&a, -2.0, 0.01, &d.keep, &d.work, &c, &d.err));
    assert_true(rings_area_mm2(&c) == 36.0 && c.items[0].count == 4);
    desk_free(&d);
}

static void simplify__keeps_within_its_distance_and_holes_inside(void **state)
{
    (void)state;
    Desk d = desk_make();
    Rng rng = rng_make(3);
    Rings a = {arena_new(&d.keep, Ring, 1), 1}, c;
    a.items[0] = random_star(&rng, (Point){0, 0}, 2000, 49000, 50000, &d.keep);
    assert_true(overlay_simplify(&a, 1.5, &d.keep, &d.work, &c, &d.err));
    assert_int_equal(c.count, 1);
    assert_true(c.items[0].count < 200);
    for (int i = 0; i < a.items[0].count; i++) {
        double best = 1e9;
        for (int j = 0; j < c.items[0].count; j++)
            best = fmin(best, point_segment_distance_mm(a.items[0].points[i], c.items[0].points[j],
                                                        c.items[0].points[(j + 1) % c.items[0].count]));
        assert_true(best <= 1.5001);
    }
    desk_free(&d);
}

static void crossing__splits_two_links_and_refines_their_chains(void **state)
{
    (void)state;
    Desk d = desk_make();
    Chains chains = {0};
    Rings one = box_rings(&d.keep, 0, 0, 4000, 4000), two = box_rings(&d.keep, 2000, 2000, 6000, 6000);
    Area a, b, c;
    assert_true(area_from_rings(&one, &chains, &d.keep, &a, &d.err));
    assert_true(area_from_rings(&two, &chains, &d.keep, &b, &d.err));
    assert_true(overlay_combine(&a, &b, OVERLAY_INTERSECTION, &chains, &d.keep, &d.work, &c, &d.err));
    assert_true(area_mm2(&chains, &c) == 4.0);
    assert_int_equal(chains.count, 4); // both chains, and one copy of each with the two crossings
    assert_int_equal(chains.items[2].origin, 0);
    assert_int_equal(chains.items[3].origin, 1);
    assert_int_equal(chains.items[2].point_count, 7);
    assert_int_equal(c.ring_count, 1);
    // From (2000, 2000) along b, round the corner of a, and along b again; b's start lies at its least point.
    assert_int_equal(c.link_count, 3);
    assert_true(overlay_combine(&a, &b, OVERLAY_UNION, &chains, &d.keep, &d.work, &c, &d.err));
    assert_true(area_mm2(&chains, &c) == 28.0);
    desk_free(&d);
}

static void area__is_given_back_untouched_where_nothing_meets_it(void **state)
{
    (void)state;
    Desk d = desk_make();
    Chains chains = {0};
    Rings one = box_rings(&d.keep, 0, 0, 4000, 4000), two = box_rings(&d.keep, 5000, 0, 6000, 6000);
    Area a, b, c;
    assert_true(area_from_rings(&one, &chains, &d.keep, &a, &d.err));
    assert_true(area_from_rings(&two, &chains, &d.keep, &b, &d.err));
    assert_true(overlay_combine(&a, &b, OVERLAY_DIFFERENCE, &chains, &d.keep, &d.work, &c, &d.err));
    assert_int_equal(chains.count, 2);
    assert_int_equal(c.link_count, 1);
    assert_memory_equal(c.links, a.links, sizeof(Link));
    desk_free(&d);
}

static void missing_memory__is_a_clean_error(void **state)
{
    (void)state;
    bool ok = false;
    for (int64_t after = 0; !ok; after++) {
        Desk d = desk_make();
        Chains chains = {0};
        Rings one = box_rings(&d.keep, 0, 0, 4000, 4000), two = box_rings(&d.keep, 2000, 2000, 6000, 6000);
        Area a, b, c;
        assert_true(area_from_rings(&one, &chains, &d.keep, &a, &d.err));
        assert_true(area_from_rings(&two, &chains, &d.keep, &b, &d.err));
        *(after % 2 ? &d.keep.fail_after : &d.work.scratch.fail_after) = after / 2;
        ok = overlay_combine(&a, &b, OVERLAY_INTERSECTION, &chains, &d.keep, &d.work, &c, &d.err);
        if (!ok) assert_true(d.err.kind == ERROR_SYSTEM && c.ring_count == 0 && c.links == NULL);
        if (ok && after % 2 == 0) ok = false; // enough scratch; now `keep`, which needs fewer
        if (after > 400) fail();
        if (after % 2 == 1 && ok) assert_true(area_mm2(&chains, &c) == 4.0);
        desk_free(&d);
    }
}

// ---- stopping ----

typedef struct Runner {
    atomic_bool cancel, started, finished;
    bool ok;
    int rounds;
    Error err;
} Runner;

// Unites two large stars again and again.
static void *unite_stars(void *user)
{
    Runner *runner = user;
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0), .cancel = &runner->cancel};
    Error err = {0};
    bool ok = overlay_create(&runner->cancel, &work.overlay, &err);
    Rng rng = rng_make(5);
    Ring one = random_star(&rng, (Point){0, 0}, 1500, 60000, 90000, &keep),
         two = random_star(&rng, (Point){9000, 0}, 1500, 60000, 90000, &keep);
    runner->started = true;
    for (int i = 0; ok && i < runner->rounds; i++) {
        ArenaMark mark = arena_mark(&keep);
        Rings out;
        ok = overlay_rings(&(Rings){&one, 1}, &(Rings){&two, 1}, OVERLAY_UNION, &keep, &work, &out, &err);
        arena_rewind(&keep, mark);
    }
    overlay_destroy(work.overlay);
    arena_free(&work.scratch);
    arena_free(&keep);
    runner->ok = ok;
    runner->err = err;
    runner->finished = true;
    return NULL;
}

static void cancel__stops_its_own_thread_only(void **state)
{
    (void)state;
    static Runner busy;
    pthread_t busy_thread;
    memset(&busy, 0, sizeof busy);
    busy.rounds = 40;
    assert_int_equal(pthread_create(&busy_thread, NULL, unite_stars, &busy), 0);
    int stopped = 0;
    double worst_s = 0.0;
    while (!busy.finished) {
        static Runner other;
        pthread_t thread;
        memset(&other, 0, sizeof other);
        other.rounds = 1000000;
        assert_int_equal(pthread_create(&thread, NULL, unite_stars, &other), 0);
        while (!other.started) usleep(100);
        usleep(2000);
        struct timespec before, after;
        clock_gettime(CLOCK_MONOTONIC, &before);
        other.cancel = true;
        pthread_join(thread, NULL);
        clock_gettime(CLOCK_MONOTONIC, &after);
        worst_s =
            fmax(worst_s, (double)(after.tv_sec - before.tv_sec) + 1e-9 * (double)(after.tv_nsec - before.tv_nsec));
        assert_false(other.ok);
        assert_int_equal(other.err.kind, ERROR_CANCELLED);
        stopped++;
    }
    pthread_join(busy_thread, NULL);
    if (!busy.ok) fail_msg("the busy thread was stopped: %s", busy.err.text);
    print_message("stopped %d times beside a busy thread, worst wait %.1f ms\n", stopped, 1e3 * worst_s);
    assert_true(stopped > 5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rings__come_back_oriented_sorted_and_from_their_least_point),
        cmocka_unit_test(empty_results_and_operands__are_no_error),
        cmocka_unit_test(union_of_many_sets__may_overlap),
        cmocka_unit_test(offset__rounds_corners_within_the_given_distance),
        cmocka_unit_test(simplify__keeps_within_its_distance_and_holes_inside),
        cmocka_unit_test(crossing__splits_two_links_and_refines_their_chains),
        cmocka_unit_test(area__is_given_back_untouched_where_nothing_meets_it),
        cmocka_unit_test(missing_memory__is_a_clean_error),
        cmocka_unit_test(cancel__stops_its_own_thread_only),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
