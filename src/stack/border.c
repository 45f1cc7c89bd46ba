// border.c - offset, corners, curves, exact size; see border.h.
#include "stack/border.h"

#include "shape/fit.h"
#include "stack/coarse.h"

#include <math.h>
#include <stdlib.h>

#define FIT_MM 0.02 // distance of the fitted edge from the true offset: a fifth of what a cutter repeats
#define LINE_MM 0.01
#define CORNER_MM 0.004    // facets of the round corners before the fit
#define EARLY_MM 0.01      // both for facets and for points left out, in all stages but the last
#define FIRST_STAGE 16.0   // part of the border that is grown first; a power of two
#define CORNER_COS 0.94    // a turn of more than 20 degrees is a corner; facets turn by less than 4 up to 1 mm radius
#define LEAST_GAP_MM2 50.0 // a gap that two grown parts enclose is closed when smaller (8 mm across)
#define STEP_MM 1.0        // between points that are fitted: farther apart a curve may bulge between them
#define NEAR_BOX_MM 0.006  // a bulge farther in is held off the box by its own flat points (FLATTEN_MM and rounding)
#define BULGE_LEAST_MM 6e-4 // over a cubic's ends: lower adds nodes, higher is seen in the finished size
#define TURN_LEAST 1e-3    // of a curve's parameter: a turn nearer to an end is as good as at the end
#define STRAIGHT_MM 10.0   // a straight part this long is a line: a curve through it would wave beside the border's corners
#define SIZE_ROUNDS 60     // one is enough but for rounding, where a round hits or misses by chance
#define SIZE_SLACK_UM 1    // of each side of the box after all rounds: as much as rounding leaves

// Outer rings that lie in no hole of another part.
static bool is_outermost(const Rings *flat, int ring)
{
    if (ring_area2_um2(&flat->items[ring]) <= 0) return false;
    for (int i = 0; i < flat->count; i++) {
        Rings other = {&flat->items[i], 1};
        if (i == ring || ring_area2_um2(&flat->items[i]) >= 0) continue;
        // Two points: parts may touch a hole's ring at a single one.
        const Ring *inner = &flat->items[ring];
        if (rings_contain(&other, inner->points[0]) && rings_contain(&other, inner->points[inner->count / 2]))
            return false;
    }
    return true;
}

static bool is_corner(const Ring *ring, int i)
{
    Point a = ring->points[(i + ring->count - 1) % ring->count], b = ring->points[i],
          c = ring->points[(i + 1) % ring->count];
    double ux = (double)b.x - a.x, uy = (double)b.y - a.y, vx = (double)c.x - b.x, vy = (double)c.y - b.y;
    return ux * vx + uy * vy < CORNER_COS * sqrt((ux * ux + uy * uy) * (vx * vx + vy * vy));
}

typedef struct FitRun { // the fitted curves of one closed edge, in millimetres
    FitCurve *curves;
    size_t count, capacity;
} FitRun;

static bool add_curve(FitRun *run, FitCurve curve, Arena *own)
{
    FitCurve *room = arena_grow(own, run->curves, run->count, &run->capacity, sizeof *room);
    if (!room) return false;
    run->curves = room;
    run->curves[run->count++] = curve;
    return true;
}

// The points first..last of a ring (indices may pass its end), none farther from the next than STEP_MM: a fit is only
// held where there are points.
static Vec *dense_points(const Ring *ring, int first, int last, Arena *own, int *out_count)
{
    int most = 1;
    for (int i = first; i < last; i++)
        most +=
            1 + (int)(point_distance_mm(ring->points[i % ring->count], ring->points[(i + 1) % ring->count]) / STEP_MM);
    Vec *points = arena_new(own, Vec, most);
    *out_count = 0;
    for (int i = first; points && i < last; i++) {
        Point a = ring->points[i % ring->count], b = ring->points[(i + 1) % ring->count];
        int steps = 1 + (int)(point_distance_mm(a, b) / STEP_MM);
        for (int k = 0; k < steps; k++)
            points[(*out_count)++] = (Vec){(a.x + ((double)b.x - a.x) * k / steps) / UM_PER_MM,
                                           (a.y + ((double)b.y - a.y) * k / steps) / UM_PER_MM};
    }
    Point end = ring->points[last % ring->count];
    if (points) points[(*out_count)++] = (Vec){end.x / UM_PER_MM, end.y / UM_PER_MM};
    return points;
}

static bool fit_run(const Ring *ring, int first, int last, bool closed, Arena *own, FitRun *run, Error *err)
{
    int count, curve_count = 0;
    FitCurve *curves;
    Vec *points = dense_points(ring, first, last, own, &count);
    if (!points) return error_memory(err);
    FitOptions options = {.tolerance = FIT_MM, .line_tolerance = LINE_MM, .line_length = STRAIGHT_MM, .closed = closed};
    if (!fit_curves(points, count, &options, own, &curves, &curve_count, err)) return false;
    for (int i = 0; i < curve_count; i++)
        if (!add_curve(run, curves[i], own)) return error_memory(err);
    return true;
}

static bool fit_ring(const Ring *ring, Arena *own, FitRun *run, Error *err)
{
    *run = (FitRun){0};
    int first = -1, from = -1;
    for (int i = 0; i < ring->count; i++) {
        if (!is_corner(ring, i)) continue;
        if (first < 0)
            first = i;
        else if (!fit_run(ring, from, i, false, own, run, err))
            return false;
        from = i;
    }
    if (first < 0) return fit_run(ring, 0, ring->count, true, own, run, err);
    return fit_run(ring, from, first + ring->count, false, own, run, err);
}

// ---- nodes where the edge touches its box ----

static double on_axis(Vec v, int axis)
{
    return axis ? v.y : v.x;
}

static Vec mixed(Vec a, Vec b, double t)
{
    return (Vec){a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t};
}

// De Casteljau: both parts of a cubic; the second starts where it is at t.
static void split_cubic(const FitCurve *c, double t, FitCurve out[2])
{
    Vec a = mixed(c->p0, c->p1, t), b = mixed(c->p1, c->p2, t), d = mixed(c->p2, c->p3, t);
    Vec ab = mixed(a, b, t), bd = mixed(b, d, t), at = mixed(ab, bd, t);
    out[0] = (FitCurve){c->p0, a, ab, at, false};
    out[1] = (FitCurve){at, bd, d, c->p3, false};
}

// Where a cubic turns back along an axis, its ends apart; returns how many places.
static int turning_places(const FitCurve *c, int axis, double out_t[2])
{
    if (c->is_line) return 0;
    double p0 = on_axis(c->p0, axis), p1 = on_axis(c->p1, axis), p2 = on_axis(c->p2, axis), p3 = on_axis(c->p3, axis);
    double square = 3.0 * (p1 - p2) + p3 - p0, linear = 2.0 * (p0 - 2.0 * p1 + p2), constant = p1 - p0;
    double rest = linear * linear - 4.0 * square * constant;
    if (rest < 0.0) return 0;
    double q = -0.5 * (linear + (linear < 0.0 ? -sqrt(rest) : sqrt(rest))); // no difference of equals
    const double roots[2] = {square != 0.0 ? q / square : -1.0, q != 0.0 ? constant / q : -1.0};
    int count = 0;
    for (int i = 0; i < 2; i++)
        if (roots[i] > TURN_LEAST && roots[i] < 1.0 - TURN_LEAST) out_t[count++] = roots[i];
    return count;
}

typedef struct Extent {
    double low[2], high[2];
} Extent; // by axis, in millimetres

static void extent_add(Extent *extent, Vec v)
{
    for (int axis = 0; axis < 2; axis++) {
        extent->low[axis] = fmin(extent->low[axis], on_axis(v, axis));
        extent->high[axis] = fmax(extent->high[axis], on_axis(v, axis));
    }
}

static Extent extent_of(const FitRun *runs, int count)
{
    Extent extent = {{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};
    for (int i = 0; i < count; i++) {
        for (size_t k = 0; k < runs[i].count; k++) {
            const FitCurve *c = &runs[i].curves[k];
            extent_add(&extent, c->p0);
            for (int axis = 0; axis < 2; axis++) {
                double t[2];
                FitCurve parts[2];
                for (int n = turning_places(c, axis, t); n > 0; n--) {
                    split_cubic(c, t[n - 1], parts);
                    extent_add(&extent, parts[1].p0);
                }
            }
        }
    }
    return extent;
}

// Splits a cubic at its first turn by the box; false when it has none there.
static bool split_by_box(const FitCurve *c, const Extent *extent, FitCurve parts[2])
{
    double first = 1.0;
    for (int axis = 0; axis < 2; axis++) {
        double t[2];
        for (int n = turning_places(c, axis, t); n > 0; n--) {
            split_cubic(c, t[n - 1], parts);
            double v = on_axis(parts[1].p0, axis);
            double a = on_axis(c->p0, axis), b = on_axis(c->p3, axis);
            bool low = v < extent->low[axis] + NEAR_BOX_MM && v < fmin(a, b) - BULGE_LEAST_MM;
            bool high = v > extent->high[axis] - NEAR_BOX_MM && v > fmax(a, b) + BULGE_LEAST_MM;
            if (low || high) first = fmin(first, t[n - 1]);
        }
    }
    if (first < 1.0) split_cubic(c, first, parts);
    return first < 1.0;
}

// A cubic that touches the box between its ends bulges over its flat points by up to FLATTEN_MM. With a node there the
// flat edge is as large as the curve that is cut.
static bool put_nodes_on_box(FitRun *runs, int count, Arena *own, Error *err)
{
    Extent extent = extent_of(runs, count);
    for (int i = 0; i < count; i++) {
        FitRun split = {0};
        for (size_t k = 0; k < runs[i].count; k++) {
            FitCurve rest = runs[i].curves[k], parts[2];
            while (split_by_box(&rest, &extent, parts)) {
                if (!add_curve(&split, parts[0], own)) return error_memory(err);
                rest = parts[1];
            }
            if (!add_curve(&split, rest, own)) return error_memory(err);
        }
        runs[i] = split;
    }
    return true;
}

// ---- exact size ----

typedef struct Stretch {
    double x0, y0, scale_x, scale_y;
} Stretch; // of fitted millimetres, to make the size exact

static Point stretched(const Stretch *stretch, Vec v)
{
    return point_from_mm((v.x - stretch->x0) * stretch->scale_x, (v.y - stretch->y0) * stretch->scale_y);
}

// Rounds the curves to whole micrometres; what has no length any more is left out, and each starts where the last
// ended.
static bool chain_from_fit(const FitRun *run, const Stretch *stretch, Arena *keep, Chain *out, Error *err)
{
    Curve *curves = arena_new(keep, Curve, run->count);
    if (!curves) return error_memory(err);
    int count = 0;
    Point start = stretched(stretch, run->curves[0].p0), at = start;
    for (size_t i = 0; i < run->count; i++) {
        const FitCurve *fit = &run->curves[i];
        Point end = i + 1 == run->count ? start : stretched(stretch, fit->p3);
        Curve curve = curve_line(at, end);
        if (!fit->is_line) curve = (Curve){at, stretched(stretch, fit->p1), stretched(stretch, fit->p2), end, false};
        if (point_equal(at, end) && fit->is_line) continue;
        curves[count++] = curve;
        at = end;
    }
    return chain_make(curves, count, true, keep, out, err);
}

static bool chains_from_fits(const FitRun *runs, int count, const Stretch *stretch, Arena *keep, Chain *out,
                             Box *out_box, Error *err)
{
    *out_box = box_empty();
    for (int i = 0; i < count; i++) {
        if (!chain_from_fit(&runs[i], stretch, keep, &out[i], err)) return false;
        for (int k = 0; k < out[i].point_count; k++) box_add(out_box, out[i].points[k]);
    }
    return true;
}

// How far the worst side of a box is from where it should be.
static int32_t worst_side_um(Box box, Box wanted)
{
    const int32_t off[4] = {box.min.x - wanted.min.x, box.min.y - wanted.min.y, box.max.x - wanted.max.x,
                            box.max.y - wanted.max.y};
    int32_t worst = 0;
    for (int i = 0; i < 4; i++) worst = abs(off[i]) > worst ? abs(off[i]) : worst;
    return worst;
}

// The stretch, by micrometres, that makes the box of the fitted edges exact. Rounding of control points moves it by a
// micrometre now and then, so it is measured and tried again; when no round hits, the nearest one is taken.
static bool exact_stretch(const FitRun *runs, int count, Box wanted, Arena *own, Stretch *out, Error *err)
{
    Stretch tried = {0.0, 0.0, 1.0, 1.0}, *stretch = &tried;
    int32_t least_um = INT32_MAX;
    for (int round = 0; round < SIZE_ROUNDS; round++) {
        Box box;
        ArenaMark mark = arena_mark(own);
        Chain *chains = arena_new(own, Chain, count);
        if (!chains) return error_memory(err);
        if (!chains_from_fits(runs, count, stretch, own, chains, &box, err)) return false;
        arena_rewind(own, mark);
        int32_t off_um = worst_side_um(box, wanted);
        if (off_um < least_um) least_um = off_um, *out = tried;
        if (off_um == 0) return true;
        double gain = round < 2 ? 1.0 : 0.2 + 0.07 * (round % 9); // whole or equal steps may swing to and fro
        stretch->x0 += gain * box.min.x / UM_PER_MM;
        stretch->y0 += gain * box.min.y / UM_PER_MM;
        stretch->scale_x *= 1.0 + gain * (box_width_mm(wanted) / box_width_mm(box) - 1.0);
        stretch->scale_y *= 1.0 + gain * (box_height_mm(wanted) / box_height_mm(box) - 1.0);
    }
    if (least_um <= SIZE_SLACK_UM) return true;
    return error_set(err, ERROR_JOB, "the border cannot be made as large as asked: it stays %.3f mm off; ask for a slightly other height",
                     least_um / UM_PER_MM);
}

// Grows in stages, each as large as all before: a small offset first swallows the roughness of an outline, which a
// large one at once would fold over itself a hundred times. The result is the same: growing by a and then b is growing
// by a + b.
static bool grow_in_stages(const Rings *rings, double border_mm, Arena *own, Work *work, Rings *out, Error *err)
{
    *out = *rings;
    double step_mm = border_mm / FIRST_STAGE;
    for (double grown_mm = 0.0; grown_mm < border_mm * 0.49; step_mm = grown_mm) {
        Rings grown;
        if (!overlay_offset(out, step_mm, EARLY_MM, own, work, &grown, err) ||
            !coarse_rings(&grown, EARLY_MM, own, work, out, err))
            return false;
        grown_mm += step_mm;
    }
    Rings almost = *out;
    return overlay_offset(&almost, step_mm, CORNER_MM, own, work, out, err);
}

static Rings grown_edges(Rings grown)
{
    int kept = 0;
    for (int i = 0; i < grown.count; i++) {
        double area = ring_area_mm2(&grown.items[i]);
        if (area > 0.0 || area < -LEAST_GAP_MM2) grown.items[kept++] = grown.items[i];
    }
    return (Rings){grown.items, kept};
}

typedef struct LinkBag {
    Link *links;
    int count;
} LinkBag;

// Grows the outermost rings; the others keep their links.
static bool sort_rings(const Area *full, const Rings *flat, Arena *own, Rings *outermost, LinkBag *stay, Error *err)
{
    outermost->items = arena_new(own, Ring, flat->count);
    outermost->count = 0;
    stay->links = arena_new(own, Link, full->link_count + flat->count);
    stay->count = 0;
    if (!outermost->items || !stay->links) return error_memory(err);
    for (int i = 0; i < flat->count; i++) {
        if (is_outermost(flat, i)) {
            outermost->items[outermost->count++] = flat->items[i];
            continue;
        }
        for (int k = 0; k < full->rings[i].link_count; k++)
            stay->links[stay->count++] = full->links[full->rings[i].first_link + k];
    }
    return true;
}

static bool grow(const Area *full, double border_mm, Box wanted, Chains *chains, Arena *own, Arena *keep, Work *work,
                 Area *out, Error *err)
{
    Rings flat, outermost, grown;
    LinkBag bag;
    if (!area_rings(chains, full, own, &flat, err) || !sort_rings(full, &flat, own, &outermost, &bag, err) ||
        !grow_in_stages(&outermost, border_mm, own, work, &grown, err))
        return false;
    grown = grown_edges(grown);
    FitRun *runs = arena_new(own, FitRun, grown.count);
    Chain *edges = arena_new(own, Chain, grown.count);
    Link *links = arena_new(own, Link, bag.count + grown.count);
    if (!runs || !edges || !links) return error_memory(err);
    for (int i = 0; i < grown.count; i++)
        if (!work_goes_on(work, err) || !fit_ring(&grown.items[i], own, &runs[i], err)) return false;
    Stretch stretch;
    Box box;
    if (!put_nodes_on_box(runs, grown.count, own, err) ||
        !exact_stretch(runs, grown.count, wanted, own, &stretch, err) ||
        !chains_from_fits(runs, grown.count, &stretch, keep, edges, &box, err))
        return false;
    for (int i = 0; i < bag.count; i++) links[i] = bag.links[i];
    for (int i = 0; i < grown.count; i++) {
        int chain;
        if (!chains_add(chains, &edges[i], keep, &chain, err)) return false;
        links[bag.count + i] = (Link){chain, 0, edges[i].point_count - 1};
    }
    return area_from_links(chains, links, bag.count + grown.count, keep, out, err);
}

bool border_make(const Area *full, double border_mm, double width_mm, double height_mm, Chains *chains, Arena *keep,
                 Work *work, Area *out, Error *err)
{
    *out = (Area){0};
    Arena own = arena_make(work->scratch.budget_bytes); // work's is rewound by what is called here
    Box wanted = {{0, 0}, point_from_mm(width_mm, height_mm)};
    bool done = grow(full, border_mm, wanted, chains, &own, keep, work, out, err);
    arena_free(&own);
    if (!done) *out = (Area){0};
    return done;
}
