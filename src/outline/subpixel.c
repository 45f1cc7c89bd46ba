// subpixel.c - see subpixel.h.
#include "outline/subpixel.h"

#include <math.h>
#include <stdlib.h>

#define WALK_PX 4               // a wider blend is a soft gradient, not an edge
#define STEEP_REACH 3           // cracks each side that tell the edge's direction
#define SMOOTH_LEAST 16         // doubtful points in a row that are smoothed; fewer say where a corner is
#define SMOOTH_REACH 4
#define SMOOTH_ROUNDS 2
#define DROPPED_RUN 3           // doubtful points in a row that are left out; more are kept with their doubt

// Coverage (0..1) of a pixel by the side of the other colour, and how far that may be off; false when the pixel is no blend of the two,
// nor nearly one.
typedef struct Side { Blend blend; const Painting *painting; int own; bool is_left; } Side;

static Side side_of(const Pixels *pixels, const Painting *painting, int own, int other, bool is_left)
{
    return (Side){blend_between(pixels, own, other), painting, own, is_left};
}

static bool coverage_of(const Pixels *pixels, const Side *side, int x, int y, double *coverage, double *doubt, bool *is_pure)
{
    Shares shares;
    if (!blend_shares(pixels, &side->blend, side->painting->third_label, x, y, &shares)) return false;
    *coverage = painting_coverage(side->painting, side->is_left, &shares, doubt);
    *is_pure = shares.is_pure;
    return true;
}

bool subpixel_coverage(const Pixels *pixels, const Painting *painting, int left, int right, int x, int y, double *of_right)
{
    const Separation *s = pixels->separation;
    if (x < 0 || y < 0 || x >= s->width_px || y >= s->height_px) return false;
    Side side = side_of(pixels, painting, left, right, true);
    double doubt;
    bool is_pure;
    return coverage_of(pixels, &side, x, y, of_right, &doubt, &is_pure);
}

// Sum of the other colour's shares on one side of a crack: the pixels from (x, y) on in steps of (dx, dy), of label
// `own`, up to a pure one. Where another label comes first, what is in between is shared by both its edges: half.
static bool sum_side(const Pixels *pixels, const Side *side, int x, int y, int dx, int dy, double *out, double *doubt)
{
    double shares[WALK_PX];
    int n = 0;
    bool is_pure = false, ok = true, is_thin = false;
    *out = 0.0;
    while (n < WALK_PX && !is_pure && ok) {
        int label = blend_label(pixels, x + n * dx, y + n * dy);
        if (label != side->own) {
            is_thin = label >= 0;
            break;
        }
        double unsure;
        ok = coverage_of(pixels, side, x + n * dx, y + n * dy, &shares[n], &unsure, &is_pure);
        if (ok) *doubt += unsure;
        n++;
    }
    if (!is_thin) {
        for (int i = 0; i < n; i++) *out += shares[i];
        return ok && (is_pure || n < WALK_PX);
    }
    for (int i = 0; i < n / 2; i++) *out += shares[i];
    if (n % 2) *out += shares[n / 2] / 2.0;
    return ok;
}

static bool is_repainted(const Separation *s, int x, int y)
{
    return s->repainted && s->repainted[(size_t)y * (size_t)s->width_px + (size_t)x];
}

// The point of a crack; `from` and `to` are its ends.
static EdgePoint point_of_crack(const Pixels *pixels, const Painting *painting, Cell from, Cell to)
{
    int dx = to.x - from.x, dy = to.y - from.y;
    EdgePoint point = {{(from.x + to.x) / 2.0, (from.y + to.y) / 2.0}, HARD_EDGE_SLACK_PX, 0};
    Cell l = blend_sides(from, to).left, r = blend_sides(from, to).right;
    int left = blend_label(pixels, l.x, l.y), right = blend_label(pixels, r.x, r.y);
    if (left < 0 || right < 0) { // the picture ends here, whatever the pixels say
        point.slack_px = 0.0;
        return point;
    }
    if (pixels->separation->hard_edged) return point;
    if (is_repainted(pixels->separation, l.x, l.y) || is_repainted(pixels->separation, r.x, r.y)) return point;
    double in_left, in_right, doubt = 0.0; // right's colour on the left side and the reverse
    Side left_side = side_of(pixels, painting, left, right, true), right_side = side_of(pixels, painting, right, left, false);
    if (!sum_side(pixels, &left_side, l.x, l.y, dy, -dx, &in_left, &doubt)) return point;
    if (!sum_side(pixels, &right_side, r.x, r.y, -dy, dx, &in_right, &doubt)) return point;
    double shift = in_right - in_left; // towards the right side
    if (shift > 1.0 || shift < -1.0) return point;
    point.at.x += -dy * shift;
    point.at.y += dx * shift;
    point.slack_px = doubt < HARD_EDGE_SLACK_PX ? doubt : HARD_EDGE_SLACK_PX;
    return point;
}

// Leaves out short runs of doubtful points: what lies between the good ones is better guessed by the fit.
static int drop_doubtful(EdgePoint *points, int count)
{
    int good = 0;
    for (int i = 0; i < count; i++) good += points[i].slack_px < HARD_EDGE_SLACK_PX;
    if (good < 2) return count;
    int n = 0;
    for (int i = 0; i < count;) {
        int end = i;
        while (end < count && points[end].slack_px >= HARD_EDGE_SLACK_PX) end++;
        if (end - i > DROPPED_RUN)
            for (int k = i; k < end; k++) points[n++] = points[k];
        if (end < count) points[n++] = points[end];
        i = end + 1;
    }
    return n;
}

// Where no pixel shows the edge for long (a part was made thicker than it was drawn) its points are a staircase: each
// becomes the mean of its neighbours in the run, as many on either side.
static void smooth_run(EdgePoint *points, int count, Vec *before)
{
    for (int i = 0; i < count; i++) before[i] = points[i].at;
    for (int i = 0; i < count; i++) {
        int reach = i < count - 1 - i ? i : count - 1 - i;
        if (reach > SMOOTH_REACH) reach = SMOOTH_REACH;
        Vec sum = {0, 0};
        for (int k = i - reach; k <= i + reach; k++) sum.x += before[k].x, sum.y += before[k].y;
        points[i].at = (Vec){sum.x / (2 * reach + 1), sum.y / (2 * reach + 1)};
    }
}

static void smooth_long_doubt(EdgePoint *points, int count, Vec *room)
{
    for (int i = 0; i < count;) {
        int end = i;
        while (end < count && points[end].slack_px >= HARD_EDGE_SLACK_PX) end++;
        for (int round = 0; round < SMOOTH_ROUNDS && end - i >= SMOOTH_LEAST; round++) smooth_run(points + i, end - i, room);
        i = end + 1;
    }
}

int subpixel_points(const Pixels *pixels, const ArcPainting *painting, const CrackMap *map, const CrackArc *arc, Vec *room,
                    EdgePoint *out)
{
    int n = 0, reach = STEEP_REACH;
    bool all = arc->count <= 8; // too short to have a direction
    for (int i = 0; i < arc->count; i++) {
        Cell a = arc_corner(map, arc, i), b = arc_corner(map, arc, i + 1);
        Cell before = arc_corner(map, arc, i - reach), after = arc_corner(map, arc, i + 1 + reach);
        int dx = abs(after.x - before.x), dy = abs(after.y - before.y);
        bool is_vertical = a.x == b.x;
        // at 45 degrees both kinds serve, and the middle crack's own step must not decide
        if (!all && (is_vertical ? dy + 1 < dx : dx + 1 < dy)) continue;
        Painting here = painting_at(painting, i);
        out[n] = point_of_crack(pixels, &here, a, b);
        out[n++].crack = i;
    }
    if (pixels->separation->hard_edged) return n;
    n = drop_doubtful(out, n);
    if (!pixels->separation->is_noisy) smooth_long_doubt(out, n, room);
    return n;
}
