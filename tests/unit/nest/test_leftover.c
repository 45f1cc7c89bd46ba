// Rectangles in what a nest leaves.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "nest/check.h"
#include "nest/leftover.h"
#include "shape/overlay.h"

#include <math.h>

#define MOST 40

typedef struct Case {
    Arena keep;
    Work work;
    Error err;
    NestOptions options;
    NestItem items[MOST];
    NestPlace places[MOST], found[MOST];
    NestResult nest;
    int count;
    Leftover rectangles[MOST];
    int rectangle_count;
} Case;

static void case_open(Case *c, const char *word)
{
    Paper paper;
    *c = (Case){.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    assert_true(paper_parse(word, &paper, &c->err));
    assert_true(overlay_create(NULL, &c->work.overlay, &c->err));
    c->options = nest_defaults(&paper);
    c->nest.places = c->places;
    c->nest.sheet_count = 1;
}

static void case_close(Case *c)
{
    overlay_destroy(c->work.overlay);
    arena_free(&c->keep);
    arena_free(&c->work.scratch);
}

static Point *box(Case *c, double x, double y, double w, double h, double cos, double sin)
{
    const double xs[4] = {0, w, w, 0}, ys[4] = {0, 0, h, h};
    Point *points = arena_new(&c->keep, Point, 4);
    for (int i = 0; i < 4; i++) points[i] = point_from_mm(x + xs[i] * cos - ys[i] * sin, y + xs[i] * sin + ys[i] * cos);
    return points;
}

// A piece that lies at (x, y) of its sheet.
static void lay(Case *c, double x, double y, double w, double h)
{
    Rings *rings = arena_new(&c->keep, Rings, 1);
    Ring *ring = arena_new(&c->keep, Ring, 1);
    *ring = (Ring){box(c, 0, 0, w, h, 1, 0), 4};
    *rings = (Rings){ring, 1};
    c->items[c->count] = (NestItem){rings, {1, 0}};
    c->places[c->count++] = (NestPlace){0, {1, 0, 0, 1, c->options.origin_mm[0] + x, c->options.origin_mm[1] + y}};
}

static void ask(Case *c, double length, double width, double cos, double sin)
{
    c->rectangles[c->rectangle_count++].corners = box(c, 400, 300, length, width, cos, sin);
}

static int lay_rest(Case *c)
{
    int laid = 0;
    assert_true(leftover_lay(c->items, c->count, &c->options, &c->nest, c->rectangles, c->rectangle_count, &c->work, c->found, &c->err));
    NestItem items[2 * MOST];
    NestPlace places[2 * MOST];
    bool bad[2 * MOST];
    Ring rings[MOST];
    Rings sets[MOST];
    int used = 0;
    for (; used < c->count; used++) items[used] = c->items[used], places[used] = c->places[used];
    for (int i = 0; i < c->rectangle_count; i++) {
        if (c->found[i].sheet < 0) continue;
        const double *m = c->found[i].to_sheet;
        assert_true(fabs(m[0] * m[0] + m[1] * m[1] - 1.0) < 4e-9); // a turn
        rings[i] = (Ring){(Point *)c->rectangles[i].corners, 4};
        sets[i] = (Rings){&rings[i], 1};
        items[used] = (NestItem){&sets[i], {1, 0}};
        places[used++] = c->found[i];
        laid++;
    }
    assert_true(nest_check(items, used, &c->options, places, &c->work, bad, &c->err));
    for (int i = 0; i < used; i++) assert_false(bad[i]);
    return laid;
}

// Letter leaves 8 x 10.5 in: 203.2 x 266.7 mm.
static void leftover__rectangle_lies_in_the_gap_that_takes_it(void **state)
{
    (void)state;
    Case c;
    case_open(&c, "letter");
    lay(&c, 0, 5, 160, 261);
    ask(&c, 200, 32, 0.6, 0.8);
    ask(&c, 200, 32, 1, 0);
    assert_int_equal(lay_rest(&c), 1);
    case_close(&c);
}

static void leftover__longest_goes_first_and_a_full_sheet_takes_none(void **state)
{
    (void)state;
    Case c;
    case_open(&c, "letter");
    lay(&c, 0, 5, 160, 261);
    ask(&c, 60, 32, 1, 0);
    ask(&c, 250, 32, 1, 0);
    ask(&c, 70, 32, 1, 0);
    assert_int_equal(lay_rest(&c), 1);
    assert_int_equal(c.found[1].sheet, 0);
    case_close(&c);
    case_open(&c, "letter");
    lay(&c, 3.1, 0, 197, 266);
    ask(&c, 40, 19, 1, 0);
    assert_int_equal(lay_rest(&c), 0);
    case_close(&c);
}

static void leftover__slanting_gap_takes_a_slanting_rectangle(void **state)
{
    (void)state;
    Case c;
    case_open(&c, "letter");
    for (int half = 0; half < 2; half++) { // two triangles leave a slanting path of 45 mm, at 60 degrees
        const double xs[3] = {half ? 195 : 0, half ? 195 : 0, half ? 61 : 143}, ys[3] = {half ? 255 : 15, half ? 28 : 241, half ? 258 : 5};
        Rings *rings = arena_new(&c.keep, Rings, 1);
        Ring *ring = arena_new(&c.keep, Ring, 1);
        *ring = (Ring){arena_new(&c.keep, Point, 3), 3};
        for (int i = 0; i < 3; i++) ring->points[half ? i : 2 - i] = point_from_mm(xs[i], ys[i]);
        if (ring_area_mm2(ring) < 0) {
            Point swap = ring->points[0];
            ring->points[0] = ring->points[2];
            ring->points[2] = swap;
        }
        *rings = (Rings){ring, 1};
        c.items[c.count] = (NestItem){rings, {1, 0}};
        c.places[c.count++] = (NestPlace){0, {1, 0, 0, 1, c.options.origin_mm[0], c.options.origin_mm[1]}};
    }
    ask(&c, 180, 30, 1, 0);
    assert_int_equal(lay_rest(&c), 1);
    assert_true(fabs(c.found[0].to_sheet[1]) > 0.4 && fabs(c.found[0].to_sheet[0]) > 0.2); // neither along nor across
    case_close(&c);
}

static void leftover__many_lie_clear_of_one_another(void **state)
{
    (void)state;
    Case c;
    case_open(&c, "letter");
    lay(&c, 5, 5, 90, 90);
    for (int i = 0; i < 30; i++) ask(&c, 60 + 3 * i, i % 2 ? 32 : 25.6, i % 3 ? 0.28 : 0.6, i % 3 ? 0.96 : 0.8);
    assert_in_range(lay_rest(&c), 6, 30);
    case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(leftover__rectangle_lies_in_the_gap_that_takes_it),
        cmocka_unit_test(leftover__longest_goes_first_and_a_full_sheet_takes_none),
        cmocka_unit_test(leftover__slanting_gap_takes_a_slanting_rectangle),
        cmocka_unit_test(leftover__many_lie_clear_of_one_another),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
