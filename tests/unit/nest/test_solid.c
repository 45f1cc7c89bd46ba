// Solids: covers, discs, overlap of two, and how a heap of them is separated.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/nest_case.h"

#include "nest/relax.h"

#include <math.h>

static const Fit AS_IS[1] = {{1, 0}};

static void add_box(NestCase *c, Rings *rings, double x, double y, double w, double h, bool hole)
{
    const double xs[4] = {x, x + w, x + w, x}, ys[4] = {y, y, y + h, y + h};
    Ring *ring = &rings->items[rings->count++];
    *ring = (Ring){arena_new(&c->keep, Point, 4), 4};
    for (int i = 0; i < 4; i++) ring->points[hole ? 3 - i : i] = point_from_mm(xs[i], ys[i]);
}

// A box, or a frame when its wall is not 0.
static Solid *solid(NestCase *c, double w, double h, double wall, double gap_mm)
{
    Rings rings = {arena_new(&c->keep, Ring, 2), 0};
    Solid *out = arena_new(&c->keep, Solid, 1);
    add_box(c, &rings, 500, 300, w, h, false);
    if (wall > 0) add_box(c, &rings, 500 + wall, 300 + wall, w - 2 * wall, h - 2 * wall, true);
    assert_true(solid_make(&rings, gap_mm, &c->keep, &c->work, out, &c->err));
    out->turns = AS_IS;
    out->turn_count = 1;
    return out;
}

static Cast cast(NestCase *c, const Solid *s)
{
    Cast out;
    assert_true(cast_open(s->corner_count, &c->keep, &out, &c->err));
    cast_turn(s, AS_IS[0], &out);
    return out;
}

// Overlap when b's outline begins (dx, dy) right and below a's.
static double overlap(NestCase *c, const Solid *a, const Solid *b, double dx, double dy)
{
    Cast at_a = cast(c, a), at_b = cast(c, b);
    double x = dx + b->origin_mm[0] - a->origin_mm[0], y = dy + b->origin_mm[1] - a->origin_mm[1];
    double one = cast_overlap(&at_b, x, y, &at_a), other = cast_overlap(&at_a, -x, -y, &at_b);
    assert_true(fabs(one - other) <= 1e-3 * one);
    return one;
}

static void cover__holds_half_the_gap_and_little_more(void **state)
{
    (void)state;
    NestCase c = nest_case_make();
    const Solid *s = solid(&c, 80, 50, 0, 3);
    Cast at = cast(&c, s);
    assert_true(at.x1 - at.x0 >= 83 && at.x1 - at.x0 < 83.4);
    assert_true(at.y1 - at.y0 >= 53 && at.y1 - at.y0 < 53.4);
    assert_true(fabs(at.hull_x1 - at.hull_x0 - 80) < 1e-9 && fabs(at.hull_y1 - at.hull_y0 - 50) < 1e-9);
    nest_case_free(&c);
}

static void cover__without_gap_is_the_outline(void **state)
{
    (void)state;
    NestCase c = nest_case_make();
    const Solid *s = solid(&c, 80, 50, 10, 0);
    assert_int_equal(s->corner_count, 8);
    assert_true(fabs(s->area_mm2 - (80 * 50 - 60 * 30)) < 1e-9);
    nest_case_free(&c);
}

static double length_of(const Side *side)
{
    return hypot(side->b.x - side->a.x, side->b.y - side->a.y);
}

static void sides__are_the_longest_edges_of_outline_and_hole(void **state)
{
    (void)state;
    NestCase c = nest_case_make();
    const Solid *s = solid(&c, 80, 50, 10, 0);
    const double lengths[8] = {80, 80, 60, 60, 50, 50, 30, 30};
    assert_int_equal(s->side_count, 8);
    for (int i = 0; i < 8; i++) assert_true(fabs(length_of(&s->sides[i]) - lengths[i]) < 1e-9);
    s = solid(&c, 80, 50, 10, 3); // rounded corners of the cover are short edges
    assert_int_equal(s->side_count, SOLID_SIDES);
    for (int i = 0; i < 8; i++) assert_true(length_of(&s->sides[i]) > (i < 6 ? 49 : 25));
    nest_case_free(&c);
}

static void discs__lie_in_the_material(void **state)
{
    (void)state;
    NestCase c = nest_case_make();
    const Solid *s = solid(&c, 80, 50, 10, 0);
    assert_true(s->disc_count >= 6);
    for (int i = 0; i < s->disc_count; i++) {
        double x = (double)s->discs.x[i] + s->origin_mm[0] - 500, y = (double)s->discs.y[i] + s->origin_mm[1] - 300, r = (double)s->discs.r[i];
        assert_true(r > 0 && r < 8); // a corner's disc is the widest: less than 10 / (1 + 1/sqrt 2) + rim
        assert_true(x - r > -1e-3 && y - r > -1e-3 && x + r < 80 + 1e-3 && y + r < 50 + 1e-3);
        assert_true(x < 10 || x > 70 || y < 10 || y > 40);
    }
    nest_case_free(&c);
}

static void overlap__is_zero_when_they_touch_or_are_apart(void **state)
{
    (void)state;
    NestCase c = nest_case_make();
    const Solid *a = solid(&c, 80, 50, 0, 0), *b = solid(&c, 30, 20, 0, 0);
    const double clear[][2] = {{80, 0}, {80, 10}, {-30, 5}, {0, 50}, {20, -20}, {80, 50}, {200, 0}, {50, 50}};
    for (size_t i = 0; i < sizeof clear / sizeof clear[0]; i++) assert_true(overlap(&c, a, b, clear[i][0], clear[i][1]) == 0);
    nest_case_free(&c);
}

static void overlap__is_seen_however_they_lie(void **state)
{
    (void)state;
    NestCase c = nest_case_make();
    const Solid *a = solid(&c, 80, 50, 0, 0), *b = solid(&c, 30, 20, 0, 0), *same = solid(&c, 80, 50, 0, 0);
    const double meet[][2] = {{79.99, 0}, {79.99, 30}, {-29.99, 10}, {10, 49.99}, {0, 0}, {50, 30}, {20, 20}, {79.9, 49.9}};
    for (size_t i = 0; i < sizeof meet / sizeof meet[0]; i++) assert_true(overlap(&c, a, b, meet[i][0], meet[i][1]) > 0);
    assert_true(overlap(&c, a, same, 0, 0) > 0);
    assert_true(overlap(&c, a, same, 40, 0) > 0);
    assert_true(overlap(&c, a, same, 79.999, 0) > 0);
    nest_case_free(&c);
}

static void overlap__holes_are_free(void **state)
{
    (void)state;
    NestCase c = nest_case_make();
    const Solid *frame = solid(&c, 80, 80, 10, 0), *fits = solid(&c, 60, 60, 0, 0), *small = solid(&c, 30, 30, 0, 0);
    assert_true(overlap(&c, frame, fits, 10, 10) == 0);
    assert_true(overlap(&c, frame, fits, 10.01, 10) > 0);
    assert_true(overlap(&c, frame, small, 25, 25) == 0);
    assert_true(overlap(&c, frame, small, 45, 25) > 0);
    assert_true(overlap(&c, frame, frame, 0, 0) > 0);
    nest_case_free(&c);
}

static void overlap__falls_on_the_way_out(void **state)
{
    (void)state;
    NestCase c = nest_case_make();
    const Solid *a = solid(&c, 80, 50, 0, 0), *b = solid(&c, 30, 30, 0, 0);
    const double way[] = {30, 55, 65, 72, 77, 79.9}; // small rises between them are the discs'
    double before = INFINITY;
    for (size_t i = 0; i < sizeof way / sizeof way[0]; i++) {
        double now = overlap(&c, a, b, way[i], 10);
        assert_true(now > 0 && now < before);
        before = now;
    }
    nest_case_free(&c);
}

static void heap__is_separated_where_there_is_room(void **state)
{
    (void)state;
    NestCase c = nest_case_make();
    const Solid *solids[6];
    Pose poses[6];
    for (int i = 0; i < 6; i++) {
        solids[i] = solid(&c, 60, 50, 0, 0);
        poses[i] = (Pose){0, {1, 0}, 90, 60};
    }
    Relax relax;
    bool apart;
    assert_true(relax_open(solids, poses, 6, (Space){190, 104, 0, false}, 1, 3, &c.keep, &relax, &c.err)); // 3 x 2 fill 180 x 100
    assert_true(relax.total > 0);
    assert_true(relax_separate(&relax, 20000, 60, &c.work, &apart, &c.err));
    assert_true(apart);
    for (int i = 0; i < 6; i++) {
        const Body *a = &relax.bodies[i];
        assert_true(a->x0 > -1e-9 && a->y0 > -1e-9 && a->x1 < 190 + 1e-9 && a->y1 < 104 + 1e-9);
        for (int j = 0; j < i; j++) {
            const Body *b = &relax.bodies[j];
            assert_true(a->x0 >= b->x1 - 1e-5 || b->x0 >= a->x1 - 1e-5 || a->y0 >= b->y1 - 1e-5 || b->y0 >= a->y1 - 1e-5);
        }
    }
    nest_case_free(&c);
}

static void heap__without_room_is_given_up(void **state)
{
    (void)state;
    NestCase c = nest_case_make();
    const Solid *solids[3];
    Pose poses[3];
    for (int i = 0; i < 3; i++) {
        solids[i] = solid(&c, 60, 50, 0, 0);
        poses[i] = (Pose){0, {1, 0}, 60, 40};
    }
    Relax relax;
    bool apart;
    assert_true(relax_open(solids, poses, 3, (Space){130, 80, 0, false}, 1, 3, &c.keep, &relax, &c.err));
    assert_true(relax_separate(&relax, 3000, 20, &c.work, &apart, &c.err));
    assert_false(apart);
    assert_true(relax.moves <= 3003);
    nest_case_free(&c);
}

static void corner_marks__stay_free(void **state)
{
    (void)state;
    NestCase c = nest_case_make();
    const Solid *solids[1] = {solid(&c, 60, 50, 0, 0)};
    Pose pose = {0, {1, 0}, 0, 0};
    Relax relax;
    assert_true(relax_open(solids, &pose, 1, (Space){100, 100, 5, false}, 1, 3, &c.keep, &relax, &c.err));
    assert_true(relax.bodies[0].x0 + relax.bodies[0].y0 >= 5 - 1e-9);
    pose = (Pose){0, {1, 0}, 1000, 1000};
    relax_set(&relax, &pose);
    assert_true(relax.bodies[0].x1 + relax.bodies[0].y1 <= 195 + 1e-9);
    nest_case_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cover__holds_half_the_gap_and_little_more),
        cmocka_unit_test(cover__without_gap_is_the_outline),
        cmocka_unit_test(sides__are_the_longest_edges_of_outline_and_hole),
        cmocka_unit_test(discs__lie_in_the_material),
        cmocka_unit_test(overlap__is_zero_when_they_touch_or_are_apart),
        cmocka_unit_test(overlap__is_seen_however_they_lie),
        cmocka_unit_test(overlap__holes_are_free),
        cmocka_unit_test(overlap__falls_on_the_way_out),
        cmocka_unit_test(heap__is_separated_where_there_is_room),
        cmocka_unit_test(heap__without_room_is_given_up),
        cmocka_unit_test(corner_marks__stay_free),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
