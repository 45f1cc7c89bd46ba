// hinge.c - see hinge.h.
#include "seam/hinge.h"

#include "base/text.h"
#include "seam/bridge.h"

#include <math.h>
#include <stdlib.h>

#define STRAIGHT_COSINE 0.866 // of 30 degrees
#define ON_EDGE_MM 0.012      // a seam's end lies on the curve, a few micrometres off the flat outline
#define HELD_SHARE 0.5
#define NAMED_MOST 6          // seams in one finding; more are counted

typedef enum NodeKind { NODE_INNER, NODE_EDGE, NODE_HOLE, NODE_PARTED } NodeKind; // parted: of a seam on a section line

typedef struct End { // a seam's end: 2 * seam at its start, 2 * seam + 1 at its end
    Point at;
    double dx, dy;   // from there along the seam, of length 1
    NodeKind kind;
    int hole;        // index of the ring
    int onward;      // the end of another seam that the run goes on with; -1 = none
} End;

typedef struct Pair {
    int a, b;
    double straight; // cosine of the turn: 1 = straight on
} Pair;

typedef struct Pairs {
    Pair *items;
    size_t count, capacity;
} Pairs;

typedef struct Hinging {
    const Stack *stack;
    const LayerPieces *base;
    End *ends;
    Bridged *bridged; // by seam
    Arena *keep;
    Work *work;
} Hinging;

// ---- the ends of seams ----

static int other_end(int end)
{
    return end ^ 1;
}

static bool ring_passes(const Ring *ring, Point p)
{
    for (int i = 0; i < ring->count; i++)
        if (point_segment_distance_mm(p, ring->points[i], ring->points[i + 1 < ring->count ? i + 1 : 0]) <= ON_EDGE_MM) return true;
    return false;
}

static void find_kind(const Hinging *h, const Cover *outline, const Box *boxes, End *end)
{
    const Rings *rings = &h->stack->layers[0].rings;
    if (cover_distance_mm(outline, end->at, 2.0 * ON_EDGE_MM) > ON_EDGE_MM) return;
    end->kind = NODE_EDGE;
    for (int r = 0; r < rings->count; r++) {
        if (ring_area2_um2(&rings->items[r]) > 0 || !box_overlap(boxes[r], (Box){end->at, end->at})) continue;
        if (!ring_passes(&rings->items[r], end->at)) continue;
        end->kind = NODE_HOLE;
        end->hole = r;
    }
}

// Where the base parts anyway it does not fold: a section line is an edge of its sections.
static bool meets_section(const Hinging *h, Point p)
{
    for (int s = 0; s < h->base->seam_count; s++) {
        const Seam *seam = &h->base->seams[s];
        for (int l = 0; l < seam->link_count && seam->on_section; l++)
            for (int i = 0; i + 1 < link_point_count(&seam->links[l]); i++)
                if (point_segment_distance_mm(p, link_point(&h->base->chains, &seam->links[l], i),
                                              link_point(&h->base->chains, &seam->links[l], i + 1)) <= ON_EDGE_MM)
                    return true;
    }
    return false;
}

static bool make_ends(Hinging *h, Error *err)
{
    const Rings *rings = &h->stack->layers[0].rings;
    Arena *scratch = &h->work->scratch;
    Cover outline;
    Box *boxes = arena_new(scratch, Box, rings->count);
    h->ends = arena_new(scratch, End, 2 * h->base->seam_count);
    if (!boxes || !h->ends) return error_memory(err);
    if (!cover_make(rings, scratch, &outline, err)) return false;
    for (int r = 0; r < rings->count; r++) {
        boxes[r] = ring_box(&rings->items[r]);
        boxes[r] = (Box){{boxes[r].min.x - 20, boxes[r].min.y - 20}, {boxes[r].max.x + 20, boxes[r].max.y + 20}};
    }
    for (int e = 0; e < 2 * h->base->seam_count; e++) {
        const Seam *seam = &h->base->seams[e / 2];
        Link link = e % 2 ? link_reversed(seam->links[seam->link_count - 1]) : seam->links[0];
        Point a = link_point(&h->base->chains, &link, 0), b = link_point(&h->base->chains, &link, 1);
        double length = point_distance_mm(a, b);
        h->ends[e] = (End){a, ((double)b.x - a.x) / UM_PER_MM / length, ((double)b.y - a.y) / UM_PER_MM / length, NODE_INNER, -1, -1};
        find_kind(h, &outline, boxes, &h->ends[e]);
        if (seam->on_section) h->ends[e].kind = NODE_PARTED;
        else if (h->ends[e].kind == NODE_INNER && meets_section(h, a)) h->ends[e].kind = NODE_EDGE;
        if (!work_goes_on(h->work, err)) return false;
    }
    return true;
}

// ---- which seam goes on with which ----

// How straight the way is that comes along one seam, over what lies between the two ends, and goes on along the other.
static double straightness(const End *a, const End *b)
{
    double wx = ((double)b->at.x - a->at.x) / UM_PER_MM, wy = ((double)b->at.y - a->at.y) / UM_PER_MM, w = sqrt(wx * wx + wy * wy);
    if (w == 0.0) return -(a->dx * b->dx + a->dy * b->dy);
    return fmin(-(a->dx * wx + a->dy * wy), b->dx * wx + b->dy * wy) / w;
}

static int by_point(const void *pa, const void *pb)
{
    const Pair *a = pa, *b = pb;
    return a->a - b->a ? a->a - b->a : a->b - b->b;
}

static int straightest_first(const void *pa, const void *pb)
{
    const Pair *a = pa, *b = pb;
    if (a->straight != b->straight) return a->straight > b->straight ? -1 : 1;
    return by_point(pa, pb);
}

typedef struct Place {
    Point at;
    int hole, end;
} Place;

static int by_place(const void *pa, const void *pb)
{
    const Place *a = pa, *b = pb;
    if (a->hole != b->hole) return a->hole - b->hole;
    int order = a->hole < 0 ? point_compare(a->at, b->at) : 0;
    return order ? order : a->end - b->end;
}

static bool add_pairs(Hinging *h, const Place *places, int count, Pairs *pairs, Error *err)
{
    for (int i = 0; i < count; i++)
        for (int k = i + 1; k < count; k++) {
            const End *a = &h->ends[places[i].end], *b = &h->ends[places[k].end];
            double straight = straightness(a, b);
            if (straight < STRAIGHT_COSINE || places[i].end == other_end(places[k].end)) continue;
            Pair *items = arena_grow(&h->work->scratch, pairs->items, pairs->count, &pairs->capacity, sizeof *items);
            if (!items) return error_memory(err);
            pairs->items = items;
            items[pairs->count++] = (Pair){places[i].end, places[k].end, straight};
        }
    return true;
}

// Ends at one inner point, or on the edge of one hole, are candidates for one another.
static bool find_onward(Hinging *h, Error *err)
{
    int count = 0, ends = 2 * h->base->seam_count;
    Place *places = arena_new(&h->work->scratch, Place, ends);
    Pairs pairs = {0};
    if (!places) return error_memory(err);
    for (int e = 0; e < ends; e++)
        if (h->ends[e].kind != NODE_EDGE && h->ends[e].kind != NODE_PARTED) places[count++] = (Place){h->ends[e].at, h->ends[e].kind == NODE_HOLE ? h->ends[e].hole : -1, e};
    if (count) qsort(places, (size_t)count, sizeof *places, by_place);
    for (int first = 0, next; first < count; first = next) {
        for (next = first + 1; next < count && places[next].hole == places[first].hole &&
                               (places[first].hole >= 0 || point_equal(places[next].at, places[first].at));
             next++) {
        }
        if (!add_pairs(h, places + first, next - first, &pairs, err)) return false;
    }
    if (pairs.count) qsort(pairs.items, pairs.count, sizeof *pairs.items, straightest_first);
    for (size_t i = 0; i < pairs.count; i++) {
        End *a = &h->ends[pairs.items[i].a], *b = &h->ends[pairs.items[i].b];
        if (a->onward >= 0 || b->onward >= 0) continue;
        a->onward = pairs.items[i].b;
        b->onward = pairs.items[i].a;
    }
    return true;
}

// ---- what lies across ----

static bool gather_papers(const Stack *stack, const LayerPieces *pieces, Arena *scratch, BridgePaper **out, int *out_count, Error *err)
{
    int count = 0;
    for (int layer = 1; layer < stack->layer_count; layer++) count += pieces[layer].piece_count;
    *out = arena_new(scratch, BridgePaper, count + 1); // the last one is for a lap
    *out_count = 0;
    if (!*out) return error_memory(err);
    for (int layer = 1; layer < stack->layer_count; layer++)
        for (int i = 0; i < pieces[layer].piece_count; i++) {
            const Rings *rings = &pieces[layer].pieces[i].rings;
            (*out)[(*out_count)++] = (BridgePaper){rings, rings_box(rings), HINGE_REACH_MM};
        }
    return true;
}

static bool find_bridges(Hinging *h, const LayerPieces *pieces, Error *err)
{
    BridgePaper *papers;
    int count;
    Arena *scratch = &h->work->scratch;
    h->bridged = arena_new(scratch, Bridged, h->base->seam_count);
    if (!h->bridged) return error_memory(err);
    if (!gather_papers(h->stack, pieces, scratch, &papers, &count, err)) return false;
    for (int s = 0; s < h->base->seam_count; s++) {
        const Seam *seam = &h->base->seams[s];
        const Link *link = &seam->links[0];
        ArenaMark mark = arena_mark(scratch);
        int with = count, point_count = link_point_count(link);
        Point *points = arena_new(scratch, Point, point_count);
        if (!points) return error_memory(err);
        for (int i = 0; i < point_count; i++) points[i] = link_point(&h->base->chains, link, i);
        if (seam->form == SEAM_LAP) {
            const Rings *rings = piece_cut(&h->base->pieces[seam->lap_of]);
            papers[with++] = (BridgePaper){rings, rings_box(rings), HINGE_LAP_REACH_MM};
        }
        if (!bridge_seam(points, point_count, papers, with, scratch, h->work, &h->bridged[s], err)) return false;
        arena_rewind(scratch, mark);
    }
    return true;
}

// ---- runs ----

// From an end on the edge, seam by seam; *crosses: it comes to the edge again.
static int follow(const Hinging *h, int start, int *seams, bool *crosses)
{
    int count = 0;
    *crosses = false;
    for (int end = start; end >= 0 && count < h->base->seam_count;) {
        seams[count++] = end / 2;
        const End *far = &h->ends[other_end(end)];
        *crosses = far->kind == NODE_EDGE;
        end = *crosses ? -1 : far->onward;
    }
    return count;
}

static bool make_hinge(const Hinging *h, const int *seams, int count, Hinge *out, bool *held, Error *err)
{
    double gap_mm = -1.0;
    *out = (Hinge){.seams = arena_copy(h->keep, seams, (size_t)count, sizeof *seams), .seam_count = count};
    if (!out->seams) return error_memory(err);
    for (int i = 0; i < count; i++) {
        const Bridged *of = &h->bridged[seams[i]];
        out->length_mm += h->base->seams[seams[i]].length_mm;
        out->bridged_mm += of->bridged_mm;
        if (of->gap_mm <= gap_mm) continue;
        gap_mm = of->gap_mm;
        out->at = of->gap_middle;
    }
    *held = out->bridged_mm >= HELD_SHARE * out->length_mm;
    return true;
}

static int most_open_first(const void *pa, const void *pb)
{
    const Hinge *a = pa, *b = pb;
    double open_a = a->length_mm - a->bridged_mm, open_b = b->length_mm - b->bridged_mm;
    if (open_a != open_b) return open_a > open_b ? -1 : 1;
    return a->seams[0] - b->seams[0];
}

static bool find_runs(Hinging *h, Hinges *out, Error *err)
{
    int count = h->base->seam_count;
    int *seams = arena_new(&h->work->scratch, int, count);
    out->items = arena_new(h->keep, Hinge, count);
    if (!seams || !out->items) return error_memory(err);
    for (int start = 0; start < 2 * count; start++) {
        bool crosses, held = false;
        if (h->ends[start].kind != NODE_EDGE) continue;
        int run = follow(h, start, seams, &crosses);
        if (!crosses || seams[run - 1] < seams[0]) continue; // it is found from its other end as well
        if (run == 1 && start % 2) continue;
        if (!make_hinge(h, seams, run, &out->items[out->count], &held, err)) return false;
        out->count += !held;
    }
    if (out->count) qsort(out->items, (size_t)out->count, sizeof *out->items, most_open_first);
    return true;
}

bool hinge_find(const Stack *stack, const LayerPieces *pieces, Arena *keep, Work *work, Hinges *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Hinging h = {.stack = stack, .base = &pieces[0], .keep = keep, .work = work};
    *out = (Hinges){0};
    if (pieces[0].seam_count == 0) return true;
    bool fine = make_ends(&h, err) && find_onward(&h, err) && find_bridges(&h, pieces, err) && find_runs(&h, out, err);
    arena_rewind(&work->scratch, mark);
    return fine;
}

// ---- in words ----

static void name_seams(Text *text, const LayerPieces *base, const Hinge *hinge)
{
    int named = hinge->seam_count < NAMED_MOST ? hinge->seam_count : NAMED_MOST;
    for (int i = 0; i < named; i++)
        text_printf(text, "%s%s", i == 0 ? "" : i + 1 == hinge->seam_count ? " and " : ", ", base->seams[hinge->seams[i]].id);
    if (hinge->seam_count > named) text_printf(text, " and %d more", hinge->seam_count - named);
}

static bool tell_one(const Stack *stack, const LayerPieces *base, const Hinge *hinge, Arena *keep, Work *work, Findings *out, Error *err)
{
    Text text = text_make(&work->scratch);
    bool has_strips = stack->height_mm > HINGE_STRIPS_FROM_MM, one = hinge->seam_count == 1;
    for (int i = 0; i < hinge->seam_count; i++) has_strips = has_strips && base->seams[hinge->seams[i]].form == SEAM_BUTT;
    name_seams(&text, base, hinge);
    text_printf(&text, " cross%s the base from edge to edge, %.0f mm in all, and other paper bridges %.0f %% of that: it can fold there like a hinge. ",
                one ? "es" : "", hinge->length_mm, 100.0 * hinge->bridged_mm / hinge->length_mm);
    text_add(&text, has_strips ? "See that backing strips lie behind all of it, and glue them while the base still lies flat"
                               : "Glue a backing strip 1 1/2 in (38 mm) wide behind it, from edge to edge, while the base still lies flat");
    if (!text_is_whole(&text, err)) return false;
    return findings_add(out, keep, "hinge", text.bytes, hinge->at.x / UM_PER_MM, hinge->at.y / UM_PER_MM) || error_memory(err);
}

bool hinge_tell(const Stack *stack, const LayerPieces *pieces, Arena *keep, Work *work, Findings *out, Error *err)
{
    Hinges hinges;
    ArenaMark mark = arena_mark(&work->scratch);
    *out = (Findings){0};
    if (!hinge_find(stack, pieces, keep, work, &hinges, err)) return false;
    for (int i = 0; i < hinges.count; i++)
        if (!tell_one(stack, &pieces[0], &hinges.items[i], keep, work, out, err)) return false;
    arena_rewind(&work->scratch, mark);
    return true;
}
