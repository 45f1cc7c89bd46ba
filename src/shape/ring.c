// ring.c - closed loops of straight edges, and sets of them.
#include "shape/ring.h"

#include <assert.h>

static Point next_point(const Ring *ring, int i)
{
    return ring->points[i + 1 < ring->count ? i + 1 : 0];
}

int64_t ring_area2_um2(const Ring *ring)
{
    assert(ring->count >= 3);
    // The sum is taken modulo 2^64: a part of it may leave the range, the whole of a simple ring never does.
    uint64_t sum = 0;
    Point base = ring->points[0];
    for (int i = 1; i + 1 < ring->count; i++) sum += (uint64_t)point_cross(base, ring->points[i], ring->points[i + 1]);
    return (int64_t)sum;
}

double ring_area_mm2(const Ring *ring)
{
    return (double)ring_area2_um2(ring) / (2.0 * UM_PER_MM * UM_PER_MM);
}

double rings_area_mm2(const Rings *rings)
{
    uint64_t sum = 0;
    for (int i = 0; i < rings->count; i++) sum += (uint64_t)ring_area2_um2(&rings->items[i]);
    return (double)(int64_t)sum / (2.0 * UM_PER_MM * UM_PER_MM);
}

double ring_length_mm(const Ring *ring)
{
    double length = 0.0;
    for (int i = 0; i < ring->count; i++) length += point_distance_mm(ring->points[i], next_point(ring, i));
    return length;
}

Box ring_box(const Ring *ring)
{
    Box box = box_empty();
    for (int i = 0; i < ring->count; i++) box_add(&box, ring->points[i]);
    return box;
}

Box rings_box(const Rings *rings)
{
    Box box = box_empty();
    for (int i = 0; i < rings->count; i++)
        for (int j = 0; j < rings->items[i].count; j++) box_add(&box, rings->items[i].points[j]);
    return box;
}

// True when the ray from p to the right crosses edge a-b; each vertex belongs to the edges below it only, so that a
// ray through a vertex is counted once or twice as it should be.
static bool ray_crosses(Point p, Point a, Point b)
{
    if ((a.y > p.y) == (b.y > p.y)) return false;
    return b.y > a.y ? point_cross(a, b, p) > 0 : point_cross(b, a, p) > 0;
}

bool rings_contain(const Rings *rings, Point p)
{
    bool inside = false;
    for (int i = 0; i < rings->count; i++) {
        const Ring *ring = &rings->items[i];
        for (int j = 0; j < ring->count; j++) {
            Point a = ring->points[j], b = next_point(ring, j);
            if (point_on_segment(p, a, b)) return true;
            if (ray_crosses(p, a, b)) inside = !inside;
        }
    }
    return inside;
}

bool ring_is_simple(const Ring *ring)
{
    int n = ring->count;
    if (n < 3) return false;
    for (int i = 0; i < n; i++) {
        Point a = ring->points[i], b = next_point(ring, i), after = next_point(ring, (i + 1) % n);
        if (point_equal(a, b) || point_on_segment(after, a, b) || point_on_segment(a, b, after)) return false;
        for (int j = i + 2; j < n; j++) {
            if (i == 0 && j == n - 1) continue; // neighbours too
            if (segments_touch(a, b, ring->points[j], next_point(ring, j))) return false;
        }
    }
    return true;
}

// Where a place lies against a ring: +1 inside, 0 on it, -1 outside. The place is given doubled, so that it can be the
// middle of an edge.
static int side_of_ring(const Ring *ring, int64_t px2, int64_t py2)
{
    bool inside = false;
    for (int i = 0; i < ring->count; i++) {
        Point a = ring->points[i], b = next_point(ring, i);
        int64_t ax = 2 * (int64_t)a.x - px2, ay = 2 * (int64_t)a.y - py2;
        int64_t bx = 2 * (int64_t)b.x - px2, by = 2 * (int64_t)b.y - py2;
        if ((ay > 0 && by > 0) || (ay < 0 && by < 0)) continue;
        int64_t cross = ax * by - ay * bx;
        bool between_x = (ax <= 0 && bx >= 0) || (ax >= 0 && bx <= 0);
        if (cross == 0 && between_x) return 0;
        if ((ay > 0) != (by > 0) && (by > ay) == (cross > 0)) inside = !inside;
    }
    return inside ? 1 : -1;
}

// Rings touch at points only, so that any point of one that is not on the other tells.
static bool ring_within(const Ring *inner, const Ring *outer)
{
    for (int i = 0; i < inner->count; i++) {
        int side = side_of_ring(outer, 2 * (int64_t)inner->points[i].x, 2 * (int64_t)inner->points[i].y);
        if (side) return side > 0;
    }
    for (int i = 0; i < inner->count; i++) { // all corners touch: look at the middles of edges
        Point a = inner->points[i], b = next_point(inner, i);
        int side = side_of_ring(outer, (int64_t)a.x + b.x, (int64_t)a.y + b.y);
        if (side) return side > 0;
    }
    return false;
}

static bool box_within(Box inner, Box outer)
{
    return inner.min.x >= outer.min.x && inner.min.y >= outer.min.y && inner.max.x <= outer.max.x &&
           inner.max.y <= outer.max.y;
}

bool rings_find_outers(const Rings *rings, Arena *scratch, int *out_outer)
{
    int64_t *areas = arena_new(scratch, int64_t, rings->count);
    Box *boxes = arena_new(scratch, Box, rings->count);
    if (!areas || !boxes) return false;
    for (int i = 0; i < rings->count; i++) {
        areas[i] = ring_area2_um2(&rings->items[i]);
        boxes[i] = ring_box(&rings->items[i]);
    }
    for (int i = 0; i < rings->count; i++) {
        int best = i;
        for (int j = 0; areas[i] < 0 && j < rings->count; j++) {
            bool smaller = best == i || areas[j] < areas[best];
            if (areas[j] < -areas[i] || !smaller || !box_within(boxes[i], boxes[j])) continue;
            if (ring_within(&rings->items[i], &rings->items[j])) best = j;
        }
        out_outer[i] = best;
    }
    return true;
}
