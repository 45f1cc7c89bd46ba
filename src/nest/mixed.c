// mixed.c - see mixed.h.
// Method:  first all on kind 0. Then the pieces of its emptiest sheets, one sheet more each time, go to the other kinds: when all of them find
//          room there, these sheets are saved. Then the other kinds are filled first, one sheet more each time, and what is left goes to
//          kind 0. Both with the large kinds first and with the small ones first. Each try is a nest of its own: their number
//          is fixed, not the time.
// Source:  our own; the cheapest set of bins of several sizes is known to be hard, and offcuts are few.
#include "nest/mixed.h"

#include "nest/turned.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SHEETS_SAVED_MOST 4     // more are seldom there to be saved, and each costs a nest
#define FILLS_MOST 6            // other sheets that are filled first: likewise
#define SAME_COST 1e-9

typedef struct Mixed {
    const NestItem *items;
    int count;
    const NestKind *kinds;
    int kind_count;
    bool *fits;                 // by kind, then item
    double *area_mm2;
    int orders[2][NEST_MOST_KINDS]; // the other kinds, large ones first and small ones first
    NestMixed best;             // in `own`, as all that outlives a try
    Arena *own;
} Mixed;

// ---- what an answer costs ----

static double cost_of(const Mixed *m, const NestMixed *answer)
{
    double sum = 0.0;
    for (int k = 0; k < m->kind_count; k++) sum += m->kinds[k].price * answer->sheet_counts[k];
    return sum;
}

static double used_area(const Mixed *m, const NestMixed *answer)
{
    double sum = 0.0;
    for (int k = 0; k < m->kind_count; k++) sum += m->kinds[k].options.paper.width_mm * m->kinds[k].options.paper.height_mm * answer->sheet_counts[k];
    return sum;
}

static bool is_better(const Mixed *m, const NestMixed *a, const NestMixed *b)
{
    double difference = cost_of(m, a) - cost_of(m, b);
    if (fabs(difference) > SAME_COST) return difference < 0.0;
    return used_area(m, a) < used_area(m, b) * (1.0 - SAME_COST);
}

static void take_if_better(Mixed *m, const NestMixed *answer)
{
    if (!is_better(m, answer, &m->best)) return;
    memcpy(m->best.places, answer->places, (size_t)m->count * sizeof *answer->places);
    memcpy(m->best.kinds, answer->kinds, (size_t)m->count * sizeof *answer->kinds);
    memcpy(m->best.sheet_counts, answer->sheet_counts, sizeof answer->sheet_counts);
}

// ---- one kind ----

// An answer under way: kinds[i] = -1 while item i has no place.
static bool answer_new(const Mixed *m, Arena *keep, NestMixed *out, Error *err)
{
    *out = (NestMixed){.places = arena_new(keep, NestPlace, m->count), .kinds = arena_new(keep, int, m->count)};
    if (!out->places || !out->kinds) return error_memory(err);
    for (int i = 0; i < m->count; i++) out->kinds[i] = -1;
    return true;
}

typedef struct Filled {
    double area_mm2;
    int sheet;
} Filled;

static int by_area_down(const void *a, const void *b)
{
    const Filled *x = a, *y = b;
    if (x->area_mm2 != y->area_mm2) return x->area_mm2 > y->area_mm2 ? -1 : 1;
    return (x->sheet > y->sheet) - (x->sheet < y->sheet);
}

// number[s]: which of the `most` fullest sheets it becomes, in the order of the nest; -1 = it is not among them.
static bool choose_fullest(const Mixed *m, const NestResult *nest, const int *index, int count, int most, Work *work, int **number, Error *err)
{
    Filled *filled = arena_new(&work->scratch, Filled, nest->sheet_count);
    *number = arena_new(&work->scratch, int, nest->sheet_count);
    if (!filled || !*number) return error_memory(err);
    for (int s = 0; s < nest->sheet_count; s++) filled[s].sheet = s, (*number)[s] = -1;
    for (int i = 0; i < count; i++) filled[nest->places[i].sheet].area_mm2 += m->area_mm2[index[i]];
    qsort(filled, (size_t)nest->sheet_count, sizeof *filled, by_area_down);
    for (int s = 0; s < nest->sheet_count && (most < 0 || s < most); s++) (*number)[filled[s].sheet] = 0;
    for (int s = 0, next = 0; s < nest->sheet_count; s++)
        if ((*number)[s] == 0) (*number)[s] = next++;
    return true;
}

// Lays those of the wanted items that fit this kind on its `most` fullest sheets (-1 = on as many as it takes), after those that are used already.
static bool fill_kind(const Mixed *m, int kind, int most, const bool *wanted, Work *work, NestMixed *answer, Error *err)
{
    int *index = arena_new(&work->scratch, int, m->count), count = 0, *number;
    NestItem *items = arena_new(&work->scratch, NestItem, m->count);
    NestResult nest;
    if (!index || !items) return error_memory(err);
    for (int i = 0; i < m->count; i++) {
        if (!wanted[i] || answer->kinds[i] >= 0 || !m->fits[kind * m->count + i]) continue;
        index[count] = i;
        items[count++] = m->items[i];
    }
    if (count == 0 || most == 0) return true;
    const NestOptions *options = &m->kinds[kind].options;
    if (!nest_pieces(items, count, options, m->own, work, &nest, err)) return false; // not into scratch: the nest rewinds it
    if (!choose_fullest(m, &nest, index, count, most, work, &number, err)) return false;
    int first = answer->sheet_counts[kind], used = 0;
    for (int i = 0; i < count; i++) {
        int sheet = number[nest.places[i].sheet];
        if (sheet < 0) continue;
        answer->kinds[index[i]] = kind;
        answer->places[index[i]] = nest.places[i];
        answer->places[index[i]].sheet = first + sheet;
        used = sheet + 1 > used ? sheet + 1 : used;
    }
    answer->sheet_counts[kind] += used;
    return true;
}

static int least_of(int there, int most)
{
    return there < 0 ? most : there < most ? there : most;
}

// The other kinds in this order, no more than `most` sheets of them together.
static bool fill_others(const Mixed *m, const int *order, int most, const bool *wanted, Work *work, NestMixed *answer, Error *err)
{
    for (int k = 0; k < m->kind_count - 1 && most > 0; k++) {
        int kind = order[k];
        if (!fill_kind(m, kind, least_of(m->kinds[kind].count, most), wanted, work, answer, err)) return false;
        most -= answer->sheet_counts[kind];
    }
    return true;
}

static bool all_lie(const Mixed *m, const bool *wanted, const NestMixed *answer)
{
    for (int i = 0; i < m->count; i++)
        if (wanted[i] && answer->kinds[i] < 0) return false;
    return true;
}

// ---- the emptiest sheets ----

// wanted: the items on the `saved` emptiest sheets of `all`.
static bool want_emptiest(const Mixed *m, const NestResult *all, int saved, Work *work, bool *wanted, Error *err)
{
    int *index = arena_new(&work->scratch, int, m->count), *number;
    if (!index) return error_memory(err);
    for (int i = 0; i < m->count; i++) index[i] = i;
    if (!choose_fullest(m, all, index, m->count, all->sheet_count - saved, work, &number, err)) return false;
    for (int i = 0; i < m->count; i++) wanted[i] = number[all->places[i].sheet] < 0;
    return true;
}

// What stays on kind 0 is laid anew, so that its last sheet is used as little as may be; when that takes more sheets than it did,
// it stays as it was.
static bool lay_the_rest(const Mixed *m, const NestResult *all, int saved, const bool *wanted, Work *work, NestMixed *answer, Error *err)
{
    bool *rest = arena_new(&work->scratch, bool, m->count);
    int *index = arena_new(&work->scratch, int, m->count), *number;
    if (!rest || !index) return error_memory(err);
    for (int i = 0; i < m->count; i++) rest[i] = !wanted[i], index[i] = i;
    if (!fill_kind(m, 0, -1, rest, work, answer, err)) return false;
    if (answer->sheet_counts[0] <= all->sheet_count - saved) return true;
    if (!choose_fullest(m, all, index, m->count, all->sheet_count - saved, work, &number, err)) return false;
    for (int i = 0; i < m->count; i++) {
        if (!rest[i]) continue;
        answer->places[i] = all->places[i];
        answer->places[i].sheet = number[all->places[i].sheet];
    }
    answer->sheet_counts[0] = all->sheet_count - saved;
    return true;
}

static bool save_sheets(Mixed *m, const NestResult *all, const int *order, int saved, Work *work, Error *err)
{
    NestMixed answer;
    bool *wanted = arena_new(&work->scratch, bool, m->count);
    if (!wanted) return error_memory(err);
    if (!answer_new(m, &work->scratch, &answer, err) || !want_emptiest(m, all, saved, work, wanted, err) ||
        !fill_others(m, order, m->count, wanted, work, &answer, err))
        return false;
    if (!all_lie(m, wanted, &answer)) return true;
    if (!lay_the_rest(m, all, saved, wanted, work, &answer, err)) return false;
    take_if_better(m, &answer);
    return true;
}

// ---- the others first ----

static bool fill_first(Mixed *m, const int *order, int most, Work *work, Error *err)
{
    NestMixed answer;
    bool *wanted = arena_new(&work->scratch, bool, m->count);
    if (!wanted) return error_memory(err);
    for (int i = 0; i < m->count; i++) wanted[i] = true;
    if (!answer_new(m, &work->scratch, &answer, err) || !fill_others(m, order, most, wanted, work, &answer, err) ||
        !fill_kind(m, 0, -1, wanted, work, &answer, err))
        return false;
    take_if_better(m, &answer);
    return true;
}

// ---- the whole ----

static bool find_fits(Mixed *m, Work *work, Error *err)
{
    m->fits = arena_new(m->own, bool, (size_t)m->kind_count * (size_t)m->count);
    m->area_mm2 = arena_new(m->own, double, m->count);
    if (!m->fits || !m->area_mm2) return error_memory(err);
    for (int k = 0; k < m->kind_count; k++)
        for (int i = 0; i < m->count; i++) {
            ArenaMark mark = arena_mark(&work->scratch);
            Fit *turns;
            int turn_count = 1;
            if (!work_goes_on(work, err)) return false;
            if (k > 0 && !shape_turns(&m->items[i], &m->kinds[k].options, &work->scratch, work, &turns, &turn_count, err)) return false;
            m->fits[k * m->count + i] = turn_count > 0;
            arena_rewind(&work->scratch, mark);
        }
    for (int i = 0; i < m->count; i++) m->area_mm2[i] = rings_area_mm2(m->items[i].rings);
    return true;
}

static void order_kinds(Mixed *m)
{
    Filled sizes[NEST_MOST_KINDS];
    int count = m->kind_count - 1;
    for (int k = 0; k < count; k++)
        sizes[k] = (Filled){m->kinds[k + 1].options.space.width_mm * m->kinds[k + 1].options.space.height_mm, k + 1};
    qsort(sizes, (size_t)count, sizeof *sizes, by_area_down);
    for (int k = 0; k < count; k++) {
        m->orders[0][k] = sizes[k].sheet;
        m->orders[1][count - 1 - k] = sizes[k].sheet;
    }
}

static bool any_fits(const Mixed *m)
{
    for (int i = m->count; i < m->kind_count * m->count; i++)
        if (m->fits[i]) return true;
    return false;
}

// Sheets of the other kinds that can be of use together.
static int others_there(const Mixed *m)
{
    int sum = 0;
    for (int k = 1; k < m->kind_count; k++) sum += least_of(m->kinds[k].count, FILLS_MOST);
    return least_of(sum, FILLS_MOST);
}

static bool try_all(Mixed *m, const NestResult *all, Work *work, Error *err)
{
    int ways = m->kind_count > 2 ? 2 : 1;
    ArenaMark mark = arena_mark(&work->scratch), own_mark = arena_mark(m->own);
    for (int way = 0; way < ways; way++) {
        for (int saved = 1; saved <= SHEETS_SAVED_MOST && saved <= all->sheet_count; saved++) {
            if (!save_sheets(m, all, m->orders[way], saved, work, err)) return false;
            arena_rewind(&work->scratch, mark);
            arena_rewind(m->own, own_mark);
        }
        for (int most = 1; most <= others_there(m); most++) {
            if (!fill_first(m, m->orders[way], most, work, err)) return false;
            arena_rewind(&work->scratch, mark);
            arena_rewind(m->own, own_mark);
        }
    }
    return true;
}

static bool mix(Mixed *m, Work *work, Error *err)
{
    NestResult all;
    if (!nest_pieces(m->items, m->count, &m->kinds[0].options, m->own, work, &all, err) || !answer_new(m, m->own, &m->best, err)) return false;
    memcpy(m->best.places, all.places, (size_t)m->count * sizeof *all.places);
    memset(m->best.kinds, 0, (size_t)m->count * sizeof *m->best.kinds);
    m->best.sheet_counts[0] = all.sheet_count;
    if (m->kind_count < 2 || !find_fits(m, work, err)) return m->kind_count < 2;
    order_kinds(m);
    return !any_fits(m) || try_all(m, &all, work, err);
}

bool nest_mixed(const NestItem *items, int item_count, const NestKind *kinds, int kind_count, Arena *keep, Work *work, NestMixed *out,
                Error *err)
{
    *out = (NestMixed){0};
    if (item_count == 0) return true;
    ArenaMark mark = arena_mark(&work->scratch);
    Arena own = arena_make(work->scratch.budget_bytes);
    Mixed m = {.items = items, .count = item_count, .kinds = kinds, .kind_count = kind_count, .own = &own};
    bool done = mix(&m, work, err);
    if (done) {
        *out = m.best;
        out->places = arena_copy(keep, m.best.places, (size_t)item_count, sizeof *out->places);
        out->kinds = arena_copy(keep, m.best.kinds, (size_t)item_count, sizeof *out->kinds);
        if (!out->places || !out->kinds) done = error_memory(err);
    }
    arena_free(&own);
    arena_rewind(&work->scratch, mark);
    if (!done) *out = (NestMixed){0};
    return done;
}
