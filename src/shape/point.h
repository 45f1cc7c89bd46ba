// point.h - whole-micrometre points and exact tests on them.
// Units:   whole micrometres of the finished piece; x right, y down. A side is at most 100 m, so that every
//          cross product of differences fits int64_t.
#ifndef PM_SHAPE_POINT_H
#define PM_SHAPE_POINT_H

#include <math.h>
#include <stdbool.h>
#include <stdint.h>

#define POINT_MAX_UM 100000000 // 100 m
#define UM_PER_MM 1000.0

typedef struct Point { int32_t x, y; } Point;

static inline bool point_equal(Point a, Point b) { return a.x == b.x && a.y == b.y; }

// By y, then x: the order used everywhere.
static inline int point_compare(Point a, Point b)
{
    if (a.y != b.y) return a.y < b.y ? -1 : 1;
    return (a.x > b.x) - (a.x < b.x);
}

// (b - a) x (c - a). Differences are below 2^28, so that each product is below 2^56 and the result is exact.
static inline int64_t point_cross(Point a, Point b, Point c)
{
    int64_t bx = (int64_t)b.x - a.x, by = (int64_t)b.y - a.y;
    int64_t cx = (int64_t)c.x - a.x, cy = (int64_t)c.y - a.y;
    return bx * cy - by * cx;
}

// Its sign: +1 when c lies to the right of a->b on screen (y down), -1 left, 0 on.
static inline int point_side(Point a, Point b, Point c)
{
    int64_t cross = point_cross(a, b, c);
    return (cross > 0) - (cross < 0);
}

static inline bool point_in_span(int32_t v, int32_t a, int32_t b)
{
    return a <= b ? a <= v && v <= b : b <= v && v <= a;
}

// Ends included.
static inline bool point_on_segment(Point p, Point a, Point b)
{
    return point_in_span(p.x, a.x, b.x) && point_in_span(p.y, a.y, b.y) && point_cross(a, b, p) == 0;
}

// True when the open segments cross at one inner point of both (exact).
bool segments_cross(Point a, Point b, Point c, Point d);
// True when the closed segments share any point (exact).
bool segments_touch(Point a, Point b, Point c, Point d);

// True when b lies between a and c, off the line from a to c by no more than its coordinates may be rounded (2 um).
bool points_run_straight(Point a, Point b, Point c);

static inline double point_distance_mm(Point a, Point b)
{
    double dx = (double)b.x - a.x, dy = (double)b.y - a.y;
    return sqrt(dx * dx + dy * dy) / UM_PER_MM;
}

double point_segment_distance_mm(Point p, Point a, Point b);
Point point_from_mm(double x_mm, double y_mm);       // rounds half away from zero; asserts the range

typedef struct Box { Point min, max; } Box;          // empty when min.x > max.x

static inline Box box_empty(void)
{
    return (Box){{INT32_MAX, INT32_MAX}, {INT32_MIN, INT32_MIN}};
}

static inline void box_add(Box *box, Point p)
{
    if (p.x < box->min.x) box->min.x = p.x;
    if (p.y < box->min.y) box->min.y = p.y;
    if (p.x > box->max.x) box->max.x = p.x;
    if (p.y > box->max.y) box->max.y = p.y;
}

// Touching counts.
static inline bool box_overlap(Box a, Box b)
{
    return a.min.x <= b.max.x && b.min.x <= a.max.x && a.min.y <= b.max.y && b.min.y <= a.max.y;
}

double box_width_mm(Box box);
double box_height_mm(Box box);

#endif
