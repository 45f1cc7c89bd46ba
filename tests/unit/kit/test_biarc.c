// test_biarc.c - arcs in place of cubics: near enough everywhere, joined without a corner, and few.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/rng.h"
#include "kit/biarc.h"

#include <math.h>

#define NEAR_MM 0.015
#define PROMISED_MM 0.02

static void point_at(const SheetCurve *c, double t, double out[2])
{
    for (int k = 0; k < 2; k++) {
        double s = 1 - t;
        out[k] = s * s * s * c->p[0][k] + 3 * s * s * t * c->p[1][k] + 3 * s * t * t * c->p[2][k] + t * t * t * c->p[3][k];
    }
}

// By the definition of a bulge, points on the arc, and the least of their distances: no formula of the code under test.
static double distance_to_arcs(const BowList *list, const double p[2])
{
    double best = INFINITY;
    for (size_t i = 0; i < list->count; i++) {
        const Bow *bow = &list->items[i];
        double angle = 4 * atan(bow->bulge), cx = bow->to[0] - bow->from[0], cy = bow->to[1] - bow->from[1];
        for (int n = 0; n < 400; n++) { // the chord turned by half of what is left, shortened: the inscribed angle
            double u = (n + 0.5) / 400, a = angle * u, length = angle == 0 ? u : sin(a / 2) / sin(angle / 2), turn = -(angle - a) / 2;
            double x = bow->from[0] + length * (cos(turn) * cx - sin(turn) * cy), y = bow->from[1] + length * (sin(turn) * cx + cos(turn) * cy);
            best = fmin(best, hypot(x - p[0], y - p[1]));
        }
    }
    return best;
}

static SheetCurve any_curve(Rng *rng)
{
    SheetCurve c = {.is_line = false};
    for (int i = 0; i < 4; i++)
        for (int k = 0; k < 2; k++) c.p[i][k] = 30 * rng_unit(rng);
    return c;
}

static void biarc_add__stays_near_any_curve(void **state)
{
    (void)state;
    Rng rng = rng_make(4);
    for (int n = 0; n < 60; n++) {
        Arena keep = arena_make(0);
        SheetCurve c = any_curve(&rng);
        BowList list = {0};
        Error err = {0};
        assert_true(biarc_add(&c, NEAR_MM, &keep, &list, &err));
        for (int i = 0; i <= 200; i++) {
            double p[2];
            point_at(&c, i / 200.0, p);
            double off = distance_to_arcs(&list, p);
            if (off > PROMISED_MM + 0.005) fail_msg("curve %d is %g mm off at %d", n, off, i); // 0.005: between places looked at
        }
        for (size_t i = 0; i + 1 < list.count; i++)
            for (int k = 0; k < 2; k++) assert_true(list.items[i].to[k] == list.items[i + 1].from[k]);
        arena_free(&keep);
    }
}

static void biarc_add__finds_a_quarter_circle_in_few_arcs(void **state)
{
    (void)state;
    const double r = 50, h = 50 * 0.5522847498; // the usual cubic, 0.027 % off the circle
    SheetCurve c = {{{r, 0}, {r, h}, {h, r}, {0, r}}, false};
    Arena keep = arena_make(0);
    BowList list = {0};
    Error err = {0};
    assert_true(biarc_add(&c, NEAR_MM, &keep, &list, &err));
    assert_in_range(list.count, 2, 2);
    assert_true(fabs(4 * atan(list.items[0].bulge) + 4 * atan(list.items[1].bulge) - acos(-1) / 2) < 0.01); // it turns from x to y
    arena_free(&keep);
}

static void biarc_add__leaves_lines_and_curves_without_extent(void **state)
{
    (void)state;
    SheetCurve line = {{{1, 2}, {1, 2}, {5, 6}, {5, 6}}, true}, flat = {{{0, 0}, {1, 0}, {2, 0}, {3, 0}}, false}, dot = {{{1, 1}, {1, 1}, {1, 1}, {1, 1}}, false};
    Arena keep = arena_make(0);
    BowList list = {0};
    Error err = {0};
    assert_true(biarc_add(&line, NEAR_MM, &keep, &list, &err));
    assert_int_equal(list.count, 1);
    assert_true(list.items[0].bulge == 0 && list.items[0].to[1] == 6);
    assert_true(biarc_add(&flat, NEAR_MM, &keep, &list, &err));
    for (size_t i = 0; i < list.count; i++) assert_true(fabs(list.items[i].bulge) < 1e-9);
    list = (BowList){0};
    assert_true(biarc_add(&dot, NEAR_MM, &keep, &list, &err));
    assert_int_equal(list.count, 1);
    for (size_t i = 0; i < list.count; i++) assert_true(isfinite(list.items[i].bulge));
    arena_free(&keep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(biarc_add__stays_near_any_curve), cmocka_unit_test(biarc_add__finds_a_quarter_circle_in_few_arcs),
        cmocka_unit_test(biarc_add__leaves_lines_and_curves_without_extent),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
