// Sheets of several kinds: laws over random pieces and random kinds. Pieces are angles: rectangles with a corner cut out.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "nest/mixed.h"
#include "nest/places.h"
#include "shape/overlay.h"
#include "support/nest_measure.h"

#include <string.h>

#define ROUNDS 16
#define MOST 24

typedef struct Trial {
    Rng rng;
    Arena keep;
    Work work;
    NestItem items[MOST];
    int count;
    NestKind kinds[4];
    int kind_count;
} Trial;

static const Rings *random_angle(Trial *t)
{
    double w = 20 + 150 * rng_unit(&t->rng) * rng_unit(&t->rng), h = 20 + 200 * rng_unit(&t->rng) * rng_unit(&t->rng);
    double a = w * (0.3 + 0.6 * rng_unit(&t->rng)), b = h * (0.3 + 0.6 * rng_unit(&t->rng));
    const double xy[6][2] = {{0, 0}, {w, 0}, {w, b}, {a, b}, {a, h}, {0, h}};
    Rings *rings = arena_new(&t->keep, Rings, 1);
    rings->items = arena_new(&t->keep, Ring, 1);
    rings->count = 1;
    rings->items[0] = (Ring){arena_new(&t->keep, Point, 6), 6};
    for (int i = 0; i < 6; i++) rings->items[0].points[i] = point_from_mm(3000 + xy[i][0], 200 + xy[i][1]);
    return rings;
}

static void start(Trial *t, uint64_t seed)
{
    static const char *const PLANS[] = {"letter", "12x12", "letter,grained"}, *const OTHERS[] = {"5x7", "6x9", "4x4", "3x11", "8x10"};
    *t = (Trial){.rng = rng_make(seed), .keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    Error err = {0};
    Paper paper;
    assert_true(overlay_create(NULL, &t->work.overlay, &err));
    assert_true(paper_parse(PLANS[rng_below(&t->rng, 3)], &paper, &err));
    t->kinds[t->kind_count++] = (NestKind){nest_defaults(&paper), -1, 1.0};
    PaperDirection direction = paper.direction;
    for (int others = (int)rng_below(&t->rng, 4); others > 0; others--) {
        assert_true(paper_parse(OTHERS[rng_below(&t->rng, 5)], &paper, &err));
        paper.direction = direction;
        int count = (int)rng_below(&t->rng, 4);
        bool is_bought = rng_below(&t->rng, 3) == 0;
        t->kinds[t->kind_count++] = (NestKind){nest_defaults(&paper), is_bought ? -1 : count, is_bought ? 0.4 : 0.0};
    }
    for (int k = 0; k < t->kind_count; k++) t->kinds[k].options.orders = 3, t->kinds[k].options.moves = 200;
    Space space = t->kinds[0].options.space;
    for (int wanted = 1 + (int)rng_below(&t->rng, MOST); t->count < wanted;) {
        const Rings *rings = random_angle(t);
        Box box = rings_box(rings);
        if (box_width_mm(box) > space.width_mm - 4 || box_height_mm(box) > space.height_mm - 4) continue;
        t->items[t->count++] = (NestItem){rings, {1, 0}};
    }
}

static void end(Trial *t)
{
    arena_free(&t->keep);
    arena_free(&t->work.scratch);
    overlay_destroy(t->work.overlay);
}

static double cost_of(const Trial *t, const NestMixed *mixed)
{
    double sum = 0;
    for (int k = 0; k < t->kind_count; k++) sum += t->kinds[k].price * mixed->sheet_counts[k];
    return sum;
}

static void check_layout(const Trial *t, const NestMixed *mixed, uint64_t seed)
{
    bool used[4][MOST] = {{false}};
    for (int i = 0; i < t->count; i++) {
        int kind = mixed->kinds[i];
        assert_true(kind >= 0 && kind < t->kind_count);
        const NestOptions *options = &t->kinds[kind].options;
        assert_true(mixed->places[i].sheet >= 0 && mixed->places[i].sheet < mixed->sheet_counts[kind]);
        used[kind][mixed->places[i].sheet] = true;
        if (outside_mm(&t->items[i], &mixed->places[i], options) > 1e-5) fail_msg("seed %llu: piece %d is outside", (unsigned long long)seed, i);
        if (options->turn == NEST_TURN_HALVES) assert_true(mixed->places[i].to_sheet[1] == 0);
        for (int j = 0; j < i; j++) {
            if (mixed->kinds[j] != kind || mixed->places[j].sheet != mixed->places[i].sheet) continue;
            double d = distance_mm(&t->items[i], &mixed->places[i], &t->items[j], &mixed->places[j]);
            if (d < options->gap_mm - 1e-5) fail_msg("seed %llu: %d and %d are %.6f mm apart", (unsigned long long)seed, i, j, d);
        }
    }
    for (int k = 0; k < t->kind_count; k++) {
        assert_true(t->kinds[k].count < 0 || mixed->sheet_counts[k] <= t->kinds[k].count);
        for (int s = 0; s < mixed->sheet_counts[k]; s++) assert_true(used[k][s]);
    }
}

static int saved_rounds;

static void check_mixed(uint64_t seed)
{
    Trial t;
    NestMixed mixed, again;
    NestResult alone;
    Error err = {0};
    start(&t, seed);
    if (!nest_mixed(t.items, t.count, t.kinds, t.kind_count, &t.keep, &t.work, &mixed, &err)) fail_msg("seed %llu: %s", (unsigned long long)seed, err.text);
    check_layout(&t, &mixed, seed);
    assert_true(nest_pieces(t.items, t.count, &t.kinds[0].options, &t.keep, &t.work, &alone, &err));
    assert_true(cost_of(&t, &mixed) <= alone.sheet_count * t.kinds[0].price + 1e-9);
    saved_rounds += mixed.sheet_counts[0] < alone.sheet_count;
    bool is_alone = mixed.sheet_counts[0] == alone.sheet_count && cost_of(&t, &mixed) >= alone.sheet_count - 1e-9;
    for (int k = 1; k < t.kind_count && is_alone; k++) assert_int_equal(mixed.sheet_counts[k], 0); // no offcut is used for nothing
    assert_true(nest_mixed(t.items, t.count, t.kinds, t.kind_count, &t.keep, &t.work, &again, &err));
    assert_memory_equal(again.places, mixed.places, (size_t)t.count * sizeof *mixed.places);
    end(&t);
}

static void nest_mixed__all_lie_inside_and_apart_and_never_dearer_than_on_the_plan_paper(void **state)
{
    (void)state;
    saved_rounds = 0;
    for (uint64_t seed = 1; seed <= ROUNDS; seed++) check_mixed(seed);
    print_message("%d of %d rounds saved a sheet\n", saved_rounds, ROUNDS);
    assert_true(saved_rounds > 0);
}

// Two sheets' worth, of which the little that is on the second fits an offcut; another offcut is too small for any.
static void nest_mixed__an_offcut_saves_the_last_sheet_and_no_other_is_touched(void **state)
{
    (void)state;
    Trial t = {.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    Error err = {0};
    static const char *const PAPERS[] = {"letter", "8x10", "5x7", "2x2"};
    assert_true(overlay_create(NULL, &t.work.overlay, &err));
    for (int k = 0; k < 4; k++) {
        Paper paper;
        assert_true(paper_parse(PAPERS[k], &paper, &err));
        t.kinds[t.kind_count++] = (NestKind){nest_defaults(&paper), k == 0 ? -1 : 1, k == 0 ? 1.0 : 0.0};
    }
    for (int i = 0; i < 5; i++) {
        Rings *rings = arena_new(&t.keep, Rings, 1);
        rings->items = arena_new(&t.keep, Ring, 1);
        rings->count = 1;
        rings->items[0] = (Ring){arena_new(&t.keep, Point, 4), 4};
        const double xy[4][2] = {{0, 0}, {98, 0}, {98, 130}, {0, 130}};
        for (int p = 0; p < 4; p++) rings->items[0].points[p] = point_from_mm(100 + xy[p][0], 100 + xy[p][1]);
        t.items[t.count++] = (NestItem){rings, {1, 0}};
    }
    NestMixed mixed;
    assert_true(nest_mixed(t.items, t.count, t.kinds, t.kind_count, &t.keep, &t.work, &mixed, &err));
    check_layout(&t, &mixed, 0);
    assert_int_equal(mixed.sheet_counts[0], 1);
    assert_int_equal(mixed.sheet_counts[1], 0); // the smaller one is large enough
    assert_int_equal(mixed.sheet_counts[2], 1);
    assert_int_equal(mixed.sheet_counts[3], 0);
    end(&t);
}

// ---- places ----

// Random places of random pieces are granted one after another: the layout is valid each time, and the last one is kept.
static void nest_grant__any_row_of_wishes_leaves_a_valid_layout(void **state)
{
    (void)state;
    int kept = 0, pushed = 0;
    for (uint64_t seed = 101; seed <= 100 + ROUNDS; seed++) {
        Trial t;
        NestResult nest;
        Error err = {0};
        NestWish wishes[6];
        NestFate fates[6];
        start(&t, seed);
        const NestOptions *options = &t.kinds[0].options;
        assert_true(nest_pieces(t.items, t.count, options, &t.keep, &t.work, &nest, &err));
        for (int w = 0; w < 6; w++) {
            wishes[w] = (NestWish){(int)rng_below(&t.rng, (uint32_t)t.count), nest.places[0]};
            wishes[w].place = nest.places[wishes[w].item];
            wishes[w].place.sheet = (int)rng_below(&t.rng, (uint32_t)nest.sheet_count + 1);
            wishes[w].place.to_sheet[4] += 60 * rng_unit(&t.rng) - 30;
            wishes[w].place.to_sheet[5] += 60 * rng_unit(&t.rng) - 30;
        }
        NestResult out;
        assert_true(nest_grant(t.items, t.count, options, &nest, wishes, 6, &t.keep, &t.work, &out, fates, &err));
        NestMixed as_mixed = {.places = out.places, .kinds = arena_new(&t.keep, int, t.count), .sheet_counts = {out.sheet_count}};
        check_layout(&t, &as_mixed, seed);
        for (int w = 0; w < 6; w++) {
            pushed += fates[w] == NEST_FATE_PUSHED;
            if (fates[w] != NEST_FATE_KEPT) continue;
            kept++;
            assert_memory_equal(out.places[wishes[w].item].to_sheet, wishes[w].place.to_sheet, sizeof wishes[w].place.to_sheet);
        }
        end(&t);
    }
    print_message("%d wishes kept, %d pushed aside by later ones\n", kept, pushed);
    assert_true(kept > 0 && pushed > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nest_mixed__all_lie_inside_and_apart_and_never_dearer_than_on_the_plan_paper),
        cmocka_unit_test(nest_mixed__an_offcut_saves_the_last_sheet_and_no_other_is_touched),
        cmocka_unit_test(nest_grant__any_row_of_wishes_leaves_a_valid_layout),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
