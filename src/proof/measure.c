// measure.c - curves and flat edges; the index and the scan lines are in measure_field.c and measure_scan.c.
#include "proof/measure.h"

#include <math.h>

double measure_gap(Spot a, Spot b)
{
    return sqrt((a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y));
}

Spot measure_moved(Spot p, const double m[6])
{
    return (Spot){m[0] * p.x + m[2] * p.y + m[4], m[1] * p.x + m[3] * p.y + m[5]};
}

bool measure_before(Spot a, Spot b)
{
    return a.y < b.y || (a.y == b.y && a.x < b.x);
}

ReadCurve measure_reversed(ReadCurve curve)
{
    return (ReadCurve){.p = {curve.p[3], curve.p[2], curve.p[1], curve.p[0]}, .is_line = curve.is_line};
}

ReadCurve measure_one_way(ReadCurve curve, bool *turned)
{
    *turned = measure_before(curve.p[3], curve.p[0]) ||
              (curve.p[0].x == curve.p[3].x && curve.p[0].y == curve.p[3].y && measure_before(curve.p[2], curve.p[1]));
    return *turned ? measure_reversed(curve) : curve;
}

int measure_compare(const ReadCurve *a, const ReadCurve *b)
{
    for (int i = 0; i < 4; i++) {
        if (measure_before(a->p[i], b->p[i])) return -1;
        if (measure_before(b->p[i], a->p[i])) return 1;
    }
    return (int)a->is_line - (int)b->is_line;
}

static Spot curve_at(const ReadCurve *c, double t)
{
    double u = 1.0 - t;
    double w0 = u * u * u, w1 = 3.0 * u * u * t, w2 = 3.0 * u * t * t, w3 = t * t * t;
    return (Spot){w0 * c->p[0].x + w1 * c->p[1].x + w2 * c->p[2].x + w3 * c->p[3].x,
                  w0 * c->p[0].y + w1 * c->p[1].y + w2 * c->p[2].y + w3 * c->p[3].y};
}

// Wang's bound: n = sqrt(d (d - 1) / 8 * largest second difference / tolerance), with d = 3.
static int steps(const ReadCurve *c)
{
    if (c->is_line) return 1;
    double worst = 0.0;
    for (int i = 0; i < 2; i++) {
        double x = c->p[i].x - 2.0 * c->p[i + 1].x + c->p[i + 2].x, y = c->p[i].y - 2.0 * c->p[i + 1].y + c->p[i + 2].y;
        worst = fmax(worst, sqrt(x * x + y * y));
    }
    double n = ceil(sqrt(0.75 * worst / MEASURE_FLAT_MM));
    return n < 1.0 ? 1 : n > 100000.0 ? 100000 : (int)n;
}

static double speed(const ReadCurve *c, double t)
{
    double u = 1.0 - t;
    double x =
        u * u * (c->p[1].x - c->p[0].x) + 2.0 * u * t * (c->p[2].x - c->p[1].x) + t * t * (c->p[3].x - c->p[2].x);
    double y =
        u * u * (c->p[1].y - c->p[0].y) + 2.0 * u * t * (c->p[2].y - c->p[1].y) + t * t * (c->p[3].y - c->p[2].y);
    return 3.0 * sqrt(x * x + y * y);
}

static double curve_length(const ReadCurve *c)
{
    if (c->is_line) return measure_gap(c->p[0], c->p[3]);
    static const double at[5] = {0.0, 0.5384693101056831, -0.5384693101056831, 0.9061798459386640, -0.9061798459386640};
    static const double weight[5] = {0.5688888888888889, 0.4786286704993665, 0.4786286704993665, 0.2369268850561891,
                                     0.2369268850561891};
    const int slices = 4; // a cubic turns at most twice: four slices of five points are exact far below 1e-5
    double sum = 0.0;
    for (int s = 0; s < slices; s++)
        for (int i = 0; i < 5; i++) sum += weight[i] * speed(c, (s + 0.5 + 0.5 * at[i]) / slices);
    return sum * 0.5 / slices;
}

double measure_length(const ReadPath *path)
{
    double sum = 0.0;
    for (int i = 0; i < path->curve_count; i++) sum += curve_length(&path->curves[i]);
    return sum;
}

static double cross(Spot a, Spot b)
{
    return a.x * b.y - a.y * b.x;
}

// Half the integral of x dy - y dx along a cubic, about its own start so that far origins lose no digits.
static double curve_area(const ReadCurve *c, Spot origin)
{
    Spot p[4];
    for (int i = 0; i < 4; i++) p[i] = (Spot){c->p[i].x - origin.x, c->p[i].y - origin.y};
    if (c->is_line) return 0.5 * cross(p[0], p[3]);
    return (6.0 * cross(p[0], p[1]) + 3.0 * cross(p[0], p[2]) + cross(p[0], p[3]) + 3.0 * cross(p[1], p[2]) +
            3.0 * cross(p[1], p[3]) + 6.0 * cross(p[2], p[3])) /
           20.0;
}

double measure_area(const ReadPath *path)
{
    double sum = 0.0;
    for (int k = 0; k < path->part_count; k++) {
        const ReadPart *part = &path->parts[k];
        if (!part->closed || part->count == 0) continue;
        Spot origin = path->curves[part->first].p[0];
        for (int i = 0; i < part->count; i++) sum += curve_area(&path->curves[part->first + i], origin);
    }
    return sum;
}

static void box_take(SpotBox *box, Spot p)
{
    box->min.x = fmin(box->min.x, p.x);
    box->min.y = fmin(box->min.y, p.y);
    box->max.x = fmax(box->max.x, p.x);
    box->max.y = fmax(box->max.y, p.y);
}

// The points where one coordinate of the cubic stands still: roots of its derivative, a quadratic.
static void take_extremes(const ReadCurve *c, SpotBox *box, double q0, double q1, double q2, double q3)
{
    double a = -q0 + 3.0 * q1 - 3.0 * q2 + q3, b = 2.0 * (q0 - 2.0 * q1 + q2), d = q1 - q0;
    double root[2] = {-1.0, -1.0};
    double under = b * b - 4.0 * a * d;
    if (under < 0.0) return;
    double h = -0.5 * (b + (b < 0.0 ? -sqrt(under) : sqrt(under))); // the form without cancellation
    if (a != 0.0) root[0] = h / a;
    if (h != 0.0) root[1] = d / h;
    for (int i = 0; i < 2; i++)
        if (root[i] > 0.0 && root[i] < 1.0) box_take(box, curve_at(c, root[i]));
}

SpotBox measure_box(const ReadPath *path)
{
    SpotBox box = {{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};
    for (int i = 0; i < path->curve_count; i++) {
        const ReadCurve *c = &path->curves[i];
        box_take(&box, c->p[0]);
        box_take(&box, c->p[3]);
        if (c->is_line) continue;
        take_extremes(c, &box, c->p[0].x, c->p[1].x, c->p[2].x, c->p[3].x);
        take_extremes(c, &box, c->p[0].y, c->p[1].y, c->p[2].y, c->p[3].y);
    }
    return box;
}

static bool add_edge(Spot a, Spot b, double longest_mm, int owner, Arena *arena, Edges *edges, Error *err)
{
    double length = measure_gap(a, b);
    if (length == 0.0) return true;
    int n = length > longest_mm ? (int)fmin(ceil(length / longest_mm), 1e6) : 1;
    for (int k = 0; k < n; k++) {
        if (edges->count >= MEASURE_MAX_EDGES)
            return error_set(err, ERROR_INPUT, "the outlines have more than %u flat edges", MEASURE_MAX_EDGES);
        edges->items = arena_grow(arena, edges->items, edges->count, &edges->capacity, sizeof *edges->items);
        if (!edges->items) return error_memory(err);
        double s = (double)k / n, e = (double)(k + 1) / n;
        Spot from = k == 0 ? a : (Spot){a.x + s * (b.x - a.x), a.y + s * (b.y - a.y)};
        Spot to = k == n - 1 ? b : (Spot){a.x + e * (b.x - a.x), a.y + e * (b.y - a.y)};
        edges->items[edges->count++] = (Edge){from, to, owner};
    }
    return true;
}

bool measure_flatten(const ReadCurve *curves, int count, const double *to_sheet, double longest_mm, int owner,
                     Arena *arena, Edges *edges, Error *err)
{
    for (int i = 0; i < count; i++) {
        ReadCurve c = curves[i];
        if (to_sheet)
            for (int k = 0; k < 4; k++) c.p[k] = measure_moved(c.p[k], to_sheet);
        bool turned;
        c = measure_one_way(c, &turned);
        int n = steps(&c);
        Spot at = turned ? c.p[3] : c.p[0];
        for (int k = 1; k <= n; k++) {
            int step = turned ? n - k : k;
            Spot next = step == 0 ? c.p[0] : step == n ? c.p[3] : curve_at(&c, (double)step / n);
            if (!add_edge(at, next, longest_mm, owner, arena, edges, err)) return false;
            at = next;
        }
    }
    return true;
}
