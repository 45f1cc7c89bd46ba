// thin.c - opening, closing, and the pieces they take away; see thin.h.
#include "stack/thin.h"

#include "base/text.h"
#include "shape/overlay.h"
#include "stack/coarse.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define COARSE_MM 0.05      // of what is moved to and fro: higher finds parts that are not thin, lower costs time
#define CORNER_MM 0.05      // facets of round corners
#define SLACK_MM 0.2        // the way back goes this much farther, so that rounding leaves no rim
#define LEAST_WIDTH_MM 0.05 // what is narrower is such a rim
#define LONG_SHARE 2.0      // of thin_mm: shorter pieces are corners and tips, which every outline has

typedef struct Place {
    int layer;
    Point at;
    double width_mm, length_mm;
} Place;

typedef struct Places {
    Place *items;
    size_t count, capacity;
} Places;

static int compare_doubles(const void *a, const void *b)
{
    double p = *(const double *)a, q = *(const double *)b;
    return p < q ? -1 : p > q;
}

// Where the line x = at (or y = at) crosses a polygon: outer ring `outer` and its holes. `at` is half-way between whole
// micrometres, so that it meets no point. Gives the number of crossings, sorted.
static int crossings_of(const Rings *rings, const int *outers, int outer, bool is_column, double at, double *out)
{
    int count = 0;
    for (int i = 0; i < rings->count; i++) {
        const Ring *ring = &rings->items[i];
        for (int k = 0; outers[i] == outer && k < ring->count; k++) {
            Point a = ring->points[k], b = ring->points[k + 1 == ring->count ? 0 : k + 1];
            if (is_column) {
                a = (Point){a.y, a.x};
                b = (Point){b.y, b.x};
            }
            if ((a.y < at) == (b.y < at)) continue;
            out[count++] = a.x + (at - a.y) * ((double)b.x - a.x) / ((double)b.y - a.y);
        }
    }
    qsort(out, (size_t)count, sizeof *out, compare_doubles);
    return count;
}

// The middle, along the column, of the widest stretch half-way down a polygon.
static bool inside_point(const Rings *rings, const int *outers, int outer, Arena *scratch, Point *out)
{
    Box box = ring_box(&rings->items[outer]);
    double y = floor(((double)box.min.y + box.max.y) / 2.0) + 0.5, widest = -1.0, x = 0.0;
    int most = 0;
    for (int i = 0; i < rings->count; i++)
        if (outers[i] == outer) most += rings->items[i].count;
    double *crossings = arena_new(scratch, double, most);
    if (!crossings) return false;
    int count = crossings_of(rings, outers, outer, false, y, crossings);
    for (int i = 0; i + 1 < count; i += 2) {
        if (crossings[i + 1] - crossings[i] <= widest) continue;
        widest = crossings[i + 1] - crossings[i];
        x = floor((crossings[i] + crossings[i + 1]) / 2.0) + 0.5;
    }
    count = crossings_of(rings, outers, outer, true, x, crossings);
    for (int i = 0; i + 1 < count; i += 2)
        if (crossings[i] <= y && y <= crossings[i + 1]) y = (crossings[i] + crossings[i + 1]) / 2.0;
    *out = (Point){(int32_t)llround(x), (int32_t)llround(y)};
    return true;
}

// Width and length of the strip that has this area and this edge.
static void strip_size(double area_mm2, double edge_mm, Place *place)
{
    double half = edge_mm / 2.0, root = half * half - 4.0 * area_mm2;
    place->length_mm = root > 0.0 ? (half + sqrt(root)) / 2.0 : sqrt(area_mm2);
    place->width_mm = area_mm2 / place->length_mm;
}

static int compare_boxes(const void *a, const void *b)
{
    const Box *p = a, *q = b;
    int order = point_compare(p->min, q->min);
    return order ? order : point_compare(p->max, q->max);
}

// The boxes of all rings, sorted: a piece that has one of them is a part, or a hole, as a whole.
static Box *boxes_of(const Rings *rings, Arena *scratch)
{
    Box *boxes = arena_new(scratch, Box, rings->count);
    for (int i = 0; boxes && i < rings->count; i++) boxes[i] = ring_box(&rings->items[i]);
    if (boxes) qsort(boxes, (size_t)rings->count, sizeof *boxes, compare_boxes);
    return boxes;
}

static bool keep_places(const Rings *pieces, const Rings *from, int layer, double thin_mm, Arena *list, Arena *scratch,
                        Places *out)
{
    int *outers = arena_new(scratch, int, pieces->count);
    Box *wholes = boxes_of(from, scratch);
    if (!outers || !wholes || !rings_find_outers(pieces, scratch, outers)) return false;
    double *area_mm2 = arena_new(scratch, double, pieces->count), *edge_mm = arena_new(scratch, double, pieces->count);
    if (!area_mm2 || !edge_mm) return false;
    for (int i = 0; i < pieces->count; i++) {
        area_mm2[outers[i]] += ring_area_mm2(&pieces->items[i]);
        edge_mm[outers[i]] += ring_length_mm(&pieces->items[i]);
    }
    for (int i = 0; i < pieces->count; i++) {
        if (outers[i] != i || area_mm2[i] <= 0.0) continue;
        Place place = {.layer = layer};
        Box box = ring_box(&pieces->items[i]);
        strip_size(area_mm2[i], edge_mm[i], &place);
        if (place.width_mm < LEAST_WIDTH_MM) continue;
        if (place.length_mm <= LONG_SHARE * thin_mm &&
            !bsearch(&box, wholes, (size_t)from->count, sizeof *wholes, compare_boxes))
            continue;
        Place *room = arena_grow(list, out->items, out->count, &out->capacity, sizeof *room);
        if (!room || !inside_point(pieces, outers, i, scratch, &place.at)) return false;
        out->items = room;
        out->items[out->count++] = place;
    }
    return true;
}

// What a move by `there_mm`, and back by a little more or less than as much, does to the paper.
static bool to_and_fro(const Rings *paper, double there_mm, double back_mm, Arena *own, Work *work, Rings *out,
                       Error *err)
{
    Rings coarse, moved;
    return coarse_rings(paper, COARSE_MM, own, work, &coarse, err) &&
           overlay_offset(&coarse, there_mm, CORNER_MM, own, work, &moved, err) &&
           overlay_offset(&moved, back_mm, CORNER_MM, own, work, out, err);
}

static bool find_parts(const Stack *stack, int layer, double thin_mm, Arena *list, Arena *own, Work *work, Places *out,
                       Error *err)
{
    Rings seen = stack->layers[layer].rings, open, thin;
    if (layer > 0 && !area_rings(&stack->chains, &stack->layers[layer].seen, own, &seen, err)) return false;
    if (!to_and_fro(&stack->layers[layer].rings, -thin_mm / 2.0, thin_mm / 2.0 + SLACK_MM, own, work, &open, err) ||
        !overlay_rings(&seen, &open, OVERLAY_DIFFERENCE, own, work, &thin, err))
        return false;
    return keep_places(&thin, &seen, layer, thin_mm, list, own, out) || error_memory(err);
}

static bool find_gaps(const Stack *stack, double thin_mm, Arena *list, Arena *own, Work *work, Places *out,
                       Error *err)
{
    const Rings *base = &stack->layers[0].rings;
    Rings closed, gaps;
    if (!to_and_fro(base, thin_mm / 2.0, -thin_mm / 2.0 - SLACK_MM, own, work, &closed, err) ||
        !overlay_rings(&closed, base, OVERLAY_DIFFERENCE, own, work, &gaps, err))
        return false;
    return keep_places(&gaps, base, 0, thin_mm, list, own, out) || error_memory(err);
}

// Longest first; no two have one place on one layer.
static int compare_places(const void *a, const void *b)
{
    const Place *p = a, *q = b;
    if (p->length_mm != q->length_mm) return p->length_mm > q->length_mm ? -1 : 1;
    if (p->layer != q->layer) return p->layer < q->layer ? -1 : 1;
    return point_compare(p->at, q->at);
}

typedef struct Wording {
    const char *kind, *one, *many, *remedy;
} Wording;

static const Wording part_words = {"thin-part", "part", "parts", "thicken the line"};
static const Wording gap_words = {"thin-gap", "gap", "gaps", "widen the gap"};

static void describe(const Stack *stack, const Place *place, const Wording *words, Text *text)
{
    const char *colour = stack->colours[stack->layers[place->layer].colour].name;
    text_printf(text, "a %s %s ", words->one, words == &gap_words ? "in" : "of");
    if (place->layer == 0)
        text_printf(text, "the base (%s) only ", colour);
    else
        text_printf(text, "%s only ", colour);
    text_number(text, place->width_mm, 1);
    text_add(text, " mm wide over ");
    text_number(text, place->length_mm, place->length_mm < 10.0 ? 1 : 0);
    text_printf(text, " mm: hard to cut; make the piece taller or %s", words->remedy);
}

static bool list_places(const Stack *stack, const Places *places, const Wording *words, Arena *keep, Arena *scratch,
                        Findings *findings, Error *err)
{
    if (places->count > 0) qsort(places->items, places->count, sizeof *places->items, compare_places);
    for (size_t i = 0; i < places->count && i <= THIN_MOST; i++) {
        const Place *place = &places->items[i];
        Text text = text_make(scratch);
        if (i < THIN_MOST)
            describe(stack, place, words, &text);
        else
            text_printf(&text, "%d more thin %s, none longer than those listed one by one; the first of them is here",
                        (int)(places->count - THIN_MOST), words->many);
        if (!text_is_whole(&text, err)) return false;
        if (!findings_add(findings, keep, words->kind, text.bytes, place->at.x / UM_PER_MM, place->at.y / UM_PER_MM))
            return error_memory(err);
    }
    return true;
}

bool thin_find(const Stack *stack, double thin_mm, Arena *keep, Work *work, Findings *findings, Error *err)
{
    if (!(thin_mm > 0.0)) return true;
    Arena own = arena_make(work->scratch.budget_bytes), list = arena_make(work->scratch.budget_bytes);
    Places parts = {0}, gaps = {0};
    bool done = true;
    for (int i = 0; done && i < stack->layer_count; i++) {
        ArenaMark mark = arena_mark(&own);
        done = work_goes_on(work, err) && find_parts(stack, i, thin_mm, &list, &own, work, &parts, err);
        if (done) arena_rewind(&own, mark);
    }
    done = done && find_gaps(stack, thin_mm, &list, &own, work, &gaps, err) &&
           list_places(stack, &parts, &part_words, keep, &own, findings, err) &&
           list_places(stack, &gaps, &gap_words, keep, &own, findings, err);
    arena_free(&own);
    arena_free(&list);
    return done;
}
