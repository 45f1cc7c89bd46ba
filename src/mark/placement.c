// placement.c - insets of higher layers, clipped to what is hidden and to pieces; see placement.h.
#include "mark/placement.h"

#include "shape/cover.h"
#include "shape/overlay.h"

#include <math.h>

#define FACE_INSIDE_MM 0.5 // a mark nearer to a cut may meet it when the sheet slips
#define SHORTEST_MM 3.0    // shorter strokes tell nothing and take a lift each
#define SMOOTH_MM 0.03     // few nodes; far below what a hand can place
#define CORNER_MM 0.02     // facets cut round corners by as much: added where a distance is to be kept
#define INSET_SPARE_MM 0.1 // an inset line stays this much clear of the limit of what is hidden

// An inset of at most a quarter of the polygon's mean width (twice area over perimeter, as for a long strip).
static double inset_of(const Layer *layer, int outer, const MarkOptions *options)
{
    double area = 0.0, length = 0.0;
    for (int i = outer; i < layer->rings.count; i++) {
        if (layer->area.rings[i].outer != outer) continue;
        area += ring_area_mm2(&layer->rings.items[i]);
        length += ring_length_mm(&layer->rings.items[i]);
    }
    double inset = fmin(options->inset_mm, area / (2.0 * length));
    return fmax(inset, options->hide_mm + INSET_SPARE_MM);
}

static Rings polygons_with_inset(const Layer *layer, const double *inset_mm, int only_outer, double wanted_mm,
                                 Ring *room)
{
    Rings rings = {room, 0};
    for (int i = 0; i < layer->rings.count; i++) {
        int outer = layer->area.rings[i].outer;
        if (only_outer >= 0 ? outer == only_outer : inset_mm[outer] == wanted_mm)
            room[rings.count++] = layer->rings.items[i];
    }
    return rings;
}

static bool add_inset(const Rings *rings, double inset_mm, Arena *own, Work *work, Rings *all, size_t *capacity,
                      Error *err)
{
    Rings moved, smooth;
    if (rings->count == 0) return true;
    if (!overlay_offset(rings, -inset_mm, CORNER_MM, own, work, &moved, err)) return false;
    if (moved.count == 0) return true;
    if (!overlay_simplify(&moved, SMOOTH_MM, own, work, &smooth, err)) return false;
    for (int i = 0; i < smooth.count; i++) {
        Ring *room = arena_grow(own, all->items, (size_t)all->count, capacity, sizeof *room);
        if (!room) return error_memory(err);
        all->items = room;
        all->items[all->count++] = smooth.items[i];
    }
    return true;
}

// Rings of the moved edge. Wide polygons are moved together, narrow ones each by their own width.
static bool inset_rings(const Layer *layer, const MarkOptions *options, Arena *own, Work *work, Rings *out, Error *err)
{
    *out = (Rings){0};
    size_t capacity = 0;
    double *inset_mm = arena_new(own, double, layer->rings.count);
    Ring *room = arena_new(own, Ring, layer->rings.count);
    if (!inset_mm || !room) return error_memory(err);
    for (int i = 0; i < layer->rings.count; i++)
        if (layer->area.rings[i].outer == i) inset_mm[i] = inset_of(layer, i, options);
    Rings wide = polygons_with_inset(layer, inset_mm, -1, options->inset_mm, room);
    if (!add_inset(&wide, options->inset_mm, own, work, out, &capacity, err)) return false;
    for (int i = 0; i < layer->rings.count; i++) {
        if (layer->area.rings[i].outer != i || inset_mm[i] == options->inset_mm) continue;
        Rings narrow = polygons_with_inset(layer, inset_mm, i, 0.0, room);
        if (!add_inset(&narrow, inset_mm[i], own, work, out, &capacity, err)) return false;
    }
    return true;
}

typedef struct SpanList {
    Span *items;
    int count;
} SpanList;

static bool spans_common(SpanList a, SpanList b, Arena *arena, SpanList *out)
{
    *out = (SpanList){arena_new(arena, Span, a.count + b.count + 1), 0};
    if (!out->items) return false;
    for (int i = 0, k = 0; i < a.count && k < b.count;) {
        double t0 = fmax(a.items[i].t0, b.items[k].t0), t1 = fmin(a.items[i].t1, b.items[k].t1);
        if (t0 < t1) out->items[out->count++] = (Span){t0, t1};
        if (a.items[i].t1 < b.items[k].t1)
            i++;
        else
            k++;
    }
    return true;
}

static bool spans_without(SpanList a, SpanList b, Arena *arena, SpanList *out)
{
    SpanList rest = {arena_new(arena, Span, b.count + 1), 0};
    if (!rest.items) return false;
    double from = 0.0;
    for (int i = 0; i < b.count; i++) {
        if (b.items[i].t0 > from) rest.items[rest.count++] = (Span){from, b.items[i].t0};
        from = b.items[i].t1;
    }
    if (from < 1.0) rest.items[rest.count++] = (Span){from, 1.0};
    return spans_common(a, rest, arena, out);
}

static bool spans_in(const Cover *cover, Point a, Point b, Arena *arena, SpanList *out)
{
    *out = (SpanList){0};
    Box box = box_empty();
    box_add(&box, a);
    box_add(&box, b);
    if (cover->edge_count == 0 || !box_overlap(box, cover->box)) return true;
    out->items = cover_spans(cover, a, b, arena, &out->count);
    return out->items || out->count == 0;
}

typedef struct Ground { // what lines are clipped with
    Cover safe;
    Cover *layers; // of the whole stack; those up to the marked layer stay empty
    Cover *faces;  // of the pieces, shrunk
    int face_count;
    int layer;
} Ground;

static bool ground_make(const Stack *stack, const LayerPieces *pieces, int layer, const Rings *safe, Arena *own,
                        Work *work, Ground *out, Error *err)
{
    *out = (Ground){.layer = layer, .face_count = pieces->piece_count};
    out->layers = arena_new(own, Cover, stack->layer_count);
    out->faces = arena_new(own, Cover, pieces->piece_count);
    if (!out->layers || !out->faces) return error_memory(err);
    if (!cover_make(safe, own, &out->safe, err)) return false;
    for (int i = layer + 1; i < stack->layer_count - 1; i++)
        if (!cover_make(&stack->layers[i].rings, own, &out->layers[i], err)) return false;
    for (int i = 0; i < pieces->piece_count; i++) {
        Rings face;
        if (!work_goes_on(work, err)) return false;
        if (!box_overlap(rings_box(&pieces->pieces[i].rings), out->safe.box)) continue;
        if (!overlay_offset(&pieces->pieces[i].rings, -FACE_INSIDE_MM - CORNER_MM, CORNER_MM, own, work, &face, err))
            return false;
        if (face.count > 0 && !cover_make(&face, own, &out->faces[i], err)) return false;
    }
    return true;
}

// Where on segment a-b the marked layer is the topmost below layer `above`, and hidden in the end.
static bool open_spans(const Ground *ground, int above, Point a, Point b, Arena *arena, SpanList *out)
{
    if (!spans_in(&ground->safe, a, b, arena, out)) return false;
    for (int i = ground->layer + 1; i < above && out->count > 0; i++) {
        SpanList covered;
        if (!spans_in(&ground->layers[i], a, b, arena, &covered)) return false;
        if (covered.count > 0 && !spans_without(*out, covered, arena, out)) return false;
    }
    return true;
}

static Point point_along(Point a, Point b, double t)
{
    if (t <= 0.0) return a;
    if (t >= 1.0) return b;
    return (Point){(int32_t)llround(a.x + t * ((double)b.x - a.x)), (int32_t)llround(a.y + t * ((double)b.y - a.y))};
}

// A stroke that grows point by point along a ring.
typedef struct Tip {
    Point *points;
    size_t count, capacity;
    bool from_ring_start; // begins at the ring's first point
} Tip;

typedef struct Tips {
    Tip *items;
    size_t count, capacity;
} Tips;

static bool tip_add(Tip *tip, Point p, Arena *arena)
{
    if (tip->count > 0 && point_equal(tip->points[tip->count - 1], p)) return true;
    Point *room = arena_grow(arena, tip->points, tip->count, &tip->capacity, sizeof *room);
    if (!room) return false;
    tip->points = room;
    tip->points[tip->count++] = p;
    return true;
}

// The index of a new stroke, or -1 when memory ran out.
static int tip_new(Tips *tips, Arena *arena)
{
    Tip *room = arena_grow(arena, tips->items, tips->count, &tips->capacity, sizeof *room);
    if (!room) return -1;
    tips->items = room;
    tips->items[tips->count] = (Tip){0};
    return (int)tips->count++;
}

// Adds the part of edge a-b in `span` to stroke `tip`, which ended at a; or to a new one when tip is -1. Gives its
// index.
static int add_span(Tips *tips, int tip, Point a, Point b, Span span, Arena *arena)
{
    int of = span.t0 <= 0.0 && tip >= 0 ? tip : tip_new(tips, arena);
    if (of < 0 || !tip_add(&tips->items[of], point_along(a, b, span.t0), arena) ||
        !tip_add(&tips->items[of], point_along(a, b, span.t1), arena))
        return -1;
    return of;
}

// The last stroke ends where the ring starts: when the first one starts there they are one.
static bool join_at_ring_start(Tips *tips, int last, Arena *arena)
{
    if (last <= 0 || !tips->items[0].from_ring_start) return true;
    Tip *first = &tips->items[0];
    for (size_t i = 0; i < first->count; i++)
        if (!tip_add(&tips->items[last], first->points[i], arena)) return false;
    first->count = 0;
    return true;
}

// All strokes of one ring on one face. `open` has the open spans of each edge of the ring.
static bool ring_on_face(const Ring *ring, const SpanList *open, const Cover *face, Arena *arena, Tips *tips)
{
    *tips = (Tips){0};
    int tip = -1; // the stroke that reaches the end of the edge before
    for (int i = 0; i < ring->count; i++) {
        Point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
        SpanList in_face = {0}, spans = {0};
        if (open[i].count > 0 &&
            (!spans_in(face, a, b, arena, &in_face) || !spans_common(open[i], in_face, arena, &spans)))
            return false;
        int reaches = -1;
        for (int k = 0; k < spans.count; k++) {
            int of = add_span(tips, k == 0 ? tip : -1, a, b, spans.items[k], arena);
            if (of < 0) return false;
            if (i == 0 && spans.items[k].t0 <= 0.0) tips->items[of].from_ring_start = true;
            reaches = spans.items[k].t1 >= 1.0 ? of : -1;
        }
        tip = reaches;
    }
    return join_at_ring_start(tips, tip, arena);
}

static double tip_length_mm(const Tip *tip)
{
    double length = 0.0;
    for (size_t i = 1; i < tip->count; i++) length += point_distance_mm(tip->points[i - 1], tip->points[i]);
    return length;
}

static bool keep_tips(const Tips *tips, int piece, Arena *keep, Strokes *out)
{
    for (size_t i = 0; i < tips->count; i++) {
        const Tip *tip = &tips->items[i];
        if (tip_length_mm(tip) < SHORTEST_MM) continue;
        Stroke *room = arena_grow(keep, out->items, out->count, &out->capacity, sizeof *room);
        Point *points = arena_copy(keep, tip->points, tip->count, sizeof *points);
        if (!room || !points) return false;
        out->items = room;
        out->items[out->count++] = (Stroke){piece, points, (int)tip->count};
    }
    return true;
}

static bool clip_ring(const Ring *ring, int above, const Ground *ground, Arena *keep, Work *work, Strokes *out,
                      Error *err)
{
    Arena *scratch = &work->scratch;
    ArenaMark mark = arena_mark(scratch);
    SpanList *open = arena_new(scratch, SpanList, ring->count);
    if (!open) return error_memory(err);
    bool any = false;
    for (int i = 0; i < ring->count; i++) {
        if (!open_spans(ground, above, ring->points[i], ring->points[(i + 1) % ring->count], scratch, &open[i]))
            return error_memory(err);
        any = any || open[i].count > 0;
    }
    Box box = ring_box(ring);
    for (int i = 0; any && i < ground->face_count; i++) {
        Tips tips;
        if (ground->faces[i].edge_count == 0 || !box_overlap(box, ground->faces[i].box)) continue;
        if (!work_goes_on(work, err)) return false;
        ArenaMark face_mark = arena_mark(scratch);
        if (!ring_on_face(ring, open, &ground->faces[i], scratch, &tips) || !keep_tips(&tips, i, keep, out))
            return error_memory(err);
        arena_rewind(scratch, face_mark);
    }
    arena_rewind(scratch, mark);
    return true;
}

bool placement_find(const Stack *stack, const LayerPieces *pieces, int layer, const MarkOptions *options,
                    const Rings *safe, Arena *keep, Work *work, Strokes *out, Error *err)
{
    *out = (Strokes){0};
    if (safe->count == 0 || pieces->piece_count == 0) return true;
    Arena own = arena_make(work->scratch.budget_bytes); // work's is rewound by what is called here
    Ground ground;
    bool done = ground_make(stack, pieces, layer, safe, &own, work, &ground, err);
    for (int above = layer + 1; done && above < stack->layer_count; above++) {
        ArenaMark mark = arena_mark(&own);
        Rings rings;
        done = inset_rings(&stack->layers[above], options, &own, work, &rings, err);
        for (int i = 0; done && i < rings.count; i++)
            done = work_goes_on(work, err) && clip_ring(&rings.items[i], above, &ground, keep, work, out, err);
        if (done) arena_rewind(&own, mark);
    }
    arena_free(&own);
    return done;
}
