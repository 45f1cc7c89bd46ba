// Nest: laws over random shapes. Items are star-shaped, some with a hole.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "nest/nest.h"
#include "shape/overlay.h"
#include "support/nest_measure.h"

#include <string.h>

#define ROUNDS 20
#define MOST 40
#define CORNERS 24

// The directions of a 24-gon: exact enough, and the same everywhere.
static Dot direction(int i)
{
    static const double QUARTER[6] = {1, 0.965925826289, 0.866025403784, 0.707106781187, 0.5, 0.258819045103};
    double c = QUARTER[i % 6], s = i % 6 ? QUARTER[6 - i % 6] : 0;
    switch (i / 6 % 4) {
    case 0: return (Dot){c, s};
    case 1: return (Dot){-s, c};
    case 2: return (Dot){-c, -s};
    default: return (Dot){s, -c};
    }
}

static const Rings *random_rings(Rng *rng, Arena *arena)
{
    Rings *rings = arena_new(arena, Rings, 1);
    rings->items = arena_new(arena, Ring, 2);
    double size = 8 + 80 * rng_unit(rng) * rng_unit(rng), wide = 0.4 + 0.6 * rng_unit(rng);
    bool holed = size > 40 && rng_below(rng, 3) == 0;
    Point *outer = arena_new(arena, Point, CORNERS), *hole = arena_new(arena, Point, CORNERS);
    for (int i = 0; i < CORNERS; i++) {
        Dot d = direction(i);
        double r = size * (0.75 + 0.25 * rng_unit(rng));
        outer[i] = point_from_mm(2000 + r * d.x * wide, 1500 + r * d.y);
        hole[CORNERS - 1 - i] = point_from_mm(2000 + 0.6 * r * d.x * wide, 1500 + 0.6 * r * d.y);
    }
    rings->items[rings->count++] = (Ring){outer, CORNERS};
    if (holed) rings->items[rings->count++] = (Ring){hole, CORNERS};
    return rings;
}

static int half_turns; // on grained paper: it is used, not only allowed

static void check_round(uint64_t seed)
{
    Rng rng = rng_make(seed);
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    Error err = {0};
    assert_true(overlay_create(NULL, &work.overlay, &err));
    Paper paper;
    static const char *const PAPERS[] = {"letter", "12x12", "12x24", "a5", "letter,grained", "12x12,textured", "a4,500gsm"};
    assert_true(paper_parse(PAPERS[rng_below(&rng, 7)], &paper, &err));
    NestOptions options = nest_defaults(&paper);
    assert_true(options.gap_mm == (paper.direction == PAPER_TEXTURED || paper.gsm > 400 ? 5 : 3));
    if (rng_below(&rng, 2)) options.gap_mm = 8 - options.gap_mm;
    options.orders = 4;
    options.seed = seed;
    if (strcmp(paper.id, "a5") == 0) options.turn = NEST_TURN_FREE;
    NestItem items[MOST];
    int count = 0;
    double area = 0;
    for (int wanted = 1 + (int)rng_below(&rng, MOST); count < wanted;) {
        const Rings *rings = random_rings(&rng, &keep);
        Box box = rings_box(rings);
        if (box_width_mm(box) > options.space.width_mm - 4 || box_height_mm(box) > options.space.height_mm - 4) continue;
        items[count++] = (NestItem){rings, {1, 0}};
        area += rings_area_mm2(rings);
    }
    NestResult result;
    if (!nest_pieces(items, count, &options, &keep, &work, &result, &err)) fail_msg("seed %llu: %s", (unsigned long long)seed, err.text);
    bool used[MOST] = {false};
    for (int i = 0; i < count; i++) {
        if (outside_mm(&items[i], &result.places[i], &options) > 1e-5) fail_msg("seed %llu: item %d is outside", (unsigned long long)seed, i);
        used[result.places[i].sheet] = true;
        const double *m = result.places[i].to_sheet;
        if (paper.direction != PAPER_PLAIN && (m[1] != 0 || m[2] != 0)) fail_msg("seed %llu: item %d is turned", (unsigned long long)seed, i);
        if (paper.direction == PAPER_TEXTURED) assert_true(m[0] == 1 && m[3] == 1);
        half_turns += paper.direction == PAPER_GRAINED && m[0] == -1;
        for (int j = 0; j < i; j++) {
            if (result.places[i].sheet != result.places[j].sheet) continue;
            double d = distance_mm(&items[i], &result.places[i], &items[j], &result.places[j]);
            if (d < options.gap_mm - 1e-5) fail_msg("seed %llu: %d and %d are %.6f mm apart", (unsigned long long)seed, i, j, d);
        }
    }
    for (int s = 0; s < result.sheet_count; s++)
        if (!used[s]) fail_msg("seed %llu: sheet %d is empty", (unsigned long long)seed, s);
    assert_true(result.sheet_count * options.space.width_mm * options.space.height_mm >= area);
    arena_free(&keep);
    arena_free(&work.scratch);
    overlay_destroy(work.overlay);
}

static void any_items__lie_inside_and_apart_and_no_sheet_is_empty(void **state)
{
    (void)state;
    half_turns = 0;
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) check_round(seed);
    assert_true(half_turns > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(any_items__lie_inside_and_apart_and_no_sheet_is_empty)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
