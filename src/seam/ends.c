// ends.c - see ends.h.
#include "seam/ends.h"

#include <math.h>

#define ARM_MM 2.0              // how far from a point its turning is looked at: more than a rounded corner's radius
#define CORNER_COS 0.9063077870 // of 25 degrees
#define IN_CORNER_MM 0.5        // an end as near to a corner lies in it

// The point `way_mm` along the ring from point i, forwards or back.
static Point along_ring(const Part *part, int i, int step, double way_mm)
{
    int r = part_ring_of(part, i), first = part->first[r], count = part->first[r + 1] - first;
    Point p = part->points[i];
    for (int guard = count; guard > 0; guard--) {
        i = first + (i - first + step + count) % count;
        Point q = part->points[i];
        double length = point_distance_mm(p, q);
        if (length >= way_mm) {
            double t = way_mm / length;
            return (Point){p.x + (int32_t)((q.x - p.x) * t), p.y + (int32_t)((q.y - p.y) * t)};
        }
        way_mm -= length;
        p = q;
    }
    return p;
}

static double cosine(double ax, double ay, double bx, double by)
{
    double lengths = sqrt(ax * ax + ay * ay) * sqrt(bx * bx + by * by);
    return lengths > 0.0 ? (ax * bx + ay * by) / lengths : 1.0;
}

bool ends_is_inner_corner(const Part *part, int i)
{
    int ring = part_ring_of(part, i), before = i > part->first[ring] ? i - 1 : part->first[ring + 1] - 1;
    if (part->bulges[i] || part->chain[i] < 0 || part->chain[before] < 0) return false;
    Point p = part->points[i], q = along_ring(part, i, -1, ARM_MM), r = along_ring(part, i, 1, ARM_MM);
    if (point_cross(q, p, r) >= 0) return false;
    return cosine((double)p.x - q.x, (double)p.y - q.y, (double)r.x - p.x, (double)r.y - p.y) < CORNER_COS;
}

static bool is_in_corner(const Part *part, int edge, Point at)
{
    Point a = part->points[edge], b = part->points[part->next[edge]];
    if (point_distance_mm(at, a) <= IN_CORNER_MM && ends_is_inner_corner(part, edge)) return true;
    return point_distance_mm(at, b) <= IN_CORNER_MM && ends_is_inner_corner(part, part->next[edge]);
}

double ends_slant(const Part *part, int edge, Point at, Point to)
{
    Point a = part->points[edge], b = part->points[part->next[edge]];
    double slant = fabs(cosine((double)b.x - a.x, (double)b.y - a.y, (double)to.x - at.x, (double)to.y - at.y));
    return slant > ENDS_SQUARE_SIN && is_in_corner(part, edge, at) ? 0.0 : slant;
}

bool ends_may_lie(const Part *part, int edge, double along)
{
    if (part->locked && part->locked[edge]) return false;
    if (part->chain[edge] >= 0) return true;
    double length = point_distance_mm(part->points[edge], part->points[part->next[edge]]);
    return fmin(along, 1.0 - along) * length >= ENDS_FROM_NODE_MM;
}
