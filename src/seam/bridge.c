// bridge.c - see bridge.h.
#include "seam/bridge.h"

#include <math.h>
#include <stdlib.h>

typedef struct Interval {
    double from, to;
} Interval;

typedef struct Intervals {
    Interval *items;
    size_t count, capacity;
} Intervals;

typedef struct Stretch { // in its own frame: u along it, v square to it, in millimetres
    Point a, b;
    double dx, dy, length_mm;
} Stretch;

static bool add(Intervals *list, double from, double to, Arena *scratch, Error *err)
{
    Interval *items = arena_grow(scratch, list->items, list->count, &list->capacity, sizeof *items);
    if (!items) return error_memory(err);
    list->items = items;
    items[list->count++] = (Interval){from, to};
    return true;
}

static int by_start(const void *pa, const void *pb)
{
    const Interval *a = pa, *b = pb;
    if (a->from != b->from) return a->from < b->from ? -1 : 1;
    return (a->to > b->to) - (a->to < b->to);
}

// Joins intervals that touch; they are sorted then.
static void unite(Intervals *list)
{
    size_t kept = 0;
    if (list->count) qsort(list->items, list->count, sizeof *list->items, by_start);
    for (size_t i = 0; i < list->count; i++) {
        if (kept && list->items[i].from <= list->items[kept - 1].to) {
            if (list->items[i].to > list->items[kept - 1].to) list->items[kept - 1].to = list->items[i].to;
        } else {
            list->items[kept++] = list->items[i];
        }
    }
    list->count = kept;
}

static void to_frame(const Stretch *s, Point p, double *u, double *v)
{
    double x = ((double)p.x - s->a.x) / UM_PER_MM, y = ((double)p.y - s->a.y) / UM_PER_MM;
    *u = x * s->dx + y * s->dy;
    *v = y * s->dx - x * s->dy;
}

// Where along the stretch an edge lies within reach; false when nowhere.
static bool shadow(const Stretch *s, Point a, Point b, double reach_mm, Interval *out)
{
    double u0, v0, u1, v1, t0 = 0.0, t1 = 1.0;
    to_frame(s, a, &u0, &v0);
    to_frame(s, b, &u1, &v1);
    if ((v0 > reach_mm && v1 > reach_mm) || (v0 < -reach_mm && v1 < -reach_mm)) return false;
    if (v0 != v1) {
        double low = (-reach_mm - v0) / (v1 - v0), high = (reach_mm - v0) / (v1 - v0);
        t0 = fmax(t0, fmin(low, high));
        t1 = fmin(t1, fmax(low, high));
    }
    if (t0 > t1) return false;
    double from = u0 + t0 * (u1 - u0), to = u0 + t1 * (u1 - u0);
    *out = (Interval){fmax(fmin(from, to), 0.0), fmin(fmax(from, to), s->length_mm)};
    return out->from <= out->to;
}

static Point point_at(const Stretch *s, double u)
{
    double t = u / s->length_mm;
    return (Point){s->a.x + (int32_t)lround(t * ((double)s->b.x - s->a.x)), s->a.y + (int32_t)lround(t * ((double)s->b.y - s->a.y))};
}

static bool is_near(const Stretch *s, const BridgePaper *paper)
{
    int32_t reach = (int32_t)(paper->reach_mm * UM_PER_MM) + 1;
    Box box = box_empty();
    box_add(&box, s->a);
    box_add(&box, s->b);
    box = (Box){{box.min.x - reach, box.min.y - reach}, {box.max.x + reach, box.max.y + reach}};
    return box_overlap(box, paper->box);
}

// What lies between the shadows of its edges is inside as a whole, or outside.
static bool add_paper(const Stretch *s, const BridgePaper *paper, Intervals *bridged, Arena *scratch, Error *err)
{
    Intervals shadows = {0};
    if (!is_near(s, paper)) return true;
    for (int r = 0; r < paper->rings->count; r++) {
        const Ring *ring = &paper->rings->items[r];
        for (int i = 0; i < ring->count; i++) {
            Interval found;
            if (!shadow(s, ring->points[i], ring->points[i + 1 < ring->count ? i + 1 : 0], paper->reach_mm, &found)) continue;
            if (!add(&shadows, found.from, found.to, scratch, err)) return false;
        }
    }
    unite(&shadows);
    for (size_t i = 0; i <= shadows.count; i++) {
        double from = i ? shadows.items[i - 1].to : 0.0, to = i < shadows.count ? shadows.items[i].from : s->length_mm;
        if (from < to && rings_contain(paper->rings, point_at(s, 0.5 * (from + to))) && !add(bridged, from, to, scratch, err)) return false;
    }
    return true;
}

static void take_stretch(const Stretch *s, Intervals *bridged, Bridged *out)
{
    unite(bridged);
    for (size_t i = 0; i <= bridged->count; i++) {
        double from = i ? bridged->items[i - 1].to : 0.0, to = i < bridged->count ? bridged->items[i].from : s->length_mm;
        if (i < bridged->count) out->bridged_mm += bridged->items[i].to - bridged->items[i].from;
        if (to - from <= out->gap_mm) continue;
        out->gap_mm = to - from;
        out->gap_middle = point_at(s, 0.5 * (from + to));
    }
}

bool bridge_seam(const Point *points, int count, const BridgePaper *papers, int paper_count, Arena *scratch, Work *work,
                 Bridged *out, Error *err)
{
    *out = (Bridged){.gap_middle = points[0]};
    for (int i = 0; i + 1 < count; i++) {
        ArenaMark mark = arena_mark(scratch);
        Stretch s = {points[i], points[i + 1], 0.0, 0.0, point_distance_mm(points[i], points[i + 1])};
        Intervals bridged = {0};
        if (s.length_mm <= 0.0) continue;
        s.dx = ((double)s.b.x - s.a.x) / UM_PER_MM / s.length_mm;
        s.dy = ((double)s.b.y - s.a.y) / UM_PER_MM / s.length_mm;
        if (!work_goes_on(work, err)) return false;
        for (int p = 0; p < paper_count; p++)
            if (!add_paper(&s, &papers[p], &bridged, scratch, err)) return false;
        take_stretch(&s, &bridged, out);
        arena_rewind(scratch, mark);
    }
    return true;
}
