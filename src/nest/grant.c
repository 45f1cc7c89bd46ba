// grant.c - nest_grant of places.h.
#include "nest/places.h"

#include "nest/check.h"
#include "nest/lying.h"

#include <math.h>
#include <string.h>

#define IS_TURN 1e-8            // nine decimals of a sine and a cosine
#define SAME_TURN 1e-9

typedef struct Grant {
    const NestItem *items;
    int count;
    const NestOptions *options;
    NestPlace *places;          // the layout so far
    int sheet_count;
    int *wished;                // by item: which wish it lies by, or -1
    bool *pushed;               // by item: it is in the way of the wish at hand
} Grant;

// ---- may it lie there? ----

static bool is_rigid(const double m[6])
{
    for (int i = 0; i < 6; i++)
        if (!isfinite(m[i])) return false;
    return fabs(m[0] * m[0] + m[1] * m[1] - 1.0) <= IS_TURN && fabs(m[0] - m[3]) <= IS_TURN && fabs(m[1] + m[2]) <= IS_TURN;
}

static bool allows(NestTurn turn, const double m[6])
{
    switch (turn) {
    case NEST_TURN_FREE: return true;
    case NEST_TURN_QUARTERS: return fabs(m[0]) < SAME_TURN || fabs(m[1]) < SAME_TURN;
    case NEST_TURN_HALVES: return fabs(m[1]) < SAME_TURN;
    case NEST_TURN_NONE: return fabs(m[1]) < SAME_TURN && m[0] > 0.0;
    }
    return false;
}

// ---- what is in its way ----

// The wished piece first, then all others of the sheet: of two that are too near the check names the later one.
static bool find_pushed(Grant *g, const NestWish *wish, Work *work, bool *is_in_space, Error *err)
{
    NestItem *items = arena_new(&work->scratch, NestItem, g->count);
    NestPlace *places = arena_new(&work->scratch, NestPlace, g->count);
    int *index = arena_new(&work->scratch, int, g->count);
    bool *bad = arena_new(&work->scratch, bool, g->count);
    if (!items || !places || !index || !bad) return error_memory(err);
    int count = 0;
    index[count] = wish->item;
    items[count] = g->items[wish->item];
    places[count++] = wish->place;
    for (int i = 0; i < g->count; i++) {
        if (i == wish->item || g->places[i].sheet != wish->place.sheet) continue;
        index[count] = i;
        items[count] = g->items[i];
        places[count++] = g->places[i];
    }
    if (!nest_check(items, count, g->options, places, work, bad, err)) return false;
    *is_in_space = !bad[0];
    for (int i = 0; i < g->count; i++) g->pushed[i] = false;
    for (int k = 1; k < count; k++) g->pushed[index[k]] = bad[k];
    return true;
}

// ---- laying again ----

// On the sheet where it lay, then on the others by number.
static int sheet_at(int first, int k)
{
    return k == 0 ? first : k <= first ? k - 1 : k;
}

static bool lay_again(Grant *g, int item, Arena *own, Work *work, Error *err)
{
    Lying lying;
    Shape shape;
    LyingSpot at = {0};
    bool found = false;
    int first = g->places[item].sheet, sheet = g->sheet_count;
    if (!lying_open(g->items, g->count, g->options, g->places, own, &lying, err) || !lying_shape(&lying, item, own, work, &shape, err))
        return false;
    for (int k = 0; k < g->sheet_count && !found; k++) {
        OpenSheet open;
        if (!lying_sheet(&lying, sheet_at(first, k), g->pushed, own, work, &open, err) ||
            !lying_find(&open, &shape, work, &at, &found, err))
            return false;
        if (found) sheet = sheet_at(first, k);
    }
    if (!found) at = lying_first(&lying, &shape);
    if (sheet == g->sheet_count) g->sheet_count++;
    g->places[item] = lying_place(&lying, sheet, &at);
    g->pushed[item] = false;
    return true;
}

// The largest first, since they find room least.
static int largest_pushed(const Grant *g)
{
    int found = -1;
    double most = -1.0;
    for (int i = 0; i < g->count; i++) {
        double area = g->pushed[i] ? rings_area_mm2(g->items[i].rings) : -1.0;
        if (area > most) most = area, found = i;
    }
    return found;
}

static bool lay_pushed(Grant *g, Arena *own, Work *work, Error *err)
{
    for (int item = largest_pushed(g); item >= 0; item = largest_pushed(g)) {
        ArenaMark mark = arena_mark(own);
        if (!lay_again(g, item, own, work, err)) return false;
        arena_rewind(own, mark);
    }
    return true;
}

// ---- one wish ----

static void close_empty(Grant *g, int sheet)
{
    for (int i = 0; i < g->count; i++)
        if (g->places[i].sheet == sheet) return;
    for (int i = 0; i < g->count; i++) g->places[i].sheet -= g->places[i].sheet > sheet;
    g->sheet_count--;
}

static void give_way(Grant *g, NestFate *fates)
{
    for (int i = 0; i < g->count; i++) {
        if (!g->pushed[i] || g->wished[i] < 0) continue;
        fates[g->wished[i]] = NEST_FATE_PUSHED;
        g->wished[i] = -1;
    }
}

static bool move_there(Grant *g, const NestWish *wish, Arena *own, Work *work, Error *err)
{
    int from = g->places[wish->item].sheet;
    if (wish->place.sheet == g->sheet_count) g->sheet_count++;
    g->places[wish->item] = wish->place;
    if (!lay_pushed(g, own, work, err)) return false;
    close_empty(g, from);
    return true;
}

static bool passes(const Grant *g, Work *work, bool *out, Error *err)
{
    bool *bad = arena_new(&work->scratch, bool, g->count);
    if (!bad) return error_memory(err);
    if (!nest_check(g->items, g->count, g->options, g->places, work, bad, err)) return false;
    *out = true;
    for (int i = 0; i < g->count; i++) *out &= !bad[i];
    return true;
}

static bool tell(NestFate *fates, int at, NestFate fate)
{
    fates[at] = fate;
    return true;
}

static bool grant(Grant *g, const NestWish *wishes, int at, Arena *own, Work *work, NestFate *fates, Error *err)
{
    const NestWish *wish = &wishes[at];
    bool is_in_space = false, is_good = false;
    if (wish->place.sheet < 0 || wish->place.sheet > g->sheet_count) return tell(fates, at, NEST_FATE_NO_SHEET);
    if (!is_rigid(wish->place.to_sheet) || !allows(g->options->turn, wish->place.to_sheet)) return tell(fates, at, NEST_FATE_NO_TURN);
    if (!find_pushed(g, wish, work, &is_in_space, err)) return false;
    if (!is_in_space) return tell(fates, at, NEST_FATE_NO_ROOM);

    NestPlace *before = arena_copy(own, g->places, (size_t)g->count, sizeof *before);
    int sheets_before = g->sheet_count;
    if (!before) return error_memory(err);
    bool *was_pushed = arena_copy(own, g->pushed, (size_t)g->count, sizeof *was_pushed);
    if (!was_pushed) return error_memory(err);
    if (!move_there(g, wish, own, work, err) || !passes(g, work, &is_good, err)) return false;
    if (!is_good) { // none is known
        memcpy(g->places, before, (size_t)g->count * sizeof *before);
        g->sheet_count = sheets_before;
        return tell(fates, at, NEST_FATE_NO_ROOM);
    }
    memcpy(g->pushed, was_pushed, (size_t)g->count * sizeof *was_pushed);
    give_way(g, fates);
    if (g->wished[wish->item] >= 0) fates[g->wished[wish->item]] = NEST_FATE_OVERTAKEN;
    g->wished[wish->item] = at;
    return tell(fates, at, NEST_FATE_KEPT);
}

static bool grant_all(Grant *g, const NestWish *wishes, int wish_count, Arena *own, Work *work, NestFate *fates, Error *err)
{
    g->wished = arena_new(own, int, g->count);
    g->pushed = arena_new(own, bool, g->count);
    if (!g->wished || !g->pushed) return error_memory(err);
    for (int i = 0; i < g->count; i++) g->wished[i] = -1;
    for (int w = 0; w < wish_count; w++) {
        ArenaMark mark = arena_mark(&work->scratch), own_mark = arena_mark(own);
        if (!work_goes_on(work, err) || !grant(g, wishes, w, own, work, fates, err)) return false;
        arena_rewind(&work->scratch, mark);
        arena_rewind(own, own_mark);
    }
    return true;
}

bool nest_grant(const NestItem *items, int item_count, const NestOptions *options, const NestResult *from, const NestWish *wishes,
                int wish_count, Arena *keep, Work *work, NestResult *out, NestFate *fates, Error *err)
{
    *out = (NestResult){0};
    Grant g = {.items = items, .count = item_count, .options = options, .sheet_count = from->sheet_count};
    g.places = arena_copy(keep, from->places, (size_t)item_count, sizeof *g.places);
    if (!g.places && item_count > 0) return error_memory(err);
    ArenaMark mark = arena_mark(&work->scratch);
    Arena own = arena_make(work->scratch.budget_bytes);
    bool done = grant_all(&g, wishes, wish_count, &own, work, fates, err);
    arena_free(&own);
    arena_rewind(&work->scratch, mark);
    if (done) *out = (NestResult){g.places, g.sheet_count};
    return done;
}
