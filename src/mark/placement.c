// placement.c - insets of higher layers, clipped to what is hidden and to pieces; see placement.h.
#include "mark/placement.h"

#include "shape/overlay.h"

#include <math.h>

#define SHORTEST_MM 3.0 // shorter strokes tell nothing and take a lift each
#define SMOOTH_MM 0.03  // few nodes; far below what a hand can place
#define CORNER_MM 0.02  // facets cut round corners by as much: added where a distance is to be kept
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

// Where on segment a-b the marked layer is the topmost below layer `above`, and hidden in the end.
static bool open_spans(const Bounds *bounds, int above, Point a, Point b, Arena *arena, SpanList *out)
{
    if (!spans_in(&bounds->safe, a, b, arena, out)) return false;
    for (int i = bounds->layer + 1; i < above && out->count > 0; i++) {
        SpanList covered;
        if (!spans_in(&bounds->layers[i], a, b, arena, &covered)) return false;
        if (covered.count > 0 && !spans_without(*out, covered, arena, out)) return false;
    }
    return true;
}

static bool clip_ring(const Ring *ring, int above, const Bounds *bounds, Arena *keep, Work *work, Strokes *out,
                      Error *err)
{
    Arena *scratch = &work->scratch;
    ArenaMark mark = arena_mark(scratch);
    SpanList *open = arena_new(scratch, SpanList, ring->count);
    if (!open) return error_memory(err);
    bool any = false;
    for (int i = 0; i < ring->count; i++) {
        if (!open_spans(bounds, above, ring->points[i], ring->points[(i + 1) % ring->count], scratch, &open[i]))
            return error_memory(err);
        any = any || open[i].count > 0;
    }
    Box box = ring_box(ring);
    for (int i = 0; any && i < bounds->face_count; i++) {
        if (bounds->faces[i].edge_count == 0 || !box_overlap(box, bounds->faces[i].box)) continue;
        if (!work_goes_on(work, err)) return false;
        ArenaMark face_mark = arena_mark(scratch);
        if (!clip_to_face(ring, open, &bounds->faces[i], i, SHORTEST_MM, keep, scratch, out)) return error_memory(err);
        arena_rewind(scratch, face_mark);
    }
    arena_rewind(scratch, mark);
    return true;
}

bool placement_find(const Stack *stack, const Bounds *bounds, const MarkOptions *options, Arena *keep, Work *work,
                    Strokes *out, Error *err)
{
    *out = (Strokes){0};
    if (bounds->safe.edge_count == 0 || bounds->face_count == 0) return true;
    Arena own = arena_make(work->scratch.budget_bytes); // work's is rewound by what is called here
    bool done = true;
    for (int above = bounds->layer + 1; done && above < stack->layer_count; above++) {
        ArenaMark mark = arena_mark(&own);
        Rings rings;
        MarkOptions inset = *options;
        // What stands off on foam squares is looked under from the side.
        if (stack->layers[above].raised && !stack->layers[bounds->layer].raised) inset.inset_mm = fmax(inset.inset_mm, STACK_FOAM_MM);
        done = inset_rings(&stack->layers[above], &inset, &own, work, &rings, err);
        for (int i = 0; done && i < rings.count; i++)
            done = work_goes_on(work, err) && clip_ring(&rings.items[i], above, bounds, keep, work, out, err);
        if (done) arena_rewind(&own, mark);
    }
    arena_free(&own);
    return done;
}
