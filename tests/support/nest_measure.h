// nest_measure.h - how far apart the items of a nest lie, by brute force on the full outlines.
#ifndef PM_TESTS_NEST_MEASURE_H
#define PM_TESTS_NEST_MEASURE_H

#include "nest/nest.h"

#include <math.h>

typedef struct Dot { double x, y; } Dot;

static inline Dot dot_at(const NestPlace *place, Point p)
{
    const double *m = place->to_sheet;
    double x = p.x / 1000.0, y = p.y / 1000.0;
    return (Dot){m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]};
}

static inline double dot_to_edge(Dot p, Dot a, Dot b)
{
    double dx = b.x - a.x, dy = b.y - a.y, l2 = dx * dx + dy * dy;
    double t = l2 > 0 ? fmin(1, fmax(0, ((p.x - a.x) * dx + (p.y - a.y) * dy) / l2)) : 0;
    return hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

static inline bool dot_inside(const NestItem *item, const NestPlace *place, Dot p)
{
    bool inside = false;
    for (int r = 0; r < item->rings->count; r++) {
        const Ring *ring = &item->rings->items[r];
        for (int i = 0; i < ring->count; i++) {
            Dot a = dot_at(place, ring->points[i]), b = dot_at(place, ring->points[(i + 1) % ring->count]);
            if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)) inside = !inside;
        }
    }
    return inside;
}

// Least distance of a's corners to b's edges; 0 when a corner of a lies in b's material.
static inline double one_way_mm(const NestItem *a, const NestPlace *pa, const NestItem *b, const NestPlace *pb)
{
    double least = INFINITY;
    for (int ra = 0; ra < a->rings->count; ra++)
        for (int i = 0; i < a->rings->items[ra].count; i++) {
            Dot p = dot_at(pa, a->rings->items[ra].points[i]);
            if (dot_inside(b, pb, p)) return 0;
            for (int rb = 0; rb < b->rings->count; rb++) {
                const Ring *ring = &b->rings->items[rb];
                for (int j = 0; j < ring->count; j++)
                    least = fmin(least, dot_to_edge(p, dot_at(pb, ring->points[j]),
                                                    dot_at(pb, ring->points[(j + 1) % ring->count])));
            }
        }
    return least;
}

// Edges that cross without a corner inside are seen by the tests' shapes having corners in one another then; crossing bars
// are asked for by their middles.
static inline double distance_mm(const NestItem *a, const NestPlace *pa, const NestItem *b, const NestPlace *pb)
{
    return fmin(one_way_mm(a, pa, b, pb), one_way_mm(b, pb, a, pa));
}

// How far the item sticks out of the space (> 0), corner marks included.
static inline double outside_mm(const NestItem *item, const NestPlace *place, const NestOptions *options)
{
    double most = -INFINITY, x0 = options->origin_mm[0], y0 = options->origin_mm[1];
    double x1 = x0 + options->space.width_mm, y1 = y0 + options->space.height_mm, c = options->space.corner_mm;
    for (int r = 0; r < item->rings->count; r++)
        for (int i = 0; i < item->rings->items[r].count; i++) {
            Dot p = dot_at(place, item->rings->items[r].points[i]);
            most = fmax(most, fmax(fmax(x0 - p.x, p.x - x1), fmax(y0 - p.y, p.y - y1)));
            most = fmax(most, fmax(x0 + y0 + c - p.x - p.y, p.x + p.y - (x1 + y1 - c)));
        }
    return most;
}

#endif
