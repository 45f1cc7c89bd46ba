// Regions of a label map by runs, against a flood fill and by hand.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "separation/runs.h"

#include <stdio.h>
#include <string.h>

typedef struct Case {
    Work work;
    Runs runs;
} Case;

static Case make(const uint8_t *label, int width, int height)
{
    Case c = {.work = {.scratch = arena_make(0)}};
    Error err = {0};
    if (!runs_make(label, width, height, &c.work.scratch, &c.work, &c.runs, &err)) fail_msg("%s", err.text);
    return c;
}

static int flood(const uint8_t *label, int *region, int width, int height, int at, int number)
{
    static int stack[4096];
    int top = 0, area = 0;
    stack[top++] = at;
    region[at] = number;
    while (top) {
        int i = stack[--top], x = i % width, y = i / width;
        area++;
        const int beside[4] = {x > 0 ? i - 1 : -1, x + 1 < width ? i + 1 : -1, y > 0 ? i - width : -1,
                               y + 1 < height ? i + width : -1};
        for (int k = 0; k < 4; k++)
            if (beside[k] >= 0 && !region[beside[k]] && label[beside[k]] == label[at])
                region[beside[k]] = number, stack[top++] = beside[k];
    }
    return area;
}

static void regions__are_those_of_a_flood_fill(void **state)
{
    (void)state;
    Rng rng = rng_make(20240611);
    for (int round = 0; round < 300; round++) {
        int width = 1 + (int)rng_below(&rng, 40), height = 1 + (int)rng_below(&rng, 40),
            labels = 1 + (int)rng_below(&rng, 4);
        uint8_t label[1600];
        int region[1600] = {0}, count = 0;
        for (int i = 0; i < width * height; i++) label[i] = (uint8_t)rng_below(&rng, (uint32_t)labels);
        Case c = make(label, width, height);
        for (int i = 0; i < width * height; i++) {
            if (region[i]) continue;
            int area = flood(label, region, width, height, i, ++count);
            assert_true(count <= c.runs.part_count); // both in the order of the first pixel
            assert_int_equal(c.runs.parts[count - 1].area_px, area);
            assert_int_equal(c.runs.parts[count - 1].label, label[i]);
        }
        assert_int_equal(c.runs.part_count, count);
        for (int y = 0; y < height; y++)
            for (int32_t r = c.runs.row_start[y]; r < c.runs.row_start[y + 1]; r++)
                for (int x = c.runs.runs[r].x0; x < c.runs.runs[r].x1; x++)
                    assert_int_equal(region[y * width + x], c.runs.runs[r].part + 1);
        arena_free(&c.work.scratch);
    }
}

static void add_cracks(void *taker, int32_t neighbour, int32_t cracks)
{
    int *by_neighbour = taker;
    by_neighbour[neighbour + 1] += cracks;
}

static void border__counts_cracks_per_neighbour_and_frame(void **state)
{
    (void)state;
    const uint8_t label[] = {1, 1, 1, 1, 1, 2, 2, 1, 3, 2, 2, 1};
    Case c = make(label, 4, 3); // part 0 = ones, 1 = twos, 2 = the three
    int by_neighbour[8] = {0};
    runs_walk_border(&c.runs, 1, add_cracks, by_neighbour);
    assert_int_equal(by_neighbour[0], 2); // frame below
    assert_int_equal(by_neighbour[1], 5); // 2 above, 1 left, 2 right
    assert_int_equal(by_neighbour[3], 1);
    runs_join(&c.runs, 2, 1);
    memset(by_neighbour, 0, sizeof by_neighbour);
    runs_walk_border(&c.runs, 1, add_cracks, by_neighbour);
    assert_int_equal(by_neighbour[0], 4);
    assert_int_equal(by_neighbour[1], 6);
    assert_int_equal(c.runs.parts[1].area_px, 5);
    assert_int_equal(c.runs.parts[1].x0, 0);
    arena_free(&c.work.scratch);
}

static void memory_that_runs_out__is_said_at_each_step(void **state)
{
    (void)state;
    const uint8_t label[] = {1, 2, 1, 2};
    for (int step = 0; step < 4; step++) {
        Work work = {.scratch = arena_make(0)};
        work.scratch.fail_after = step;
        Runs runs;
        Error err = {0};
        assert_false(runs_make(label, 2, 2, &work.scratch, &work, &runs, &err));
        assert_int_equal(err.kind, ERROR_SYSTEM);
        arena_free(&work.scratch);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(regions__are_those_of_a_flood_fill),
        cmocka_unit_test(border__counts_cracks_per_neighbour_and_frame),
        cmocka_unit_test(memory_that_runs_out__is_said_at_each_step),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
