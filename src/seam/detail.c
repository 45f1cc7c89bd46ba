// detail.c - see detail.h.
#include "seam/detail.h"

#include "shape/hull.h"
#include "shape/overlay.h"

#include <math.h>
#include <stdlib.h>

#define LEAST_MM 5.0        // a smaller island is a dot
#define MOST_SHARE 0.125    // of the figure's longer side; a larger one is a part of the picture
#define SLIM_SHARE 0.3      // of its length: a narrower one is a stroke, a blade of grass, a hair
#define PAPER_SHARE 0.8     // of the paper's shorter side: a place that is longer cannot be gone round
#define NEAR_SHARE 0.5      // of the smaller one's size: islands with a smaller gap are looked at together
#define GROWN_SHARE 0.25    // of its size belongs to a place, all round ...
#define GROWN_LEAST_MM 6.0
#define GROWN_MOST_MM 25.4
#define ALIKE_SHARE 0.15    // islands whose area and length differ by less are alike, and ...
#define MOST_ALIKE 5        // ... more of them are a pattern (spots, seeds, windows), in which a seam is lost
#define MOST_DETAILS 600    // more islands are one as well

static double box_size_mm(Box box)
{
    return fmax(box_width_mm(box), box_height_mm(box));
}

// ---- islands ----

typedef struct Islands {
    Ring *items;
    size_t count, capacity;
    double most_mm;
} Islands;

static bool add_hull(Islands *islands, const Ring *ring, Arena *keep, Error *err)
{
    double size_mm = box_size_mm(ring_box(ring));
    if (size_mm < LEAST_MM || size_mm > islands->most_mm) return true;
    Ring *items = arena_grow(keep, islands->items, islands->count, &islands->capacity, sizeof *items);
    if (!items) return error_memory(err);
    islands->items = items;
    Ring *hull = &items[islands->count++];
    hull->points = hull_make(ring->points, ring->count, keep, &hull->count);
    if (!hull->points) return error_memory(err);
    bool is_slim = hull_width_mm(hull->points, hull->count) < SLIM_SHARE * hull_diameter_mm(hull->points, hull->count);
    if (is_slim) islands->count--;
    return true;
}

static bool add_rings(Islands *islands, const Rings *rings, bool holes, Arena *keep, Error *err)
{
    for (int r = 0; r < rings->count; r++)
        if ((ring_area2_um2(&rings->items[r]) < 0) == holes && !add_hull(islands, &rings->items[r], keep, err)) return false;
    return true;
}

static bool box_inside(Box a, Box b)
{
    return a.min.x >= b.min.x && a.min.y >= b.min.y && a.max.x <= b.max.x && a.max.y <= b.max.y;
}

static bool hull_inside(const Ring *a, const Ring *b)
{
    for (int i = 0; i < a->count; i++)
        for (int k = 0; k < b->count; k++)
            if (point_side(b->points[k], b->points[k + 1 < b->count ? k + 1 : 0], a->points[i]) < 0) return false;
    return true;
}

static int compare_hulls(const void *pa, const void *pb)
{
    Box a = ring_box(pa), b = ring_box(pb);
    int order = point_compare(a.min, b.min);
    return order ? order : point_compare(a.max, b.max);
}

// Leaves out what lies inside another one (of two equal ones the later).
static int outermost(Ring *hulls, int count, bool *is_inside)
{
    int left = 0;
    for (int i = 0; i < count; i++) {
        for (int k = 0; k < count && !is_inside[i]; k++) {
            if (k == i || is_inside[k] || !box_inside(ring_box(&hulls[i]), ring_box(&hulls[k]))) continue;
            is_inside[i] = hull_inside(&hulls[i], &hulls[k]);
        }
    }
    for (int i = 0; i < count; i++)
        if (!is_inside[i]) hulls[left++] = hulls[i];
    return left;
}

static bool is_like(double a, double b)
{
    return fabs(a - b) < ALIKE_SHARE * fmax(a, b);
}

// Leaves out what is one of many.
static bool drop_patterns(Ring *hulls, int *count, Arena *scratch, Error *err)
{
    int left = 0;
    int *alike = arena_new(scratch, int, *count);
    double *area = arena_new(scratch, double, *count), *length = arena_new(scratch, double, *count);
    if (!alike || !area || !length) return error_memory(err);
    for (int i = 0; i < *count; i++) {
        area[i] = ring_area_mm2(&hulls[i]);
        length[i] = hull_diameter_mm(hulls[i].points, hulls[i].count);
    }
    for (int i = 0; i < *count; i++)
        for (int k = 0; k < *count; k++) alike[i] += is_like(area[i], area[k]) && is_like(length[i], length[k]);
    for (int i = 0; i < *count; i++)
        if (alike[i] <= MOST_ALIKE) hulls[left++] = hulls[i];
    *count = left;
    return true;
}

bool details_find(const Stack *stack, Arena *keep, Work *work, Rings *out, Error *err)
{
    *out = (Rings){0};
    if (stack->layer_count == 0) return true;
    Islands islands = {.most_mm = MOST_SHARE * fmax(stack->width_mm, stack->height_mm)};
    const Layer *base = &stack->layers[0];
    bool fine = add_rings(&islands, &base->rings, true, keep, err) && add_rings(&islands, &base->cover, true, keep, err);
    for (int i = 1; fine && i < stack->layer_count; i++) {
        Rings seen;
        ArenaMark mark = arena_mark(&work->scratch);
        fine = area_rings(&stack->chains, &stack->layers[i].seen, &work->scratch, &seen, err) &&
               add_rings(&islands, &seen, false, keep, err);
        arena_rewind(&work->scratch, mark);
    }
    if (!fine || islands.count == 0 || islands.count > MOST_DETAILS) return fine;
    bool *is_inside = arena_new(keep, bool, islands.count);
    if (!is_inside) return error_memory(err);
    qsort(islands.items, islands.count, sizeof *islands.items, compare_hulls);
    *out = (Rings){islands.items, outermost(islands.items, (int)islands.count, is_inside)};
    return drop_patterns(out->items, &out->count, keep, err);
}

// ---- places ----

bool detail_grown(const Ring *hull, double by_mm, Arena *keep, Ring *out, Error *err)
{
    static const double corners[8][2] = {{1.0, 0.4142135624}, {0.4142135624, 1.0}, {-0.4142135624, 1.0}, {-1.0, 0.4142135624},
                                         {-1.0, -0.4142135624}, {-0.4142135624, -1.0}, {0.4142135624, -1.0}, {1.0, -0.4142135624}};
    Point *points = arena_new(keep, Point, 8 * (size_t)hull->count);
    if (!points) return error_memory(err);
    for (int i = 0; i < hull->count; i++)
        for (int k = 0; k < 8; k++)
            points[8 * i + k] = point_from_mm(hull->points[i].x / UM_PER_MM + by_mm * corners[k][0],
                                              hull->points[i].y / UM_PER_MM + by_mm * corners[k][1]);
    out->points = hull_make(points, 8 * hull->count, keep, &out->count);
    return out->points ? true : error_memory(err);
}

typedef struct Near { // two places and the gap between them
    double gap_mm;
    int a, b;
} Near;

static int compare_near(const void *pa, const void *pb)
{
    const Near *a = pa, *b = pb;
    if (a->gap_mm != b->gap_mm) return a->gap_mm < b->gap_mm ? -1 : 1;
    return a->a != b->a ? a->a - b->a : a->b - b->b;
}

static double box_gap_mm(Box a, Box b)
{
    double x = fmax(0.0, fmax((double)a.min.x - b.max.x, (double)b.min.x - a.max.x));
    double y = fmax(0.0, fmax((double)a.min.y - b.max.y, (double)b.min.y - a.max.y));
    return sqrt(x * x + y * y) / UM_PER_MM;
}

static bool list_near(const Box *boxes, int count, Arena *scratch, Near **out, size_t *out_count, Error *err)
{
    size_t capacity = 0;
    *out = NULL;
    *out_count = 0;
    for (int b = 0; b < count; b++) {
        for (int a = 0; a < b; a++) {
            double gap_mm = box_gap_mm(boxes[a], boxes[b]);
            if (gap_mm > NEAR_SHARE * fmin(box_size_mm(boxes[a]), box_size_mm(boxes[b]))) continue;
            Near *items = arena_grow(scratch, *out, *out_count, &capacity, sizeof *items);
            if (!items) return error_memory(err);
            *out = items;
            items[(*out_count)++] = (Near){gap_mm, a, b};
        }
    }
    if (*out_count) qsort(*out, *out_count, sizeof **out, compare_near);
    return true;
}

static int group_of(const int *group, int i)
{
    while (group[i] != i) i = group[i];
    return i;
}

static void join_near(const Near *near, size_t count, double most_mm, int *group, Box *boxes)
{
    for (size_t i = 0; i < count; i++) {
        int a = group_of(group, near[i].a), b = group_of(group, near[i].b);
        Box both = boxes[a];
        box_add(&both, boxes[b].min);
        box_add(&both, boxes[b].max);
        if (a == b || box_size_mm(both) > most_mm) continue;
        boxes[a < b ? a : b] = both;
        group[a < b ? b : a] = a < b ? a : b;
    }
}

// The hull of one group's hulls, grown.
static bool make_place(const Rings *details, const int *group, int which, double size_mm, Arena *keep, Ring *out, Error *err)
{
    int count = 0, n = 0;
    for (int i = 0; i < details->count; i++)
        if (group_of(group, i) == which) count += details->items[i].count;
    Point *points = arena_new(keep, Point, count);
    if (!points) return error_memory(err);
    for (int i = 0; i < details->count; i++)
        for (int k = 0; group_of(group, i) == which && k < details->items[i].count; k++) points[n++] = details->items[i].points[k];
    Ring hull = {NULL, 0};
    hull.points = hull_make(points, count, keep, &hull.count);
    if (!hull.points) return error_memory(err);
    return detail_grown(&hull, fmin(fmax(GROWN_SHARE * size_mm, GROWN_LEAST_MM), GROWN_MOST_MM), keep, out, err);
}

// Places that touch no other one come first; returns how many. Joining is for the rest: it takes long.
static int lone_first(Ring *places, int count)
{
    int lone = 0;
    for (int i = 0; i < count; i++) {
        bool is_lone = true;
        for (int k = 0; k < count && is_lone; k++) is_lone = k == i || !box_overlap(ring_box(&places[i]), ring_box(&places[k]));
        if (!is_lone) continue;
        Ring moved = places[i];
        places[i] = places[lone];
        places[lone++] = moved;
    }
    return lone;
}

static bool join_places(Ring *places, int count, Arena *keep, Work *work, Rings *out, Error *err)
{
    int lone = lone_first(places, count);
    Rings *sets = arena_new(&work->scratch, Rings, count), joined = {0};
    if (!sets) return error_memory(err);
    for (int i = lone; i < count; i++) sets[i] = (Rings){&places[i], 1};
    if (lone < count && !overlay_rings_union(sets + lone, count - lone, keep, work, &joined, err)) return false;
    *out = (Rings){arena_new(keep, Ring, lone + joined.count), lone + joined.count};
    if (!out->items) return error_memory(err);
    for (int i = 0; i < lone; i++) {
        const Ring *place = &places[i];
        out->items[i] = (Ring){arena_copy(keep, place->points, place->count, sizeof *place->points), place->count};
        if (!out->items[i].points) return error_memory(err);
    }
    for (int i = 0; i < joined.count; i++) out->items[lone + i] = joined.items[i];
    return true;
}

bool detail_places(const Rings *details, const Layer *layer, const Paper *paper, Arena *keep, Work *work, Rings *out, Error *err)
{
    Arena *scratch = &work->scratch;
    ArenaMark mark = arena_mark(scratch);
    Space space = paper_fit_space(paper);
    double most_mm = PAPER_SHARE * fmin(space.width_mm, space.height_mm);
    Box *boxes = arena_new(scratch, Box, details->count), around = rings_box(&layer->rings);
    int *group = arena_new(scratch, int, details->count);
    Ring *places = arena_new(scratch, Ring, details->count);
    Near *near;
    size_t near_count;
    int count = 0;
    *out = (Rings){0};
    if (!boxes || !group || !places) return error_memory(err);
    for (int i = 0; i < details->count; i++) {
        boxes[i] = ring_box(&details->items[i]);
        group[i] = i;
    }
    if (!list_near(boxes, details->count, scratch, &near, &near_count, err)) return false;
    join_near(near, near_count, most_mm, group, boxes);
    for (int i = 0; i < details->count; i++) {
        if (group[i] != i || box_size_mm(boxes[i]) > most_mm) continue;
        if (!make_place(details, group, i, box_size_mm(boxes[i]), scratch, &places[count], err)) return false;
        count += box_overlap(ring_box(&places[count]), around);
    }
    bool fine = count == 0 || join_places(places, count, keep, work, out, err);
    arena_rewind(scratch, mark);
    return fine;
}
