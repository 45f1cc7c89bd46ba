// nest.c - see nest.h.
// Method:  largest first into the first sheet that takes it, at the angle and place that the way of filling likes best; several
//          orders and ways, then shuffles of the best; fewest sheets win, then the sheet that is used least.
//          A place is found on a raster of cells and decided on edges (`sheet`); `check` has the last word.
// Source:  bottom-left with first fit: B. Chazelle, "The bottom-left bin-packing heuristic", IEEE Trans. Computers C-32
//          (1983) 697-707, on outlines instead of rectangles; the rest common practice.
#include "nest/nest.h"

#include "base/rng.h"
#include "nest/check.h"
#include "nest/number.h"
#include "nest/sheet.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define CELLS_A_SIDE 160        // of a square as large as the sheet: 240 took as many sheets and half as long again, fewer miss narrow places
#define LEAST_CELL_MM 0.4
#define WRITTEN_MM 0.012        // added to the gap: curves bulge 0.005 over their flat edges, and 3 decimals are written
#define DEFAULT_ORDERS 6
#define DEFAULT_MOVES 1500      // about 0.1 s a paper; what more orders find, moves find sooner. 2000: one sheet in 240 less, a fifth longer
#define MOST_LAID 1200          // items by orders: a thousand items get one order only, since the time grows with their square
#define SAME_MM2 1e-3           // sums of the same areas in another order
#define GAP_MM 3.0              // less: paper tears between two cuts; more: waste. Common practice, no source
#define ROUGH_GAP_MM 5.0        // of textured paper and of board
#define BOARD_GSM 400.0         // heavier is board

typedef enum Way {              // what an item's place is to keep small
    WAY_UP,                     // its lower edge
    WAY_STAND,                  // its width, then its lower edge: all stand on their short sides
    WAY_BOX,                    // the box from the sheet's corner to it
    WAY_COUNT
} Way;

typedef struct Nest {           // the undertaking
    const NestItem *items;
    const NestOptions *options;
    const Shape *shapes;
    const int *copy_of;         // the first item with the same outline and angle: itself mostly
    OpenSheet blank;
    int count;
    double cell_mm;
} Nest;

typedef struct Layout {         // one answer
    NestPlace *places;
    int sheet_count;
    double left_mm2;            // of items that most_sheets have no room for
    double least_extent_mm;     // of the sheet that is used least
    int least_sheet;
} Layout;

static NestTurn turn_of(PaperDirection direction)
{
    switch (direction) {
    case PAPER_PLAIN: break;
    case PAPER_GRAINED: return NEST_TURN_HALVES;
    case PAPER_TEXTURED: return NEST_TURN_NONE;
    }
    return NEST_TURN_FREE;
}

static double gap_of(const Paper *paper)
{
    return paper->direction == PAPER_TEXTURED || paper->gsm > BOARD_GSM ? ROUGH_GAP_MM : GAP_MM;
}

NestOptions nest_defaults(const Paper *paper)
{
    double box_mm[4];
    paper_usable(paper, box_mm);
    return (NestOptions){.paper = *paper,
                         .space = paper_nest_space(paper),
                         .origin_mm = {box_mm[0], box_mm[1]},
                         .gap_mm = gap_of(paper),
                         .turn = turn_of(paper->direction),
                         .orders = DEFAULT_ORDERS,
                         .moves = DEFAULT_MOVES,
                         .seed = 1};
}

// --- one order ---

static double key_of(Way way, const Turned *turned, Spot spot)
{
    double right = spot.x_mm + turned->width_mm, low = spot.y_mm + turned->height_mm;
    switch (way) {
    case WAY_UP: return low + right * 1e-3;
    case WAY_STAND: return turned->width_mm * 1e3 + low;
    case WAY_BOX: return right * low;
    case WAY_COUNT: break;
    }
    return 0;
}

// The least that the key can be anywhere.
static double least_key(Way way, const Turned *turned)
{
    return key_of(way, turned, (Spot){0, 0});
}

// Lower places have a key that is no better.
static double most_y_mm(Way way, const Turned *turned, double key)
{
    switch (way) {
    case WAY_UP: return key - turned->height_mm;
    case WAY_STAND: return key - turned->width_mm * 1e3 - turned->height_mm;
    case WAY_BOX: return key / turned->width_mm - turned->height_mm;
    case WAY_COUNT: break;
    }
    return INFINITY;
}

// Turns by the best that they can do: a good one found first spares most of the others.
static int by_least_key(Way way, const Shape *shape, int *order)
{
    for (int t = 0; t < shape->turned_count; t++) {
        int k = t;
        double key = least_key(way, &shape->turned[t]);
        for (; k > 0 && least_key(way, &shape->turned[order[k - 1]]) > key; k--) order[k] = order[k - 1];
        order[k] = t;
    }
    return shape->turned_count;
}

typedef struct Choice {
    const Turned *turned;
    Spot spot;
    double key;
} Choice;

static bool choose_on(const OpenSheet *sheet, const Shape *shape, Way way, Work *work, Choice *out, Error *err)
{
    *out = (Choice){NULL, {0, 0}, INFINITY};
    if (sheet->laid_area_mm2 + shape->area_mm2 > sheet->space.width_mm * sheet->space.height_mm) return true;
    int order[MOST_TURNED], count = by_least_key(way, shape, order);
    for (int t = 0; t < count; t++) {
        if (!work_goes_on(work, err)) return false;
        const Turned *turned = &shape->turned[order[t]];
        if (least_key(way, turned) >= out->key) break;
        Spot spot;
        if (!sheet_find_spot(sheet, turned, most_y_mm(way, turned, out->key), &spot)) continue;
        double key = key_of(way, turned, spot);
        if (key < out->key) *out = (Choice){turned, spot, key};
    }
    return true;
}

// most_sheets are open, or the item is too large for any.
static bool none_left(const Nest *nest, const Shape *shape, size_t count)
{
    int most = nest->options->most_sheets;
    return most > 0 && (count >= (size_t)most || shape->turned_count == 0);
}

static void leave_over(const Nest *nest, int item, Layout *out)
{
    out->places[item] = (NestPlace){.sheet = NEST_LEFT_OVER};
    out->left_mm2 += nest->shapes[item].area_mm2;
}

static Choice choose_first(Space space, const Shape *shape, Way way)
{
    Choice best = {NULL, {0, 0}, INFINITY};
    for (int t = 0; t < shape->turned_count; t++) {
        Spot spot = sheet_first_spot(space, &shape->turned[t]);
        double key = key_of(way, &shape->turned[t], spot);
        if (key < best.key) best = (Choice){&shape->turned[t], spot, key};
    }
    return best;
}

static double search_gap(const Nest *nest)
{
    return nest->options->gap_mm + 2 * SIMPLE_MM + WRITTEN_MM;
}

static bool open_one(const Nest *nest, OpenSheet **sheets, size_t *count, size_t *capacity, Work *work, Error *err)
{
    OpenSheet *grown = arena_grow(&work->scratch, *sheets, *count, capacity, sizeof **sheets);
    if (!grown) return error_memory(err);
    *sheets = grown;
    return sheet_open_like(&nest->blank, &work->scratch, &grown[(*count)++], err);
}

static bool lay_item(const Nest *nest, int item, Way way, OpenSheet **sheets, size_t *count, size_t *capacity, int *full, Work *work,
                     Layout *out, Error *err)
{
    const Shape *shape = &nest->shapes[item];
    Choice choice = {NULL, {0, 0}, INFINITY};
    size_t s = (size_t)*full; // a copy found no place on those before, and none has become free since
    for (; s < *count; s++) {
        if (!choose_on(&(*sheets)[s], shape, way, work, &choice, err)) return false;
        if (!choice.turned) continue;
        sheet_slide(&(*sheets)[s], choice.turned, &choice.spot);
        break;
    }
    if (!choice.turned && none_left(nest, shape, *count)) {
        leave_over(nest, item, out);
        return true;
    }
    if (!choice.turned) {
        if (!open_one(nest, sheets, count, capacity, work, err)) return false;
        choice = choose_first(nest->options->space, shape, way);
    }
    *full = (int)s;
    out->places[item].sheet = (int)s;
    sheet_matrix(choice.turned, choice.spot, nest->options->origin_mm, out->places[item].to_sheet);
    return sheet_lay(&(*sheets)[s], item, choice.turned, shape->area_mm2, choice.spot, &work->scratch, err);
}

static bool arrange(const Nest *nest, const int *order, Way way, Work *work, Layout *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    OpenSheet *sheets = NULL;
    size_t count = 0, capacity = 0;
    out->left_mm2 = 0;
    int *full = arena_new(&work->scratch, int, nest->count); // by the first of all copies
    if (!full) return error_memory(err);
    for (int i = 0; i < nest->count; i++)
        if (!lay_item(nest, order[i], way, &sheets, &count, &capacity, &full[nest->copy_of[order[i]]], work, out, err)) return false;
    out->sheet_count = (int)count;
    out->least_extent_mm = INFINITY;
    for (size_t s = 0; s < count; s++) {
        double extent = sheet_extent_mm(&sheets[s]);
        if (extent > out->least_extent_mm) continue;
        out->least_extent_mm = extent;
        out->least_sheet = (int)s;
    }
    arena_rewind(&work->scratch, mark);
    return true;
}

static bool is_better(const Layout *a, const Layout *b)
{
    if (fabs(a->left_mm2 - b->left_mm2) > SAME_MM2) return a->left_mm2 < b->left_mm2;
    if (a->sheet_count != b->sheet_count) return a->sheet_count < b->sheet_count;
    return a->least_extent_mm < b->least_extent_mm - 1e-6;
}

// --- orders ---

typedef struct Ranked { double key; int item; } Ranked;

static int by_key_down(const void *a, const void *b)
{
    const Ranked *x = a, *y = b;
    if (x->key != y->key) return x->key > y->key ? -1 : 1;
    return (x->item > y->item) - (x->item < y->item);
}

// Orders go by area, hull area, longest side, each in every way of filling; then by shaken areas, where every second time
// the items of the best answer's least used sheet go first, since they found no room when they came last.
static void make_order(const Nest *nest, int n, const Layout *best, Rng *rng, Ranked *ranked, int *order)
{
    for (int i = 0; i < nest->count; i++) {
        const Shape *shape = &nest->shapes[i];
        int by = n / WAY_COUNT;
        double key = by == 0 ? shape->area_mm2 : by == 1 ? shape->hull_area_mm2 : shape->longest_mm;
        if (by > 2) {
            key = shape->hull_area_mm2 * (0.7 + 0.6 * rng_unit(rng));
            if (n % 2 && best->places[i].sheet == best->least_sheet) key *= 4;
        }
        ranked[i] = (Ranked){key, i};
    }
    qsort(ranked, (size_t)nest->count, sizeof *ranked, by_key_down);
    for (int i = 0; i < nest->count; i++) order[i] = ranked[i].item;
}

static bool layout_new(const Nest *nest, Work *work, Layout *out, Error *err)
{
    memset(out, 0, sizeof *out);
    out->places = arena_new(&work->scratch, NestPlace, nest->count);
    return out->places ? true : error_memory(err);
}

static bool search(const Nest *nest, Work *work, Layout *best, Error *err)
{
    Layout other;
    Ranked *ranked = arena_new(&work->scratch, Ranked, nest->count);
    int *order = arena_new(&work->scratch, int, nest->count);
    if (!ranked || !order) return error_memory(err);
    if (!layout_new(nest, work, best, err) || !layout_new(nest, work, &other, err)) return false;
    Rng rng = rng_make(nest->options->seed);
    int most = MOST_LAID / nest->count, orders = nest->options->orders < most ? nest->options->orders : most;
    if (orders < 1) orders = 1;
    for (int n = 0; n < orders; n++) {
        make_order(nest, n, best, &rng, ranked, order);
        if (!arrange(nest, order, (Way)(n % WAY_COUNT), work, &other, err)) return false;
        if (n > 0 && !is_better(&other, best)) continue;
        Layout kept = *best;
        *best = other;
        other = kept;
        if (nest->count == 1) break;
    }
    return true;
}

// --- the answer ---

// An item that the check does not like (none is known) gets a sheet of its own, or is left over.
static bool settle(const Nest *nest, Work *work, Layout *layout, Error *err)
{
    bool *bad = arena_new(&work->scratch, bool, nest->count);
    if (!bad) return error_memory(err);
    if (!nest_check(nest->items, nest->count, nest->options, layout->places, work, bad, err)) return false;
    bool any = false;
    for (int i = 0; i < nest->count; i++) {
        if (!bad[i]) continue;
        any = true;
        if (none_left(nest, &nest->shapes[i], (size_t)layout->sheet_count)) {
            leave_over(nest, i, layout);
            continue;
        }
        Choice alone = choose_first(nest->options->space, &nest->shapes[i], WAY_UP);
        layout->places[i].sheet = layout->sheet_count++;
        sheet_matrix(alone.turned, alone.spot, nest->options->origin_mm, layout->places[i].to_sheet);
    }
    if (!any) return true;
    if (!nest_check(nest->items, nest->count, nest->options, layout->places, work, bad, err)) return false;
    for (int i = 0; i < nest->count; i++)
        if (bad[i])
            return error_set(err, ERROR_JOB, "piece %d of the paper %s touches the edge of its sheet; a larger paper would do",
                             i + 1, nest->options->paper.id);
    return true;
}

static double cell_of(Space space)
{
    double cell = sqrt(space.width_mm * space.height_mm) / CELLS_A_SIDE;
    return cell < LEAST_CELL_MM ? LEAST_CELL_MM : cell;
}

static bool find_copies(Nest *nest, Arena *own, Error *err)
{
    int *copy_of = arena_new(own, int, nest->count);
    if (!copy_of) return error_memory(err);
    nest->copy_of = copy_of;
    for (int i = 0; i < nest->count; i++) {
        const NestItem *item = &nest->items[i], *before = i > 0 ? &nest->items[i - 1] : NULL; // copies follow one another
        bool same = before && before->rings == item->rings && before->fit.cos == item->fit.cos && before->fit.sin == item->fit.sin;
        copy_of[i] = same ? copy_of[i - 1] : i;
    }
    return true;
}

// All that lives as long as the undertaking lies in `own`, since scratch is rewound by the steps.
static bool nest_in(Nest *nest, Arena *own, Arena *keep, Work *work, NestResult *out, Error *err)
{
    Shape *shapes = arena_new(own, Shape, nest->count);
    if (!shapes) return error_memory(err);
    nest->shapes = shapes;
    NestOptions grown = *nest->options;
    grown.gap_mm = search_gap(nest);
    if (!find_copies(nest, own, err)) return false;
    for (int i = 0; i < nest->count; i++)
        if (nest->copy_of[i] < i) shapes[i] = shapes[nest->copy_of[i]];
        else if (!shape_make(&nest->items[i], &grown, nest->cell_mm, own, work, &shapes[i], err)) return false;

    if (!sheet_open(nest->options->space, nest->cell_mm, grown.gap_mm, own, &nest->blank, err)) return false;
    Layout best;
    if (!search(nest, work, &best, err) || !settle(nest, work, &best, err)) return false;
    if (!number_sheets(nest->items, nest->count, best.places, &best.sheet_count, work, err)) return false;
    NestPlace *places = arena_copy(keep, best.places, (size_t)nest->count, sizeof *places);
    if (!places) return error_memory(err);
    *out = (NestResult){places, best.sheet_count, 0};
    for (int i = 0; i < nest->count; i++) out->left_over += places[i].sheet == NEST_LEFT_OVER;
    return true;
}

static bool options_are_sound(const NestOptions *options, Error *err)
{
    const Space *space = &options->space;
    if (!isfinite(space->width_mm) || !isfinite(space->height_mm) || space->width_mm <= 0.0 || space->height_mm <= 0.0)
        return error_set(err, ERROR_INPUT, "the space of %s is %g x %g mm; both should be more than 0", options->paper.id, space->width_mm,
                         space->height_mm);
    if (!isfinite(options->gap_mm) || options->gap_mm < 0.0)
        return error_set(err, ERROR_INPUT, "the gap is %g mm; it should be 0 or more", options->gap_mm);
    if (options->most_sheets < 0)
        return error_set(err, ERROR_INPUT, "%d sheets are there; it should be 0 or more", options->most_sheets);
    return true;
}

bool nest_start(const NestItem *items, int item_count, const NestOptions *options, Arena *keep, Work *work, NestResult *out,
                Error *err)
{
    memset(out, 0, sizeof *out);
    if (!options_are_sound(options, err)) return false;
    if (item_count == 0) return true;
    ArenaMark mark = arena_mark(&work->scratch);
    Arena own = arena_make(work->scratch.budget_bytes);
    Nest nest = {.items = items, .options = options, .count = item_count, .cell_mm = cell_of(options->space)};
    bool done = nest_in(&nest, &own, keep, work, out, err);
    arena_free(&own);
    arena_rewind(&work->scratch, mark);
    return done;
}

bool nest_pieces(const NestItem *items, int item_count, const NestOptions *options, Arena *keep, Work *work,
                 NestResult *out, Error *err)
{
    NestResult start;
    if (!nest_start(items, item_count, options, keep, work, &start, err)) {
        memset(out, 0, sizeof *out);
        return false;
    }
    return nest_improve(items, item_count, options, &start, options->moves, options->seed, keep, work, out, err);
}
