// ring.c - closed loops of straight edges, and sets of them.
#include "shape/ring.h"

#include <assert.h>

static Point next_point(const Ring *ring, int i)
{
    return ring->points[i + 1 < ring->count ? i + 1 : 0];
}

int rings_point_count(const Rings *rings)
{
    int count = 0;
    for (int r = 0; r < rings->count; r++) count += rings->items[r].count;
    return count;
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

// ---- which outer ring a hole lies in ----

typedef struct BandEdge {
    Point a, b;
    int ring;
} BandEdge;

// The edges of all outer rings by the level bands of the plane that they reach into: a ray to the right of a point
// meets edges of one band only. Without it, thousands of holes in one long outline would each look at all of it.
typedef struct Bands {
    int64_t top_um, height_um;
    int count;
    size_t *first; // offsets into `held`, one more than bands (and one spare)
    BandEdge *held;
} Bands;

typedef struct Around { // the outer rings that have edges beside a point
    int *rings;
    int count;
    int *seen; // of each ring: the last look that met it
    bool *odd, *on;
    int look;
} Around;

static int band_of(const Bands *bands, int32_t y_um)
{
    int64_t band = (y_um - bands->top_um) / bands->height_um;
    return band < 0 ? 0 : band >= bands->count ? bands->count - 1 : (int)band;
}

// Bands as high as a mean edge: on average an edge then reaches into two.
static void choose_bands(const Rings *rings, const int64_t *areas, Bands *bands)
{
    Box box = box_empty();
    int64_t edges = 0, drop_um = 0;
    for (int i = 0; i < rings->count; i++) {
        const Ring *ring = &rings->items[i];
        for (int j = 0; areas[i] > 0 && j < ring->count; j++, edges++) {
            int64_t drop = (int64_t)next_point(ring, j).y - ring->points[j].y;
            drop_um += drop < 0 ? -drop : drop;
            box_add(&box, ring->points[j]);
        }
    }
    if (edges == 0) return;
    bands->top_um = box.min.y;
    bands->height_um = drop_um / edges + 1;
    bands->count = (int)(((int64_t)box.max.y - box.min.y) / bands->height_um) + 1;
}

// Counts the edges of each band two places on (held == NULL), or puts them in one place on.
static void fill_bands(const Rings *rings, const int64_t *areas, Bands *bands)
{
    for (int i = 0; i < rings->count; i++) {
        const Ring *ring = &rings->items[i];
        for (int j = 0; areas[i] > 0 && j < ring->count; j++) {
            Point a = ring->points[j], b = next_point(ring, j);
            int top = band_of(bands, a.y < b.y ? a.y : b.y), bottom = band_of(bands, a.y < b.y ? b.y : a.y);
            for (int band = top; band <= bottom; band++) {
                if (bands->held)
                    bands->held[bands->first[band + 1]++] = (BandEdge){a, b, i};
                else
                    bands->first[band + 2]++;
            }
        }
    }
}

static bool bands_make(const Rings *rings, const int64_t *areas, Arena *scratch, Bands *bands)
{
    *bands = (Bands){.height_um = 1};
    choose_bands(rings, areas, bands);
    bands->first = arena_new(scratch, size_t, (size_t)bands->count + 2);
    if (!bands->first) return false;
    fill_bands(rings, areas, bands);
    for (int band = 1; band <= bands->count + 1; band++) bands->first[band] += bands->first[band - 1];
    bands->held = arena_new(scratch, BandEdge, bands->first[bands->count + 1]);
    if (!bands->held) return false;
    fill_bands(rings, areas, bands);
    return true;
}

// Looks from p at the outer rings that are at least `least_area`; false when p lies on one of them.
static bool look_around(const Bands *bands, const int64_t *areas, int64_t least_area, Point p, Around *around)
{
    bool clear = true;
    int band = band_of(bands, p.y);
    around->count = 0;
    around->look++;
    for (size_t i = bands->first[band]; i < bands->first[band + 1]; i++) {
        const BandEdge *edge = &bands->held[i];
        int ring = edge->ring;
        if (areas[ring] < least_area) continue;
        if (around->seen[ring] != around->look) {
            around->seen[ring] = around->look;
            around->odd[ring] = around->on[ring] = false;
            around->rings[around->count++] = ring;
        }
        if (ray_crosses(p, edge->a, edge->b)) around->odd[ring] = !around->odd[ring];
        if (!point_on_segment(p, edge->a, edge->b)) continue;
        around->on[ring] = true;
        clear = false;
    }
    return clear;
}

static int find_outer(const Rings *rings, int hole, const Bands *bands, const int64_t *areas, Around *around)
{
    const Ring *ring = &rings->items[hole];
    int best = hole;
    for (int i = 0; i < ring->count; i++) // any point that touches nothing tells
        if (look_around(bands, areas, -areas[hole], ring->points[i], around)) break;
    for (int i = 0; i < around->count; i++) {
        int outer = around->rings[i];
        if (best != hole && areas[outer] >= areas[best]) continue;
        bool inside = around->on[outer] ? ring_within(ring, &rings->items[outer]) : around->odd[outer];
        if (inside) best = outer;
    }
    return best;
}

bool rings_find_outers(const Rings *rings, Arena *scratch, int *out_outer)
{
    Bands bands;
    int64_t *areas = arena_new(scratch, int64_t, rings->count);
    Around around = {.rings = arena_new(scratch, int, rings->count),
                     .seen = arena_new(scratch, int, rings->count),
                     .odd = arena_new(scratch, bool, rings->count),
                     .on = arena_new(scratch, bool, rings->count)};
    if (!areas || !around.rings || !around.seen || !around.odd || !around.on) return false;
    for (int i = 0; i < rings->count; i++) areas[i] = ring_area2_um2(&rings->items[i]);
    if (!bands_make(rings, areas, scratch, &bands)) return false;
    for (int i = 0; i < rings->count; i++) {
        bool may_lie_in_another = areas[i] < 0 && bands.count > 0;
        out_outer[i] = may_lie_in_another ? find_outer(rings, i, &bands, areas, &around) : i;
    }
    return true;
}
