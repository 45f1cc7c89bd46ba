// test_thicken.c - lines grow to the width, tips and wide parts stay, nobody's line is taken.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "separation/thicken.h"

#include <math.h>
#include <string.h>

#define SIDE 160
#define FIELD 2 // labels: the first three colours
#define LINE 3
#define OTHER 4
#define WIDTH_PX 12.0

typedef struct Map {
    uint8_t label[SIDE * SIDE], repainted[SIDE * SIDE];
    Thickened counts[SEPARATION_MAX_COLOURS];
} Map;

// A field, and what is inside of the given label.
static void draw(Map *m, uint8_t label, bool (*inside)(double x, double y))
{
    for (int i = 0; i < SIDE * SIDE; i++)
        if (inside(i % SIDE + 0.5, i / SIDE + 0.5)) m->label[i] = label;
}

static void start(Map *m)
{
    memset(m, 0, sizeof *m);
    memset(m->label, FIELD, sizeof m->label);
}

static void run(Map *m)
{
    Error err = {0};
    Work work = {.scratch = arena_make(0)};
    const double box[4] = {0, 0, SIDE, SIDE};
    assert_true(thicken(m->label, SIDE, SIDE, 3, WIDTH_PX, box, &work, m->repainted, m->counts, &err));
    arena_free(&work.scratch);
}

static int count(const Map *m, uint8_t label)
{
    int n = 0;
    for (int i = 0; i < SIDE * SIDE; i++) n += m->label[i] == label;
    return n;
}

static bool in_slant(double x, double y) // 4 px wide, 100 px long
{
    double along = (x - 40) * 0.8 + (y - 30) * 0.6, off = (y - 30) * 0.8 - (x - 40) * 0.6;
    return along > 0 && along < 100 && fabs(off) < 2;
}

static bool in_block(double x, double y)
{
    return x > 40 && x < 110 && y > 50 && y < 100;
}

static bool in_column(double x, double y) // beside the slanting line's middle
{
    return fabs(x - 86) < 1.5 && y > 20 && y < 55;
}

static void slanting_line__gets_the_width(void **state)
{
    (void)state;
    Map m;
    start(&m);
    draw(&m, LINE, in_slant);
    run(&m);
    assert_int_equal(m.counts[LINE - LABEL_FIRST].parts, 1);
    for (double t = 10; t < 90; t += 1.0) { // its width everywhere, across the line
        int wide = 0;
        for (double off = -12; off < 12; off += 0.25) {
            int x = (int)floor(40 + 0.8 * t - 0.6 * off), y = (int)floor(30 + 0.6 * t + 0.8 * off);
            wide += m.label[y * SIDE + x] == LINE;
        }
        assert_true(wide * 0.25 > WIDTH_PX - 1.0 && wide * 0.25 < WIDTH_PX + 2.5);
    }
    for (int i = 0; i < SIDE * SIDE; i++) // what changed is said
        assert_int_equal(m.repainted[i], m.label[i] == LINE && !in_slant(i % SIDE + 0.5, i / SIDE + 0.5));
}

static void block_with_its_corners__stays(void **state)
{
    (void)state;
    Map m;
    start(&m);
    draw(&m, LINE, in_block);
    int before = count(&m, LINE);
    run(&m);
    assert_int_equal(m.counts[LINE - LABEL_FIRST].parts, 0);
    assert_int_equal(count(&m, LINE), before);
}

static void two_lines__neither_takes_the_other(void **state)
{
    (void)state;
    Map m, before;
    start(&m);
    draw(&m, OTHER, in_column);
    draw(&m, LINE, in_slant);
    before = m;
    run(&m);
    for (int i = 0; i < SIDE * SIDE; i++)
        if (before.label[i] != FIELD) assert_int_equal(m.label[i], before.label[i]);
    assert_true(count(&m, OTHER) > count(&before, OTHER));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(slanting_line__gets_the_width),
        cmocka_unit_test(block_with_its_corners__stays),
        cmocka_unit_test(two_lines__neither_takes_the_other),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
