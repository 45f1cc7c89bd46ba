// seam_detail.c - see seam_detail.h.
#include "seam_detail.h"

#include <math.h>

#define GROWN_SHARE 0.25
#define MEETS_MM 3.0

// The stretch of a-b inside a convex ring, as distances from a; empty when lo >= hi.
// Source: M. Cyrus, J. Beck, "Generalized two- and three-dimensional clipping", Computers & Graphics 3 (1978) 23-28.
static Stretch inside_of(const Ring *ring, Point a, Point b)
{
    double lo = 0.0, hi = 1.0;
    for (int i = 0; i < ring->count; i++) {
        Point p = ring->points[i], q = ring->points[i + 1 < ring->count ? i + 1 : 0];
        double ex = (double)q.x - p.x, ey = (double)q.y - p.y;
        double at_a = ex * ((double)a.y - p.y) - ey * ((double)a.x - p.x); // inside: not negative
        double at_b = ex * ((double)b.y - p.y) - ey * ((double)b.x - p.x);
        if (at_a < 0.0 && at_b < 0.0) return (Stretch){1.0, 0.0};
        if (at_a < 0.0) lo = fmax(lo, at_a / (at_a - at_b));
        if (at_b < 0.0) hi = fmin(hi, at_a / (at_a - at_b));
    }
    double length = point_distance_mm(a, b);
    return (Stretch){lo * length, hi * length};
}

static double seen_mm(Stretch s, const Stretches *hidden)
{
    double sum = s.hi - s.lo;
    for (size_t i = 0; i < hidden->count; i++)
        sum -= fmax(0.0, fmin(s.hi, hidden->items[i].hi) - fmax(s.lo, hidden->items[i].lo));
    return fmax(sum, 0.0);
}

// One straight stretch of a seam; met_mm: by island.
static bool add_straight(const Ring *grown, int count, const Hiding *hiding, Point a, Point b, Arena *scratch, double *met_mm,
                         double *length_mm, Error *err)
{
    Stretches hidden, met = {0};
    Box box = box_empty();
    box_add(&box, a);
    box_add(&box, b);
    if (point_equal(a, b)) return true;
    if (!hiding_stretches(hiding, a, b, scratch, &hidden)) return error_memory(err);
    for (int i = 0; i < count; i++) {
        if (!box_overlap(box, ring_box(&grown[i]))) continue;
        Stretch s = inside_of(&grown[i], a, b);
        if (s.lo >= s.hi) continue;
        met_mm[i] += seen_mm(s, &hidden);
        if (!stretches_add(&met, s, scratch)) return error_memory(err);
    }
    met.count = stretches_tidy(met.items, met.count);
    for (size_t i = 0; i < met.count; i++) *length_mm += seen_mm(met.items[i], &hidden);
    return true;
}

bool count_detail(const Rings *details, const Hiding *hiding, const LayerPieces *pieces, Arena *scratch, int *count,
                  double *length_mm, Error *err)
{
    Ring *grown = arena_new(scratch, Ring, details->count);
    double *met_mm = arena_new(scratch, double, details->count);
    if (!grown || !met_mm) return error_memory(err);
    for (int i = 0; i < details->count; i++) {
        Box box = ring_box(&details->items[i]);
        double size_mm = fmax(box_width_mm(box), box_height_mm(box));
        if (!detail_grown(&details->items[i], GROWN_SHARE * size_mm, scratch, &grown[i], err)) return false;
    }
    for (int s = 0; s < pieces->seam_count; s++) {
        const Seam *seam = &pieces->seams[s];
        for (int i = 0; i < details->count; i++) met_mm[i] = 0.0;
        for (int k = 0; k < seam->link_count; k++)
            for (int n = 0; n + 1 < link_point_count(&seam->links[k]); n++)
                if (!add_straight(grown, details->count, hiding, link_point(&pieces->chains, &seam->links[k], n),
                                  link_point(&pieces->chains, &seam->links[k], n + 1), scratch, met_mm, length_mm, err))
                    return false;
        for (int i = 0; i < details->count; i++) *count += met_mm[i] > MEETS_MM;
    }
    return true;
}
