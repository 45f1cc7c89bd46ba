// point.c - whole-micrometre points and exact tests on them.
#include "shape/point.h"

#include <assert.h>
#include <math.h>

#define ROUNDED_UM 2.0 // two roundings of up to 0.71 um each, and a little

bool segments_cross(Point a, Point b, Point c, Point d)
{
    return point_side(a, b, c) * point_side(a, b, d) < 0 && point_side(c, d, a) * point_side(c, d, b) < 0;
}

bool segments_touch(Point a, Point b, Point c, Point d)
{
    return segments_cross(a, b, c, d) || point_on_segment(a, c, d) || point_on_segment(b, c, d) ||
           point_on_segment(c, a, b) || point_on_segment(d, a, b);
}

bool points_run_straight(Point a, Point b, Point c)
{
    double dx = (double)c.x - a.x, dy = (double)c.y - a.y;
    double bx = (double)b.x - a.x, by = (double)b.y - a.y;
    double length2 = dx * dx + dy * dy, along = bx * dx + by * dy, off = (double)point_cross(a, c, b);
    return along >= 0.0 && along <= length2 && off * off <= ROUNDED_UM * ROUNDED_UM * length2;
}

double point_segment_distance_mm(Point p, Point a, Point b)
{
    double dx = (double)b.x - a.x, dy = (double)b.y - a.y;
    double px = (double)p.x - a.x, py = (double)p.y - a.y;
    double length2 = dx * dx + dy * dy, along = px * dx + py * dy;
    if (along <= 0.0 || length2 == 0.0) return point_distance_mm(p, a);
    if (along >= length2) return point_distance_mm(p, b);
    return fabs((double)point_cross(a, b, p)) / sqrt(length2) / UM_PER_MM;
}

static int32_t whole_um(double mm)
{
    double um = round(mm * UM_PER_MM); // halves away from zero
    assert(um >= -POINT_MAX_UM && um <= POINT_MAX_UM);
    return (int32_t)um;
}

Point point_from_mm(double x_mm, double y_mm)
{
    return (Point){whole_um(x_mm), whole_um(y_mm)};
}

double box_width_mm(Box box)
{
    return box.min.x > box.max.x ? 0.0 : ((double)box.max.x - box.min.x) / UM_PER_MM;
}

double box_height_mm(Box box)
{
    return box.min.y > box.max.y ? 0.0 : ((double)box.max.y - box.min.y) / UM_PER_MM;
}
