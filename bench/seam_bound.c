// seam_bound.c - see seam_bound.h.
#include "seam_bound.h"

#include "shape/overlay.h"

#include <math.h>

#define HIDDEN_BY_MM 3.0
#define SIMPLE_MM 0.3   // of the cover: its details move the bound by next to nothing and cost minutes
#define CORNER_MM 0.3
#define FIRST_SHARE 0.0 // of 1 / hR ...
#define SHARE_STEP 0.25 // ... and so on up to 1

static bool see_layer(const Layer *layer, Arena *keep, Work *work, Rings *out, Error *err)
{
    Rings paper, cover, hiding = {0};
    Arena *scratch = &work->scratch;
    if (!overlay_simplify(&layer->rings, SIMPLE_MM, keep, work, &paper, err)) return false;
    *out = paper;
    if (layer->cover.count == 0) return true;
    return overlay_simplify(&layer->cover, SIMPLE_MM, scratch, work, &cover, err) &&
           overlay_offset(&cover, -HIDDEN_BY_MM, CORNER_MM, scratch, work, &hiding, err) &&
           overlay_rings(&paper, &hiding, OVERLAY_DIFFERENCE, keep, work, out, err);
}

bool in_sight_make(const Stack *stack, Arena *keep, Work *work, InSight *out, Error *err)
{
    *out = (InSight){arena_new(keep, Rings, stack->layer_count), stack->layer_count};
    if (!out->layers) return error_memory(err);
    for (int i = 0; i < stack->layer_count; i++) {
        ArenaMark mark = arena_mark(&work->scratch);
        if (!see_layer(&stack->layers[i], keep, work, &out->layers[i], err)) return false;
        arena_rewind(&work->scratch, mark);
    }
    return true;
}

double cheeger_constant(double width, double height)
{
    double sum = width + height, difference = width - height;
    return (4.0 - M_PI) / (sum - sqrt(difference * difference + M_PI * width * height));
}

// The bound of each polygon of a set, added up where it says anything.
static bool bound_of(const Rings *rings, double cheeger, Arena *scratch, double *out_mm, Error *err)
{
    int *outer = arena_new(scratch, int, rings->count);
    double *sum = arena_new(scratch, double, rings->count);
    if (!outer || !sum || !rings_find_outers(rings, scratch, outer)) return error_memory(err);
    for (int i = 0; i < rings->count; i++)
        sum[outer[i]] += (cheeger * ring_area_mm2(&rings->items[i]) - ring_length_mm(&rings->items[i])) / 2.0;
    *out_mm = 0.0;
    for (int i = 0; i < rings->count; i++) *out_mm += fmax(0.0, sum[i]);
    return true;
}

// A set without its parts thinner than 2 r.
static bool open_set(const Rings *set, double r_mm, Work *work, Rings *out, Error *err)
{
    Rings shrunk;
    Arena *scratch = &work->scratch;
    return overlay_offset(set, -r_mm, CORNER_MM, scratch, work, &shrunk, err) &&
           overlay_offset(&shrunk, r_mm, CORNER_MM, scratch, work, out, err);
}

// The polygons of a set, one by one: each has its own best opening.
static bool polygon_of(const Rings *set, const int *outer, int ring, Arena *scratch, Rings *out, Error *err)
{
    *out = (Rings){arena_new(scratch, Ring, set->count), 0};
    if (!out->items) return error_memory(err);
    for (int i = 0; i < set->count; i++)
        if (outer[i] == ring) out->items[out->count++] = set->items[i];
    return true;
}

static bool bound_polygon(const Rings *polygon, double cheeger, Work *work, double *out_mm, Error *err)
{
    *out_mm = 0.0;
    if (cheeger * rings_area_mm2(polygon) <= 2.0 * sqrt(M_PI * rings_area_mm2(polygon))) return true; // even as a disc
    for (double share = FIRST_SHARE; share <= 1.0; share += SHARE_STEP) {
        Rings opened = *polygon;
        double bound_mm = 0.0;
        if (share > 0.0 && !open_set(polygon, share / cheeger, work, &opened, err)) return false;
        if (!bound_of(&opened, cheeger, &work->scratch, &bound_mm, err)) return false;
        *out_mm = fmax(*out_mm, bound_mm);
    }
    return true;
}

static bool bound_layer(const Rings *seen, double cheeger, Work *work, double *out_mm, Error *err)
{
    Arena *scratch = &work->scratch;
    int *outer = arena_new(scratch, int, seen->count);
    if (!outer || !rings_find_outers(seen, scratch, outer)) return error_memory(err);
    for (int i = 0; i < seen->count; i++) {
        Rings polygon;
        double bound_mm = 0.0;
        if (outer[i] != i || ring_area_mm2(&seen->items[i]) <= 0.0) continue;
        ArenaMark mark = arena_mark(scratch);
        if (!polygon_of(seen, outer, i, scratch, &polygon, err) || !bound_polygon(&polygon, cheeger, work, &bound_mm, err))
            return false;
        *out_mm += bound_mm;
        arena_rewind(scratch, mark);
    }
    return true;
}

bool seam_bound(const InSight *seen, const Paper *paper, Work *work, double *out_mm, Error *err)
{
    Space space = paper_fit_space(paper);
    double cheeger = cheeger_constant(space.width_mm, space.height_mm);
    *out_mm = 0.0;
    for (int i = 0; i < seen->count; i++) {
        ArenaMark mark = arena_mark(&work->scratch);
        if (!bound_layer(&seen->layers[i], cheeger, work, out_mm, err)) return false;
        arena_rewind(&work->scratch, mark);
    }
    return true;
}
