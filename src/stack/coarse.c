// coarse.c - Douglas-Peucker on closed rings; see coarse.h.
#include "stack/coarse.h"

#include <string.h>

#define POINTS_PER_LOOK 100000 // points measured between two looks at the wish to stop

// Index of the point farthest from the first one: with the first it makes two open runs of a ring.
static int farthest_from_first(const Ring *ring)
{
    int far = 0;
    double far_mm = 0.0;
    for (int i = 1; i < ring->count; i++) {
        double distance = point_distance_mm(ring->points[0], ring->points[i]);
        if (distance > far_mm) {
            far_mm = distance;
            far = i;
        }
    }
    return far;
}

typedef struct Run {
    int from, to;
} Run;

// Marks the points to keep between from and to (to may be ring->count, which is point 0 again).
static bool keep_between(const Ring *ring, int from, int to, double within_mm, bool *kept, Run *stack, Work *work,
                         Error *err)
{
    int depth = 0, measured = POINTS_PER_LOOK;
    stack[depth++] = (Run){from, to};
    while (depth > 0) {
        Run run = stack[--depth];
        if ((measured += run.to - run.from) >= POINTS_PER_LOOK) {
            if (!work_goes_on(work, err)) return false;
            measured = 0;
        }
        Point a = ring->points[run.from], b = ring->points[run.to % ring->count];
        int far = -1;
        double far_mm = within_mm;
        for (int i = run.from + 1; i < run.to; i++) {
            double distance = point_segment_distance_mm(ring->points[i], a, b);
            if (distance > far_mm) {
                far_mm = distance;
                far = i;
            }
        }
        if (far < 0) continue;
        kept[far] = true;
        stack[depth++] = (Run){run.from, far};
        stack[depth++] = (Run){far, run.to};
    }
    return true;
}

static bool coarse_ring(const Ring *ring, double within_mm, Arena *keep, Work *work, Ring *out, Error *err)
{
    bool *kept = arena_new(keep, bool, ring->count);
    Run *stack = arena_new(keep, Run, ring->count + 2);
    Point *points = arena_new(keep, Point, ring->count);
    if (!kept || !stack || !points) return error_memory(err);
    int far = farthest_from_first(ring), count = 0;
    kept[0] = kept[far] = true;
    if (!keep_between(ring, 0, far, within_mm, kept, stack, work, err) ||
        !keep_between(ring, far, ring->count, within_mm, kept, stack, work, err))
        return false;
    for (int i = 0; i < ring->count; i++)
        if (kept[i]) points[count++] = ring->points[i];
    *out = (Ring){points, count};
    if (count < 3) {
        memcpy(points, ring->points, (size_t)ring->count * sizeof *points);
        out->count = ring->count;
    }
    return true;
}

bool coarse_rings(const Rings *rings, double within_mm, Arena *keep, Work *work, Rings *out, Error *err)
{
    *out = (Rings){0};
    Ring *items = arena_new(keep, Ring, rings->count);
    if (!items) return error_memory(err);
    for (int i = 0; i < rings->count; i++)
        if (!coarse_ring(&rings->items[i], within_mm, keep, work, &items[i], err)) return false;
    *out = (Rings){items, rings->count};
    return true;
}
