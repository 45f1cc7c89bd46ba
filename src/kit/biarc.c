// biarc.c - see biarc.h.
#include "kit/biarc.h"

#include <math.h>

#define MOST_HALVINGS 12        // 4096 parts: of a curve a metre long, a quarter of a millimetre each
#define SAMPLES 9               // of each part, ends among them
#define NEGLIGIBLE_MM 1e-6
#define DOT_MM 1e-3            // what is smaller than a unit of the files is a point

typedef struct Vec { double x, y; } Vec;

static Vec vec(const double p[2]) { return (Vec){p[0], p[1]}; }
static Vec sub(Vec a, Vec b) { return (Vec){a.x - b.x, a.y - b.y}; }
static double dot(Vec a, Vec b) { return a.x * b.x + a.y * b.y; }
static double cross(Vec a, Vec b) { return a.x * b.y - a.y * b.x; }

static Vec unit(Vec a)
{
    double length = sqrt(dot(a, a));
    return length > NEGLIGIBLE_MM ? (Vec){a.x / length, a.y / length} : (Vec){0, 0};
}

static Vec at(const SheetCurve *c, double t)
{
    double p[2];
    sheet_curve_at(c, t, p);
    return (Vec){p[0], p[1]};
}

// The direction at an end: that of the first control point which lies apart from it.
static Vec direction(const SheetCurve *c, bool at_end)
{
    int from = at_end ? 3 : 0, step = at_end ? -1 : 1;
    for (int i = 1; i <= 3; i++) {
        Vec way = unit(sub(vec(c->p[from + i * step]), vec(c->p[from])));
        if (way.x != 0 || way.y != 0) return at_end ? (Vec){-way.x, -way.y} : way;
    }
    return (Vec){0, 0};
}

// De Casteljau at one half.
static void halve(const SheetCurve *c, SheetCurve *first, SheetCurve *second)
{
    for (int k = 0; k < 2; k++) {
        double p01 = (c->p[0][k] + c->p[1][k]) / 2, p12 = (c->p[1][k] + c->p[2][k]) / 2, p23 = (c->p[2][k] + c->p[3][k]) / 2;
        double a = (p01 + p12) / 2, b = (p12 + p23) / 2, middle = (a + b) / 2;
        double left[4] = {c->p[0][k], p01, a, middle}, right[4] = {middle, b, p23, c->p[3][k]};
        for (int i = 0; i < 4; i++) first->p[i][k] = left[i], second->p[i][k] = right[i];
    }
    first->is_line = second->is_line = false;
}

// The arc from a to b that leaves a in this direction: its bulge is the tangent of half the angle between that and the chord.
static Bow arc_of(Vec a, Vec b, Vec way)
{
    Vec chord = sub(b, a);
    double length = sqrt(dot(chord, chord)), along = length + dot(way, chord);
    double bulge = along > NEGLIGIBLE_MM ? cross(way, chord) / along : 0;
    return (Bow){{a.x, a.y}, {b.x, b.y}, bulge};
}

// Both arcs with control lengths of d: their joint lies between the two control points. False where there are none.
static bool pair_of(const SheetCurve *c, Bow out[2])
{
    Vec a = vec(c->p[0]), b = vec(c->p[3]), s = direction(c, false), e = direction(c, true), v = sub(b, a), t = {s.x + e.x, s.y + e.y};
    double vt = dot(v, t), bend = 2 * (1 - dot(s, e)), d;
    if (bend > 1e-12) {
        d = (sqrt(vt * vt + bend * dot(v, v)) - vt) / bend;
    } else {
        double ve = dot(v, e);
        if (ve <= NEGLIGIBLE_MM) return false;
        d = dot(v, v) / (4 * ve);
    }
    if (!(d > NEGLIGIBLE_MM)) return false;
    Vec joint = {(a.x + b.x + d * (s.x - e.x)) / 2, (a.y + b.y + d * (s.y - e.y)) / 2};
    out[0] = arc_of(a, joint, s);
    Bow back = arc_of(b, joint, (Vec){-e.x, -e.y});
    out[1] = (Bow){{joint.x, joint.y}, {b.x, b.y}, -back.bulge};
    return true;
}

// Distance of p from the arc, for points beside it.
static double off_arc(const Bow *arc, Vec p)
{
    Vec a = vec(arc->from), b = vec(arc->to), chord = sub(b, a);
    double length = sqrt(dot(chord, chord));
    if (length < NEGLIGIBLE_MM) return sqrt(dot(sub(p, a), sub(p, a)));
    if (fabs(arc->bulge) < 1e-9) return fabs(cross(chord, sub(p, a))) / length;
    double rise = length * (1 / arc->bulge - arc->bulge) / 4; // of the centre over the chord's middle, to the left of the way
    Vec centre = {(a.x + b.x) / 2 - chord.y / length * rise, (a.y + b.y) / 2 + chord.x / length * rise};
    double radius = length * (1 / fabs(arc->bulge) + fabs(arc->bulge)) / 4;
    return fabs(sqrt(dot(sub(p, centre), sub(p, centre))) - radius);
}

// Which of the two a point belongs to is told by the line through their joint, square to their common tangent's chord.
static bool lies_near(const SheetCurve *c, const Bow pair[2], double allowed_mm)
{
    Vec joint = vec(pair[0].to), across = sub(vec(pair[1].to), vec(pair[0].from));
    if (fabs(pair[0].bulge) > 0.5 || fabs(pair[1].bulge) > 0.5) return false; // more than a third of a circle: halve first
    for (int i = 1; i < SAMPLES - 1; i++) {
        Vec p = at(c, (double)i / (SAMPLES - 1));
        if (off_arc(&pair[dot(sub(p, joint), across) > 0], p) > allowed_mm) return false;
    }
    return true;
}

static bool add(BowList *out, Bow arc, Arena *keep, Error *err)
{
    Bow *items = arena_grow(keep, out->items, out->count, &out->capacity, sizeof *items);
    if (!items) return error_memory(err);
    out->items = items;
    items[out->count++] = arc;
    return true;
}

static bool is_dot(const SheetCurve *c)
{
    double most = 0;
    for (int i = 1; i < 4; i++)
        for (int k = 0; k < 2; k++) most = fmax(most, fabs(c->p[i][k] - c->p[0][k]));
    return most < DOT_MM;
}

static bool add_part(const SheetCurve *c, double allowed_mm, int halvings, Arena *keep, BowList *out, Error *err)
{
    Bow pair[2];
    if (is_dot(c)) return add(out, (Bow){{c->p[0][0], c->p[0][1]}, {c->p[3][0], c->p[3][1]}, 0}, keep, err);
    bool fits = pair_of(c, pair) && lies_near(c, pair, allowed_mm);
    if (fits) return add(out, pair[0], keep, err) && add(out, pair[1], keep, err);
    if (halvings == MOST_HALVINGS) return add(out, (Bow){{c->p[0][0], c->p[0][1]}, {c->p[3][0], c->p[3][1]}, 0}, keep, err);
    SheetCurve first, second;
    halve(c, &first, &second);
    return add_part(&first, allowed_mm, halvings + 1, keep, out, err) && add_part(&second, allowed_mm, halvings + 1, keep, out, err);
}

bool biarc_add(const SheetCurve *curve, double allowed_mm, Arena *keep, BowList *out, Error *err)
{
    if (!curve->is_line) return add_part(curve, allowed_mm, 0, keep, out, err);
    return add(out, (Bow){{curve->p[0][0], curve->p[0][1]}, {curve->p[3][0], curve->p[3][1]}, 0}, keep, err);
}
