// section_charge.c - see section_charge.h.
#include "seam/section_charge.h"

#include <math.h>
#include <stdlib.h>

#define MM_AN_INCH 25.4
#define AT_VENUE_IN 6.0     // a part that stays whole is put on where the piece is put up
#define NARROW_IN 10.0      // a piece that is narrower than it should be, as the search of seams has it
#define ALONG_MM 10.0       // an edge this near runs along the line ...
#define ALONG_SLOPE 0.25    // ... when it leaves it by no more than this
#define ALONG_WEIGHT 0.4    // of its length
#define COVER_PART (-1)

typedef struct Hit { // one crossing
    int place, part;
    double at_mm;   // along the line
} Hit;

typedef struct Hits {
    Hit *items;
    size_t count, room;
} Hits;

static int compare_hits(const void *pa, const void *pb)
{
    const Hit *a = pa, *b = pb;
    if (a->place != b->place) return a->place < b->place ? -1 : 1;
    if (a->part != b->part) return a->part < b->part ? -1 : 1;
    return (a->at_mm > b->at_mm) - (a->at_mm < b->at_mm);
}

static double across_mm(Point p, int axis)
{
    return (axis == 0 ? p.x : p.y) / UM_PER_MM;
}

// The places are rising; gives the first one that is at least v.
static int first_place(const double *at_mm, int count, double v)
{
    int low = 0, high = count;
    while (low < high) {
        int middle = low + (high - low) / 2;
        if (at_mm[middle] < v) low = middle + 1;
        else high = middle;
    }
    return low;
}

static bool add_edge(Hits *hits, Point a, Point b, int axis, const double *at_mm, int count, int part, Arena *scratch)
{
    double u = across_mm(a, axis), v = across_mm(b, axis), s = across_mm(a, !axis), t = across_mm(b, !axis);
    double low = fmin(u, v), high = fmax(u, v);
    for (int k = first_place(at_mm, count, low); k < count && at_mm[k] < high; k++) { // half open: a corner is met once
        Hit *items = arena_grow(scratch, hits->items, hits->count, &hits->room, sizeof *items);
        if (!items) return false;
        hits->items = items;
        items[hits->count++] = (Hit){k, part, s + (t - s) * (at_mm[k] - u) / (v - u)};
    }
    return true;
}

static bool add_rings(Hits *hits, const Rings *rings, const int *part_of, int axis, const double *at_mm, int count, Work *work,
                      Error *err)
{
    for (int r = 0; r < rings->count; r++) {
        const Ring *ring = &rings->items[r];
        if (!work_goes_on(work, err)) return false;
        for (int i = 0; i < ring->count; i++)
            if (!add_edge(hits, ring->points[i], ring->points[i + 1 < ring->count ? i + 1 : 0], axis, at_mm, count,
                          part_of ? part_of[r] : COVER_PART, &work->scratch))
                return error_memory(err);
    }
    return true;
}

// The length that pairs of hits a have in common with pairs of hits b; both sorted.
static double common_mm(const Hit *a, size_t a_count, const Hit *b, size_t b_count)
{
    double sum = 0.0;
    for (size_t i = 0, k = 0; i + 1 < a_count && k + 1 < b_count;) {
        sum += fmax(0.0, fmin(a[i + 1].at_mm, b[k + 1].at_mm) - fmax(a[i].at_mm, b[k].at_mm));
        if (a[i + 1].at_mm < b[k + 1].at_mm) i += 2;
        else k += 2;
    }
    return sum;
}

// Hits of one place: first those of the cover, then part by part.
static int read_place(const SectionGround *ground, int layer, int axis, double at_mm, const Hit *hits, size_t count, SectionCut *out)
{
    size_t cover_count = 0, first, next;
    int made = 0;
    while (cover_count < count && hits[cover_count].part == COVER_PART) cover_count++;
    for (first = cover_count; first < count; first = next) {
        double length = 0.0;
        for (next = first; next < count && hits[next].part == hits[first].part; next++)
            if ((next - first) % 2 == 1) length += hits[next].at_mm - hits[next - 1].at_mm;
        double hidden = common_mm(hits + first, next - first, hits, cover_count);
        Box box = ground->layers[layer].parts[hits[first].part].box;
        double beside = fmin(at_mm - across_mm(box.min, axis), across_mm(box.max, axis) - at_mm);
        out[made++] = (SectionCut){hits[first].place, hits[first].part, fmax(0.0, length - hidden), hidden, beside};
    }
    return made;
}

// What all places cut of a layer.
static bool find_cuts(const SectionGround *ground, int layer, int axis, const double *at_mm, int count, Work *work,
                      SectionCut **out, int *out_count, Error *err)
{
    const Layer *of = &ground->stack->layers[layer];
    Hits hits = {0};
    if (!add_rings(&hits, &of->cover, NULL, axis, at_mm, count, work, err)) return false;
    if (!add_rings(&hits, &of->rings, ground->layers[layer].part_of, axis, at_mm, count, work, err)) return false;
    if (hits.count) qsort(hits.items, hits.count, sizeof *hits.items, compare_hits);
    *out = arena_new(&work->scratch, SectionCut, hits.count);
    *out_count = 0;
    if (!*out) return error_memory(err);
    for (size_t first = 0, next; first < hits.count; first = next) {
        for (next = first; next < hits.count && hits.items[next].place == hits.items[first].place; next++) {
        }
        *out_count += read_place(ground, layer, axis, at_mm[hits.items[first].place], hits.items + first, next - first,
                                 *out + *out_count);
    }
    return work_goes_on(work, err);
}

static double charge_of(const SectionGround *ground, int layer, const SectionCut *cut)
{
    const SectionPart *part = &ground->layers[layer].parts[cut->part];
    double cost = (cut->visible_mm + ground->hidden_weight * cut->hidden_mm) / MM_AN_INCH;
    if (cut->beside_mm < ground->least_wide_mm) cost += NARROW_IN;
    return part->fits ? fmin(cost + ground->piece_weight, AT_VENUE_IN) : cost;
}

// Lines that run along an edge leave slivers on one side of it.
static void charge_edges(const Rings *rings, int axis, const double *at_mm, int count, double *out_in)
{
    for (int r = 0; r < rings->count; r++) {
        const Ring *ring = &rings->items[r];
        for (int i = 0; i < ring->count; i++) {
            Point a = ring->points[i], b = ring->points[i + 1 < ring->count ? i + 1 : 0];
            double u = across_mm(a, axis), v = across_mm(b, axis), along = fabs(across_mm(a, !axis) - across_mm(b, !axis));
            if (fabs(u - v) > ALONG_SLOPE * along) continue;
            for (int k = first_place(at_mm, count, fmin(u, v) - ALONG_MM); k < count && at_mm[k] <= fmax(u, v) + ALONG_MM; k++)
                out_in[k] += ALONG_WEIGHT * along / MM_AN_INCH;
        }
    }
}

bool section_charge(const SectionGround *ground, int axis, const double *at_mm, int count, Work *work, double *out_in, Error *err)
{
    for (int k = 0; k < count; k++) out_in[k] = 0.0;
    for (int layer = 0; layer < ground->stack->layer_count; layer++) {
        ArenaMark mark = arena_mark(&work->scratch);
        SectionCut *cuts;
        int cut_count;
        if (!find_cuts(ground, layer, axis, at_mm, count, work, &cuts, &cut_count, err)) return false;
        for (int i = 0; i < cut_count; i++) out_in[cuts[i].place] += charge_of(ground, layer, &cuts[i]);
        charge_edges(&ground->stack->layers[layer].rings, axis, at_mm, count, out_in);
        arena_rewind(&work->scratch, mark);
    }
    return true;
}

bool section_cuts(const SectionGround *ground, int layer, int32_t *const at[2], const int count[2], Work *work, SectionCut **out,
                  int *out_count, Error *err)
{
    SectionCut *cuts[2];
    int counts[2];
    for (int axis = 0; axis < 2; axis++) {
        double *at_mm = arena_new(&work->scratch, double, count[axis]);
        if (!at_mm) return error_memory(err);
        for (int i = 0; i < count[axis]; i++) at_mm[i] = at[axis][i] / UM_PER_MM;
        if (!find_cuts(ground, layer, axis, at_mm, count[axis], work, &cuts[axis], &counts[axis], err)) return false;
    }
    *out_count = counts[0] + counts[1];
    *out = arena_new(&work->scratch, SectionCut, *out_count);
    if (!*out) return error_memory(err);
    for (int i = 0; i < *out_count; i++) (*out)[i] = i < counts[0] ? cuts[0][i] : cuts[1][i - counts[0]];
    return true;
}

// ---- the ground ----

static bool describe_part(const Layer *layer, int layer_index, int ring, int index, const Paper *paper, Arena *scratch, SectionPart *out,
                          Error *err)
{
    const Ring *outer = &layer->rings.items[ring];
    Space space = paper_fit_space(paper);
    ArenaMark mark = arena_mark(scratch);
    int count;
    Fit fit;
    *out = (SectionPart){.layer = layer_index, .index = index, .box = ring_box(outer)};
    Point *hull = hull_make(outer->points, outer->count, scratch, &count);
    if (!hull) return error_memory(err);
    out->fits = space.width_mm > 0.0 && space.height_mm > 0.0 && hull_fits(hull, count, space, &fit);
    out->sheet_share = box_width_mm(out->box) * box_height_mm(out->box) / (space.width_mm * space.height_mm);
    arena_rewind(scratch, mark);
    return true;
}

// Parts are numbered as cuts.h numbers them: in the order of their outer rings.
static bool describe_layer(const Stack *stack, int index, const Paper *paper, Arena *keep, Work *work, SectionLayer *out, Error *err)
{
    const Layer *layer = &stack->layers[index];
    int rings = layer->area.ring_count;
    out->part_of = arena_new(keep, int, rings);
    out->parts = arena_new(keep, SectionPart, rings);
    if (!out->part_of || !out->parts) return error_memory(err);
    for (int r = 0; r < rings; r++) {
        if (layer->area.rings[r].outer != r) continue;
        out->part_of[r] = out->part_count;
        if (!work_goes_on(work, err)) return false;
        if (!describe_part(layer, index, r, out->part_count, paper, &work->scratch, &out->parts[out->part_count], err)) return false;
        out->part_count++;
    }
    for (int r = 0; r < rings; r++) out->part_of[r] = out->part_of[layer->area.rings[r].outer];
    return true;
}

bool section_ground(const Stack *stack, const Paper *papers, Arena *keep, Work *work, SectionGround *out, Error *err)
{
    *out = (SectionGround){.stack = stack, .layers = arena_new(keep, SectionLayer, stack->layer_count)};
    if (!out->layers) return error_memory(err);
    for (int layer = 0; layer < stack->layer_count; layer++) {
        SeamOptions usual = seam_defaults(&papers[layer]);
        out->hidden_weight = usual.hidden_weight;
        out->piece_weight = usual.piece_weight;
        out->least_wide_mm = usual.least_wide_mm;
        if (!describe_layer(stack, layer, &papers[layer], keep, work, &out->layers[layer], err)) return false;
    }
    return true;
}
