// places.c - nest_places of places.h.
// Method:  the sheets are opened as they lie, without the piece; the place whose lower edge lies least low is found as in the nest
//          itself, laid, and the next one looked for beside it.
#include "nest/places.h"

#include "nest/check.h"
#include "nest/lying.h"

#include <math.h>

#define ELSEWHERE_MM 10.0       // nearer, at the same turn, is where it lies already
#define SAME_TURN 1e-3

typedef struct Hunt {
    Lying lying;
    Shape shape;
    int item;
    double middle_mm[2];        // of the item's box, as it is drawn: what is compared
    const bool *lifted;         // the item alone
    OpenSheet *sheets;
    bool *is_open, *is_full;
    int sheet_count;
} Hunt;

static void middle_of(const double m[6], const double middle[2], double out[2])
{
    out[0] = m[0] * middle[0] + m[2] * middle[1] + m[4];
    out[1] = m[1] * middle[0] + m[3] * middle[1] + m[5];
}

static bool is_where_it_lies(const Hunt *hunt, const NestPlace *place)
{
    const NestPlace *now = &hunt->lying.places[hunt->item];
    double a[2], b[2];
    if (place->sheet != now->sheet) return false;
    if (fabs(place->to_sheet[0] - now->to_sheet[0]) > SAME_TURN || fabs(place->to_sheet[1] - now->to_sheet[1]) > SAME_TURN) return false;
    middle_of(place->to_sheet, hunt->middle_mm, a);
    middle_of(now->to_sheet, hunt->middle_mm, b);
    double dx = a[0] - b[0], dy = a[1] - b[1];
    return dx * dx + dy * dy < ELSEWHERE_MM * ELSEWHERE_MM;
}

// The search keeps a little more than the gap; the check has the last word all the same.
static bool is_good(const Hunt *hunt, const NestPlace *place, Work *work, bool *out, Error *err)
{
    const Lying *lying = &hunt->lying;
    NestItem *items = arena_new(&work->scratch, NestItem, lying->count);
    NestPlace *places = arena_new(&work->scratch, NestPlace, lying->count);
    bool *bad = arena_new(&work->scratch, bool, lying->count);
    if (!items || !places || !bad) return error_memory(err);
    int count = 0;
    for (int i = 0; i < lying->count; i++) {
        if (i == hunt->item || lying->places[i].sheet != place->sheet) continue;
        items[count] = lying->items[i];
        places[count++] = lying->places[i];
    }
    items[count] = lying->items[hunt->item];
    places[count++] = *place;
    if (!nest_check(items, count, lying->options, places, work, bad, err)) return false;
    *out = !bad[count - 1];
    return true;
}

// The next place on this sheet, or none: then the sheet is full.
static bool next_on(Hunt *hunt, int sheet, Arena *own, Work *work, NestPlace *out, bool *found, Error *err)
{
    OpenSheet *open = &hunt->sheets[sheet];
    *found = false;
    if (!hunt->is_open[sheet] && !lying_sheet(&hunt->lying, sheet, hunt->lifted, own, work, open, err)) return false;
    hunt->is_open[sheet] = true;
    while (!*found && !hunt->is_full[sheet]) {
        ArenaMark mark = arena_mark(&work->scratch);
        LyingSpot at;
        bool is_room;
        if (!lying_find(open, &hunt->shape, work, &at, &is_room, err)) return false;
        hunt->is_full[sheet] = !is_room;
        if (!is_room) break;
        if (!sheet_lay(open, hunt->item, at.turned, hunt->shape.area_mm2, at.spot, own, err)) return false;
        *out = lying_place(&hunt->lying, sheet, &at);
        if (!is_where_it_lies(hunt, out) && !is_good(hunt, out, work, found, err)) return false;
        arena_rewind(&work->scratch, mark);
    }
    return true;
}

// The k-th sheet to look at: the item's own, then the others by number.
static int sheet_at(int own_sheet, int k)
{
    return k == 0 ? own_sheet : k <= own_sheet ? k - 1 : k;
}

static bool hunt_places(Hunt *hunt, int most, Arena *own, Work *work, NestPlace *out, int *count, Error *err)
{
    int own_sheet = hunt->lying.places[hunt->item].sheet;
    for (bool any = true; any && *count < most;) {
        any = false;
        for (int k = 0; k < hunt->sheet_count && *count < most; k++) {
            int sheet = sheet_at(own_sheet, k);
            bool found;
            if (hunt->is_full[sheet]) continue;
            if (!next_on(hunt, sheet, own, work, &out[*count], &found, err)) return false;
            *count += found;
            any |= found;
        }
    }
    return true;
}

static bool hunt_open(Hunt *hunt, const NestItem *items, int item_count, const NestOptions *options, const NestResult *from, Arena *own,
                      Work *work, Error *err)
{
    bool *lifted = arena_new(own, bool, item_count);
    hunt->sheets = arena_new(own, OpenSheet, from->sheet_count);
    hunt->is_open = arena_new(own, bool, from->sheet_count);
    hunt->is_full = arena_new(own, bool, from->sheet_count);
    if (!lifted || !hunt->sheets || !hunt->is_open || !hunt->is_full) return error_memory(err);
    lifted[hunt->item] = true;
    hunt->lifted = lifted;
    hunt->sheet_count = from->sheet_count;
    Box box = rings_box(items[hunt->item].rings);
    hunt->middle_mm[0] = (box.min.x / 2.0 + box.max.x / 2.0) / UM_PER_MM;
    hunt->middle_mm[1] = (box.min.y / 2.0 + box.max.y / 2.0) / UM_PER_MM;
    return lying_open(items, item_count, options, from->places, own, &hunt->lying, err) &&
           lying_shape(&hunt->lying, hunt->item, own, work, &hunt->shape, err);
}

bool nest_places(const NestItem *items, int item_count, const NestOptions *options, const NestResult *from, int item, int most, Arena *keep,
                 Work *work, NestPlace **out, int *out_count, Error *err)
{
    *out = arena_new(keep, NestPlace, most);
    *out_count = 0;
    if (!*out) return error_memory(err);
    ArenaMark mark = arena_mark(&work->scratch);
    Arena own = arena_make(work->scratch.budget_bytes);
    Hunt hunt = {.item = item};
    bool done = hunt_open(&hunt, items, item_count, options, from, &own, work, err) &&
                hunt_places(&hunt, most, &own, work, *out, out_count, err);
    arena_free(&own);
    arena_rewind(&work->scratch, mark);
    if (!done) *out_count = 0;
    return done;
}
