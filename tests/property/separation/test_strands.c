// Strands of any width, at any angle, between two discs of their colour: antialiased from 16 x 16 points a pixel. Wide ones go through,
// narrow ones never do; the same for a third colour on one side, for slits in a figure on transparency, and for what a strand may not
// do: close a slit between two areas, or lead from an area to nowhere.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "separation/separation.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SIDE_PX 64
#define SAMPLES 16
#define ROUNDS 40
#define DISC_PX 8.5
#define APART_PX 19.0 // of a disc's middle from the picture's
#define CLEAR_PAINT (-1)

static const uint8_t paints[4][3] = {{250, 200, 20}, {200, 40, 60}, {30, 60, 160}, {20, 20, 24}};

typedef struct Scene {
    double x, y, along_x, along_y; // middle and direction of the strand
    double width_px, gap_px;       // a gap in its middle
    bool is_free;                  // the second disc is missing
    int strand, above, below;      // paints; CLEAR_PAINT: transparent
} Scene;

static bool is_in_disc(double u, double v, double at)
{
    return (u - at) * (u - at) + v * v < DISC_PX * DISC_PX;
}

static int paint_of(const Scene *s, double x, double y)
{
    double dx = x - s->x, dy = y - s->y;
    double u = dx * s->along_x + dy * s->along_y, v = dy * s->along_x - dx * s->along_y;
    bool is_strand = fabs(v) < s->width_px / 2.0 && fabs(u) < APART_PX && fabs(u) >= s->gap_px / 2.0;
    bool is_disc = is_in_disc(u, v, -APART_PX) || (!s->is_free && is_in_disc(u, v, APART_PX));
    return is_strand || is_disc ? s->strand : v < 0.0 ? s->above : s->below;
}

static void paint_pixel(const Scene *s, int x, int y, uint8_t *rgba)
{
    int sum[4] = {0};
    for (int k = 0; k < SAMPLES * SAMPLES; k++) {
        int paint = paint_of(s, x + (k % SAMPLES + 0.5) / SAMPLES, y + (k / SAMPLES + 0.5) / SAMPLES);
        if (paint == CLEAR_PAINT) continue;
        for (int c = 0; c < 3; c++) sum[c] += paints[paint][c];
        sum[3]++;
    }
    for (int c = 0; c < 3; c++) rgba[c] = sum[3] ? (uint8_t)((sum[c] + sum[3] / 2) / sum[3]) : 0;
    rgba[3] = (uint8_t)((sum[3] * 255 + SAMPLES * SAMPLES / 2) / (SAMPLES * SAMPLES));
}

// One region of the strand's colour, from one disc's middle to the other's?
static bool is_one(const Separation *s, int from, int to)
{
    static int stack[SIDE_PX * SIDE_PX * 4];
    static uint8_t seen[SIDE_PX * SIDE_PX];
    int depth = 0;
    memset(seen, 0, sizeof seen);
    stack[depth++] = from;
    while (depth > 0) {
        int at = stack[--depth], x = at % SIDE_PX, y = at / SIDE_PX;
        if (at == to) return true;
        if (seen[at]) continue;
        seen[at] = 1;
        static const int step_x[4] = {1, -1, 0, 0}, step_y[4] = {0, 0, 1, -1};
        for (int k = 0; k < 4; k++) {
            int x2 = x + step_x[k], y2 = y + step_y[k], next = y2 * SIDE_PX + x2;
            if (x2 >= 0 && y2 >= 0 && x2 < SIDE_PX && y2 < SIDE_PX && s->label[next] == s->label[from]) stack[depth++] = next;
        }
    }
    return false;
}

static int disc_at(const Scene *s, double at)
{
    return (int)(s->y + at * s->along_y) * SIDE_PX + (int)(s->x + at * s->along_x);
}

static bool goes_through(const Scene *scene)
{
    static uint8_t rgba[SIDE_PX * SIDE_PX * 4];
    for (int i = 0; i < SIDE_PX * SIDE_PX; i++) paint_pixel(scene, i % SIDE_PX, i / SIDE_PX, rgba + i * 4);
    Picture picture = {.width_px = SIDE_PX, .height_px = SIDE_PX, .rgba = rgba};
    SeparationOptions options = separation_defaults();
    options.smallest_area_px = 10.0;
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    Separation s;
    Error err = {0};
    bool good = separation_make(&picture, &options, &keep, &work, &s, &err);
    if (!good) print_error("%s\n", err.text);
    assert_true(good);
    bool is_through = is_one(&s, disc_at(scene, -APART_PX), disc_at(scene, APART_PX));
    arena_free(&keep);
    arena_free(&work.scratch);
    return is_through;
}

static Scene random_scene(Rng *rng, double width_px)
{
    double angle = 6.283185307179586 * rng_unit(rng);
    return (Scene){.x = SIDE_PX / 2.0 + rng_unit(rng) - 0.5, .y = SIDE_PX / 2.0 + rng_unit(rng) - 0.5, .along_x = cos(angle), .along_y = sin(angle),
                   .width_px = width_px, .strand = 0, .above = 1, .below = 1};
}

typedef enum Kind { ON_ONE, BETWEEN_TWO, SLIT, KINDS } Kind;

static Scene scene_of(Kind kind, Rng *rng, double width_px)
{
    Scene s = random_scene(rng, width_px);
    if (kind == BETWEEN_TWO) s.below = 3;
    if (kind == SLIT) s.strand = 3, s.above = 0, s.below = 2; // dark between two bright ones
    return s;
}

// Of ROUNDS strands of this width.
static int count_through(uint64_t seed, Kind kind, double width_px, double gap_px)
{
    Rng rng = rng_make(seed);
    int count = 0;
    for (int i = 0; i < ROUNDS; i++) {
        Scene s = scene_of(kind, &rng, width_px);
        s.gap_px = gap_px;
        count += goes_through(&s);
    }
    print_message("kind %d, %.2f px wide, gap %.2f px, seed %d: %d of %d\n", (int)kind, width_px, gap_px, (int)seed, count, ROUNDS);
    return count;
}

static void strands__go_through_when_they_are_wide(void **state)
{
    (void)state;
    for (Kind kind = ON_ONE; kind < KINDS; kind++) {
        assert_int_equal(count_through(11, kind, 1.4, 0.0), ROUNDS);
        assert_true(count_through(12, kind, 1.0, 0.0) >= ROUNDS * 3 / 4);
    }
}

static void strands__never_go_through_when_they_are_hair_thin(void **state)
{
    (void)state;
    for (Kind kind = ON_ONE; kind < KINDS; kind++) assert_int_equal(count_through(13, kind, 0.35, 0.0), 0);
}

static void strands__keep_a_gap_of_a_pixel_and_more(void **state)
{
    (void)state;
    for (Kind kind = ON_ONE; kind < KINDS; kind++) assert_int_equal(count_through(14, kind, 1.2, 1.6), 0);
}

static void strands__leave_a_slit_between_areas(void **state)
{
    (void)state;
    assert_int_equal(count_through(15, ON_ONE, 12.0, 1.5), 0);
    assert_true(count_through(16, ON_ONE, 12.0, 1.0) <= ROUNDS / 4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(strands__go_through_when_they_are_wide),
        cmocka_unit_test(strands__never_go_through_when_they_are_hair_thin),
        cmocka_unit_test(strands__keep_a_gap_of_a_pixel_and_more),
        cmocka_unit_test(strands__leave_a_slit_between_areas),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
