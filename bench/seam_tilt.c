// seam_tilt.c - see seam_tilt.h.
#include "seam_tilt.h"

#include <math.h>

#define SEEN_FROM_MM 25.4
#define LEAST_TAN 0.0087268678 // of 1/2 degree
#define MOST_TAN 0.2679491924  // of 15 degrees
#define ACROSS_MM 76.2         // no longer, and square to the outline: across a narrow place
#define SQUARE_SIN 0.0348994967 // of 2 degrees
#define AT_OUTLINE_MM 0.05

static double tilt(Point a, Point b)
{
    double dx = fabs((double)b.x - a.x), dy = fabs((double)b.y - a.y);
    return fmin(dx, dy) / fmax(dx, dy);
}

// Whether the seam that sets out from `at` to `to` does so square to an edge of the rings.
static bool sets_out_square(const Rings *rings, Point at, Point to)
{
    double ux = (double)to.x - at.x, uy = (double)to.y - at.y, u = sqrt(ux * ux + uy * uy);
    for (int r = 0; r < rings->count; r++) {
        const Ring *ring = &rings->items[r];
        for (int i = 0; i < ring->count; i++) {
            Point p = ring->points[i], q = ring->points[i + 1 < ring->count ? i + 1 : 0];
            if (point_segment_distance_mm(at, p, q) > AT_OUTLINE_MM) continue;
            double vx = (double)q.x - p.x, vy = (double)q.y - p.y, v = sqrt(vx * vx + vy * vy);
            if (v > 0.0 && fabs(ux * vx + uy * vy) <= SQUARE_SIN * u * v) return true;
        }
    }
    return false;
}

static bool add_stretch(const Rings *rings, const Hiding *hiding, Point a, Point b, Arena *scratch, int *count,
                        double *length_mm, Error *err)
{
    double length = point_distance_mm(a, b);
    if (length <= SEEN_FROM_MM || tilt(a, b) <= LEAST_TAN || tilt(a, b) > MOST_TAN) return true;
    double hidden = hiding_length_mm(hiding, a, b, scratch);
    if (hidden < 0.0) return error_memory(err);
    if (length - hidden <= SEEN_FROM_MM) return true;
    if (length <= ACROSS_MM && (sets_out_square(rings, a, b) || sets_out_square(rings, b, a))) return true;
    *count += 1;
    *length_mm += length - hidden;
    return true;
}

bool count_tilted(const Rings *rings, const Hiding *hiding, const LayerPieces *pieces, Arena *scratch, int *count,
                  double *length_mm, Error *err)
{
    for (int s = 0; s < pieces->seam_count; s++) {
        const Seam *seam = &pieces->seams[s];
        for (int k = 0; k < seam->link_count; k++)
            for (int i = 0; i + 1 < link_point_count(&seam->links[k]); i++)
                if (!add_stretch(rings, hiding, link_point(&pieces->chains, &seam->links[k], i),
                                 link_point(&pieces->chains, &seam->links[k], i + 1), scratch, count, length_mm, err))
                    return false;
    }
    return true;
}
