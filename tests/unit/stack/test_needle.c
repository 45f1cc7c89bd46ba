// test_needle.c - rings narrower than a cut are left out, with what is in them; nothing else is.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "stack/needle.h"

typedef struct Case {
    Arena keep;
    Work work;
    Chains chains;
    Link links[8];
    LinkRing rings[8];
    Area area;
} Case;

static void add_box(Case *c, double x, double y, double wide, double high, int outer)
{
    Error err = {0};
    Chain chain;
    Point p[4] = {point_from_mm(x, y), point_from_mm(x + wide, y), point_from_mm(x + wide, y + high), point_from_mm(x, y + high)};
    if (outer != c->area.ring_count) { // a hole runs the other way
        Point second = p[1];
        p[1] = p[3];
        p[3] = second;
    }
    Link *link = &c->links[c->area.link_count];
    assert_true(chain_from_points(p, 4, true, &c->keep, &chain, &err));
    assert_true(chains_add(&c->chains, &chain, &c->keep, &link->chain, &err));
    link->first = 0;
    link->last = 4;
    c->rings[c->area.ring_count++] = (LinkRing){c->area.link_count++, 1, outer};
}

static void start(Case *c)
{
    *c = (Case){.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    c->area = (Area){.links = c->links, .rings = c->rings};
}

static void drop(Case *c)
{
    Error err = {0};
    assert_true(needles_drop(&c->chains, &c->area, &c->keep, &c->work, &err));
}

static void done(Case *c)
{
    arena_free(&c->keep);
    arena_free(&c->work.scratch);
}

static void needles__go_among_outer_rings_and_holes(void **state)
{
    (void)state;
    Case c;
    start(&c);
    add_box(&c, 0, 0, 3, 0.04, 0);      // mean width about 0.04 mm
    add_box(&c, 0, 10, 50, 50, 1);
    add_box(&c, 5, 15, 20, 20, 1);      // a hole that stays
    add_box(&c, 30, 15, 0.05, 20, 1);   // a slit
    drop(&c);
    assert_int_equal(c.area.ring_count, 2);
    assert_int_equal(c.area.link_count, 2);
    assert_int_equal(c.area.rings[0].outer, 0);
    assert_int_equal(c.area.rings[1].outer, 0);
    assert_int_equal(c.area.rings[1].first_link, 1);
    assert_int_equal(c.area.links[0].chain, 1);
    done(&c);
}

static void thin_lines__stay(void **state)
{
    (void)state;
    Case c;
    start(&c);
    add_box(&c, 0, 0, 0.2, 30, 0);
    add_box(&c, 5, 0, 0.3, 0.3, 1);
    drop(&c);
    assert_int_equal(c.area.ring_count, 2);
    done(&c);
}

static void nothing_but_needles__stays_as_it_is(void **state)
{
    (void)state;
    Case c;
    start(&c);
    add_box(&c, 0, 0, 3, 0.04, 0);
    drop(&c);
    assert_int_equal(c.area.ring_count, 1);
    done(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(needles__go_among_outer_rings_and_holes),
        cmocka_unit_test(thin_lines__stay),
        cmocka_unit_test(nothing_but_needles__stays_as_it_is),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
