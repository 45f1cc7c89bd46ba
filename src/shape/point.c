// point.c - whole-micrometre points and exact tests on them.
#include "shape/point.h"

#include <assert.h>
#include <math.h>

#define ROUNDED_UM 2.0 // two roundings of up to 0.71 um each, and a little

int point_compare(Point a, Point b)
{
    if (a.y != b.y) return a.y < b.y ? -1 : 1;
    return (a.x > b.x) - (a.x < b.x);
}

int64_t point_cross(Point a, Point b, Point c)
{
    // Differences are below 2^28, so that each product is below 2^56 and the result is exact.
    int64_t bx = (int64_t)b.x - a.x, by = (int64_t)b.y - a.y;
    int64_t cx = (int64_t)c.x - a.x, cy = (int64_t)c.y - a.y;
    return bx * cy - by * cx;
}

int point_side(Point a, Point b, Point c)
{
    int64_t cross = point_cross(a, b, c);
    return (cross > 0) - (cross < 0);
}

static bool in_span(int32_t v, int32_t a, int32_t b)
{
    return a <= b ? a <= v && v <= b : b <= v && v <= a;
}

bool point_on_segment(Point p, Point a, Point b)
{
    return in_span(p.x, a.x, b.x) && in_span(p.y, a.y, b.y) && point_cross(a, b, p) == 0;
}

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

double point_distance_mm(Point a, Point b)
{
    double dx = (double)b.x - a.x, dy = (double)b.y - a.y;
    return sqrt(dx * dx + dy * dy) / UM_PER_MM;
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

Box box_empty(void)
{
    return (Box){{INT32_MAX, INT32_MAX}, {INT32_MIN, INT32_MIN}};
}

void box_add(Box *box, Point p)
{
    if (p.x < box->min.x) box->min.x = p.x;
    if (p.y < box->min.y) box->min.y = p.y;
    if (p.x > box->max.x) box->max.x = p.x;
    if (p.y > box->max.y) box->max.y = p.y;
}

bool box_overlap(Box a, Box b)
{
    return a.min.x <= b.max.x && b.min.x <= a.max.x && a.min.y <= b.max.y && b.min.y <= a.max.y;
}

double box_width_mm(Box box)
{
    return box.min.x > box.max.x ? 0.0 : ((double)box.max.x - box.min.x) / UM_PER_MM;
}

double box_height_mm(Box box)
{
    return box.min.y > box.max.y ? 0.0 : ((double)box.max.y - box.min.y) / UM_PER_MM;
}
