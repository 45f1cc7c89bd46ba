// point.h - whole-micrometre points and exact tests on them.
// Units:   whole micrometres of the finished piece; x right, y down. A side is at most 100 m, so that every
//          cross product of differences fits int64_t.
#ifndef PM_SHAPE_POINT_H
#define PM_SHAPE_POINT_H

#include <stdbool.h>
#include <stdint.h>

#define POINT_MAX_UM 100000000 // 100 m
#define UM_PER_MM 1000.0

typedef struct Point { int32_t x, y; } Point;

static inline bool point_equal(Point a, Point b) { return a.x == b.x && a.y == b.y; }
int point_compare(Point a, Point b);                 // by y, then x: the order used everywhere

// Sign of the cross product (b - a) x (c - a): +1 when c lies to the right of a->b on screen (y down), -1 left, 0 on.
int point_side(Point a, Point b, Point c);
int64_t point_cross(Point a, Point b, Point c);

bool point_on_segment(Point p, Point a, Point b);    // ends included
// True when the open segments cross at one inner point of both (exact).
bool segments_cross(Point a, Point b, Point c, Point d);
// True when the closed segments share any point (exact).
bool segments_touch(Point a, Point b, Point c, Point d);

// True when b lies between a and c, off the line from a to c by no more than its coordinates may be rounded (2 um).
bool points_run_straight(Point a, Point b, Point c);

double point_distance_mm(Point a, Point b);
double point_segment_distance_mm(Point p, Point a, Point b);
Point point_from_mm(double x_mm, double y_mm);       // rounds half away from zero; asserts the range

typedef struct Box { Point min, max; } Box;          // empty when min.x > max.x
Box box_empty(void);
void box_add(Box *box, Point p);
bool box_overlap(Box a, Box b);                      // touching counts
double box_width_mm(Box box);
double box_height_mm(Box box);

#endif
