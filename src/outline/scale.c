// scale.c - see scale.h.
#include "outline/scale.h"

#include <math.h>
#include <stdlib.h>

#define INNER_T 1e-4        // nearer to an end than this the end itself is the extreme
#define VANISHING_UM 2      // a curve shorter than this has no direction left after rounding

static double coordinate(Vec v, int axis)
{
    return axis ? v.y : v.x;
}

static Vec mix(Vec a, Vec b, double t)
{
    return (Vec){a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t};
}

static void split(const FitCurve *c, double t, FitCurve *first, FitCurve *second)
{
    Vec a = mix(c->p0, c->p1, t), b = mix(c->p1, c->p2, t), d = mix(c->p2, c->p3, t);
    Vec e = mix(a, b, t), f = mix(b, d, t), m = mix(e, f, t);
    FitCurve whole = *c;
    *first = (FitCurve){whole.p0, a, e, m, false};
    *second = (FitCurve){m, f, d, whole.p3, false};
}

// Parameters inside the curve where one coordinate is extreme (at most 2).
static int extremes(const FitCurve *c, int axis, double t[2])
{
    if (c->is_line) return 0;
    double a = coordinate(c->p1, axis) - coordinate(c->p0, axis), b = coordinate(c->p2, axis) - coordinate(c->p1, axis);
    double d = coordinate(c->p3, axis) - coordinate(c->p2, axis);
    double q2 = a - 2 * b + d, q1 = 2 * (b - a), q0 = a; // q2 t^2 + q1 t + q0
    double roots[2];
    int count = 0, n = 0;
    if (fabs(q2) < 1e-12 * (fabs(q1) + fabs(q0))) {
        if (q1 != 0) roots[count++] = -q0 / q1;
    } else {
        double disc = q1 * q1 - 4 * q2 * q0;
        if (disc >= 0) {
            double q = -0.5 * (q1 + (q1 < 0 ? -sqrt(disc) : sqrt(disc)));
            roots[count++] = q / q2;
            if (q != 0) roots[count++] = q0 / q;
        }
    }
    for (int i = 0; i < count; i++)
        if (roots[i] > INNER_T && roots[i] < 1 - INNER_T) t[n++] = roots[i];
    return n;
}

typedef struct Side { double value; int arc, curve; double t; } Side; // t = 0: an end of a curve

static void look_at(Side *side, int sign, double value, int arc, int curve, double t)
{
    if (side->arc >= 0 && sign * value <= sign * side->value) return;
    *side = (Side){value, arc, curve, t};
}

// side: 0 least x, 1 greatest x, 2 least y, 3 greatest y.
static Side farthest_curve(const Trace *trace, int side)
{
    int axis = side / 2, sign = side % 2 ? 1 : -1;
    Side best = {0, -1, 0, 0};
    for (int i = 0; i < trace->map->arc_count; i++) {
        const TracedArc *arc = &trace->arcs[i];
        for (int k = 0; k < arc->curve_count; k++) {
            const FitCurve *c = &arc->curves[k];
            look_at(&best, sign, coordinate(c->p0, axis), i, k, 0);
            look_at(&best, sign, coordinate(c->p3, axis), i, k, 0);
            if (c->is_line) continue;
            double reach = fmax(sign * coordinate(c->p1, axis), sign * coordinate(c->p2, axis));
            if (reach <= sign * best.value) continue; // a curve stays inside its control points
            double t[2];
            int n = extremes(c, axis, t);
            for (int r = 0; r < n; r++) {
                FitCurve a, b;
                split(c, t[r], &a, &b);
                look_at(&best, sign, coordinate(a.p3, axis), i, k, t[r]);
            }
        }
    }
    return best;
}

static bool split_in_place(TracedArc *arc, int curve, double t, Arena *scratch, Error *err)
{
    FitCurve *items = arena_new(scratch, FitCurve, arc->curve_count + 1);
    if (!items) return error_memory(err);
    for (int i = 0; i < arc->curve_count; i++) items[i + (i > curve)] = arc->curves[i];
    split(&arc->curves[curve], t, &items[curve], &items[curve + 1]);
    arc->curves = items;
    arc->curve_count++;
    return true;
}

bool scale_find(Trace *trace, double height_mm, double offset_mm, Arena *scratch, Scale *out, Error *err)
{
    double reach[4];
    for (int side = 0; side < 4; side++) {
        Side far = farthest_curve(trace, side);
        if (far.t > 0 && !split_in_place(&trace->arcs[far.arc], far.curve, far.t, scratch, err)) return false;
        reach[side] = far.value;
    }
    double height_px = fmax(reach[3] - reach[2], 1e-9); // a collapsed figure is the caller's to see
    *out = (Scale){{reach[0], reach[2]}, height_mm / height_px, offset_mm, 0, height_mm};
    out->width_mm = (reach[1] - reach[0]) * out->mm_per_px;
    return true;
}

Point scale_point(const Scale *scale, Vec at)
{
    return point_from_mm(scale->offset_mm + (at.x - scale->origin_px[0]) * scale->mm_per_px,
                         scale->offset_mm + (at.y - scale->origin_px[1]) * scale->mm_per_px);
}

static bool is_vanishing(Point a, Point b)
{
    int64_t dx = (int64_t)a.x - b.x, dy = (int64_t)a.y - b.y;
    return dx * dx + dy * dy < VANISHING_UM * VANISHING_UM;
}

// A point that reaches as far as the figure does fixes its size: it must not go with a curve that vanishes.
static bool is_on_box(const Scale *scale, Point p)
{
    Point least = point_from_mm(scale->offset_mm, scale->offset_mm);
    Point most = point_from_mm(scale->offset_mm + scale->width_mm, scale->offset_mm + scale->height_mm);
    return p.x <= least.x || p.x >= most.x || p.y <= least.y || p.y >= most.y;
}

bool scale_curves(const Scale *scale, const Trace *trace, int arc, Arena *scratch, Curve **out, int *out_count, Error *err)
{
    const TracedArc *traced = &trace->arcs[arc];
    const CrackArc *crack = &trace->map->arcs[arc];
    *out = NULL;
    *out_count = 0;
    Curve *curves = arena_new(scratch, Curve, traced->curve_count + 1);
    if (!curves) return error_memory(err);
    Point at = scale_point(scale, trace->node_at[crack->from]), end = scale_point(scale, trace->node_at[crack->to]);
    int n = 0;
    for (int i = 0; i < traced->curve_count; i++) {
        const FitCurve *c = &traced->curves[i];
        Point next = i + 1 == traced->curve_count ? end : scale_point(scale, c->p3);
        bool vanishes = is_vanishing(at, next);
        if (vanishes && (point_equal(at, next) || !is_on_box(scale, next))) continue;
        if (c->is_line || vanishes) curves[n++] = curve_line(at, next);
        else curves[n++] = (Curve){at, scale_point(scale, c->p1), scale_point(scale, c->p2), next, false};
        at = next;
    }
    if (n > 0 && !point_equal(at, end)) { // the last curve vanished: the one before takes its end
        Curve *last = &curves[n - 1];
        if (point_equal(last->p0, end)) n--;
        else if (last->is_line) *last = curve_line(last->p0, end);
        else last->p3 = end;
    }
    if (n > 0 && !point_equal(curves[n - 1].p3, end)) n = 0;
    *out = curves;
    *out_count = n;
    return true;
}
