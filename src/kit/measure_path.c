// measure_path.c - see measure_path.h.
#include "kit/measure_path.h"

#include <math.h>

#define AGREE_UM 0.05   // far below the decimal that is written, however many curves are summed
#define MOST_HALVINGS 12

static double speed(const Curve *c, double t)
{
    double u = 1 - t, d[2];
    const double x[4] = {c->p0.x, c->p1.x, c->p2.x, c->p3.x}, y[4] = {c->p0.y, c->p1.y, c->p2.y, c->p3.y};
    d[0] = 3 * (u * u * (x[1] - x[0]) + 2 * u * t * (x[2] - x[1]) + t * t * (x[3] - x[2]));
    d[1] = 3 * (u * u * (y[1] - y[0]) + 2 * u * t * (y[2] - y[1]) + t * t * (y[3] - y[2]));
    return sqrt(d[0] * d[0] + d[1] * d[1]);
}

static double gauss_5(const Curve *c, double t0, double t1)
{
    static const double NODE[3] = {0, 0.538469310105683, 0.906179845938664};
    static const double WEIGHT[3] = {0.568888888888889, 0.478628670499366, 0.236926885056189};
    double middle = (t0 + t1) / 2, half = (t1 - t0) / 2;
    double sum = WEIGHT[0] * speed(c, middle);
    for (int i = 1; i < 3; i++) sum += WEIGHT[i] * (speed(c, middle - half * NODE[i]) + speed(c, middle + half * NODE[i]));
    return sum * half;
}

static double length_between(const Curve *c, double t0, double t1, double whole, int depth)
{
    double middle = (t0 + t1) / 2;
    double first = gauss_5(c, t0, middle), second = gauss_5(c, middle, t1);
    if (depth == 0 || fabs(first + second - whole) < AGREE_UM) return first + second;
    return length_between(c, t0, middle, first, depth - 1) + length_between(c, middle, t1, second, depth - 1);
}

double path_length_mm(const Path *path)
{
    double sum_um = 0;
    for (int i = 0; i < path->curve_count; i++) {
        const Curve *c = &path->curves[i];
        if (c->is_line) sum_um += point_distance_mm(c->p0, c->p3) * UM_PER_MM;
        else sum_um += length_between(c, 0, 1, gauss_5(c, 0, 1), MOST_HALVINGS);
    }
    return sum_um / UM_PER_MM;
}

static double cross(Point a, Point b)
{
    return (double)a.x * b.y - (double)a.y * b.x;
}

double path_area_mm2(const Path *path)
{
    double sum = 0;
    for (int i = 0; i < path->curve_count; i++) {
        const Curve *c = &path->curves[i];
        if (c->is_line) sum += cross(c->p0, c->p3) / 2;
        else
            sum += (6 * cross(c->p0, c->p1) + 3 * cross(c->p0, c->p2) + cross(c->p0, c->p3) + 3 * cross(c->p1, c->p2) +
                    3 * cross(c->p1, c->p3) + 6 * cross(c->p2, c->p3)) / 20;
    }
    return sum / (UM_PER_MM * UM_PER_MM);
}
