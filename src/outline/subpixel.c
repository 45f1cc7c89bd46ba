// subpixel.c - see subpixel.h.
#include "outline/subpixel.h"

#include <math.h>
#include <stdlib.h>

#define WALK_PX 4               // a wider blend is a soft gradient, not an edge
#define STEEP_REACH 3           // cracks each side that tell the edge's direction
#define OFF_LINE_CODES 6.0      // distance of a blend from the line between its colours (measured on clean PNGs)
#define OFF_LINE_NOISY 20.0     // the same with compression noise
#define OFF_LINE_SHARE 0.06     // far colours may be off by more: the share of coverage it can hide stays small
#define PURE_SHARE 0.03         // less of the other colour than this counts as none
#define PURE_CODES 10.0         // near twins of a colour are pure as well
#define THIRD_MOST_SHARE 0.4    // of a colour that shines through; more is a line of its own
#define SMOOTH_LEAST 16         // doubtful points in a row that are smoothed; fewer say where a corner is
#define SMOOTH_REACH 4
#define SMOOTH_ROUNDS 2
#define DROPPED_RUN 3           // doubtful points in a row that are left out; more are kept with their doubt

Pixels subpixel_prepare(const Picture *picture, const Separation *separation)
{
    Pixels pixels = {.picture = picture, .separation = separation};
    for (int label = 0; label <= separation->colour_count; label++) {
        if (label == 0 && !separation->has_ground_colour) continue;
        Srgb8 c = label ? separation->colours[label - 1].colour : separation->ground_colour;
        double *to = pixels.colour[label];
        to[0] = c.r, to[1] = c.g, to[2] = c.b, to[3] = 255.0;
    }
    return pixels;
}

static int label_at(const Pixels *pixels, int x, int y)
{
    const Separation *s = pixels->separation;
    if (x < 0 || y < 0 || x >= s->width_px || y >= s->height_px) return -1;
    return s->label[(size_t)y * (size_t)s->width_px + (size_t)x];
}

typedef struct Blend {      // the line between the colours of the two sides
    const double *from;
    double axis[4];
    double length2;
    double allowed2;        // squared distance from the line
    double pure2;
} Blend;

static Blend blend_between(const Pixels *pixels, int from, int to)
{
    Blend b = {.from = pixels->colour[from]};
    for (int k = 0; k < 4; k++) {
        b.axis[k] = pixels->colour[to][k] - b.from[k];
        b.length2 += b.axis[k] * b.axis[k];
    }
    bool noisy = pixels->separation->is_noisy;
    double l = sqrt(b.length2);
    double allowed = fmax(noisy ? OFF_LINE_NOISY : OFF_LINE_CODES, fmin(OFF_LINE_SHARE * l, OFF_LINE_NOISY));
    double pure = fmax(PURE_SHARE * l, fmin(noisy ? 2.0 * PURE_CODES : PURE_CODES, 0.15 * l));
    b.allowed2 = allowed * allowed;
    b.pure2 = pure * pure;
    return b;
}

static void read_pixel(const Pixels *pixels, int x, int y, double out[4])
{
    const uint8_t *p = pixels->picture->rgba + 4 * ((size_t)y * (size_t)pixels->picture->width_px + (size_t)x);
    double alpha = p[3] / 255.0;
    for (int k = 0; k < 3; k++) out[k] = p[k] * alpha;
    out[3] = p[3];
}

// A third colour shows through where one shape was drawn over another one's edge: neither side of this edge alone. Shares of
// the two and of `third` by least squares; false when these three do not explain the pixel.
static bool shares_with_third(const Blend *blend, const double d[4], const double *third, double *share, double *of_third)
{
    double aa = blend->length2, at = 0, tt = 0, da = 0, dt = 0;
    for (int k = 0; k < 4; k++) {
        double t = third[k] - blend->from[k];
        at += blend->axis[k] * t, tt += t * t, da += d[k] * blend->axis[k], dt += d[k] * t;
    }
    double determinant = aa * tt - at * at;
    if (determinant <= 1e-3 * aa * tt) return false;
    double u = (da * tt - dt * at) / determinant, v = (dt * aa - da * at) / determinant, off2 = 0;
    if (u < -0.05 || v < 0 || u + v > 1.05 || v > THIRD_MOST_SHARE) return false;
    for (int k = 0; k < 4; k++) {
        double off = d[k] - u * blend->axis[k] - v * (third[k] - blend->from[k]);
        off2 += off * off;
    }
    *share = u;
    *of_third = v;
    return off2 <= blend->allowed2;
}

// The least of any third colour that explains the pixel. Which of the two it was drawn over cannot be seen: half each.
static bool share_beside_third(const Pixels *pixels, const Blend *blend, const double d[4], double *share, double *doubt)
{
    double least = INFINITY;
    for (int label = 0; label <= pixels->separation->colour_count; label++) {
        double u, v;
        if (!shares_with_third(blend, d, pixels->colour[label], &u, &v) || v >= least) continue;
        least = v;
        u += v / 2;
        *share = u < 0.0 ? 0.0 : u > 1.0 ? 1.0 : u;
        *doubt = v / 2;
    }
    return least < INFINITY;
}

// Share (0..1) of the other colour in a pixel, and how far that may be off; false when the pixel is no blend of the two, nor
// nearly one.
static bool share_of(const Pixels *pixels, const Blend *blend, int x, int y, double *share, double *doubt, bool *is_pure)
{
    double d[4], along = 0.0, distance2 = 0.0;
    read_pixel(pixels, x, y, d);
    for (int k = 0; k < 4; k++) {
        d[k] -= blend->from[k];
        along += d[k] * blend->axis[k];
        distance2 += d[k] * d[k];
    }
    *is_pure = distance2 <= blend->pure2;
    *doubt = 0.0;
    double t = along / blend->length2, off2 = distance2 - t * along;
    *share = t < 0.0 ? 0.0 : t > 1.0 ? 1.0 : t;
    if (*is_pure || (off2 <= blend->allowed2 && t >= -0.1 && t <= 1.1)) return true;
    return !pixels->separation->is_noisy && share_beside_third(pixels, blend, d, share, doubt);
}

bool subpixel_share(const Pixels *pixels, int from, int to, int x, int y, double *share)
{
    const Separation *s = pixels->separation;
    if (x < 0 || y < 0 || x >= s->width_px || y >= s->height_px) return false;
    Blend blend = blend_between(pixels, from, to);
    double doubt;
    bool is_pure;
    return share_of(pixels, &blend, x, y, share, &doubt, &is_pure);
}

// Sum of the other colour's shares on one side of a crack: the pixels from (x, y) on in steps of (dx, dy), of label
// `own`, up to a pure one. Where another label comes first, what is in between is shared by both its edges: half.
static bool sum_side(const Pixels *pixels, int own, int other, int x, int y, int dx, int dy, double *out, double *doubt)
{
    Blend blend = blend_between(pixels, own, other);
    double shares[WALK_PX];
    int n = 0;
    bool is_pure = false, ok = true, is_thin = false;
    *out = 0.0;
    while (n < WALK_PX && !is_pure && ok) {
        int label = label_at(pixels, x + n * dx, y + n * dy);
        if (label != own) {
            is_thin = label >= 0;
            break;
        }
        double unsure;
        ok = share_of(pixels, &blend, x + n * dx, y + n * dy, &shares[n], &unsure, &is_pure);
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

// The point of crack `i` of an arc; `from` and `to` are its ends.
static EdgePoint point_of_crack(const Pixels *pixels, Cell from, Cell to)
{
    int dx = to.x - from.x, dy = to.y - from.y;
    EdgePoint point = {{(from.x + to.x) / 2.0, (from.y + to.y) / 2.0}, HARD_EDGE_SLACK_PX, 0};
    int px = from.x + (dx < 0 ? -1 : 0), py = from.y + (dy < 0 ? -1 : 0); // pixel south-east of the crack's least corner
    // a traveller going (dx, dy) has the left side at (dy, -dx)
    int left_x = px, left_y = py, right_x = px, right_y = py;
    if (dx > 0) left_y -= 1;
    else if (dx < 0) right_y -= 1;
    else if (dy > 0) right_x -= 1;
    else left_x -= 1;
    int left = label_at(pixels, left_x, left_y), right = label_at(pixels, right_x, right_y);
    if (left < 0 || right < 0) { // the picture ends here, whatever the pixels say
        point.slack_px = 0.0;
        return point;
    }
    if (pixels->separation->hard_edged) return point;
    if (is_repainted(pixels->separation, left_x, left_y) || is_repainted(pixels->separation, right_x, right_y)) return point;
    double in_left, in_right, doubt = 0.0; // right's colour on the left side and the reverse
    if (!sum_side(pixels, left, right, left_x, left_y, dy, -dx, &in_left, &doubt)) return point;
    if (!sum_side(pixels, right, left, right_x, right_y, -dy, dx, &in_right, &doubt)) return point;
    double shift = in_right - in_left; // towards the right side
    if (shift > 1.0 || shift < -1.0) return point;
    point.at.x += -dy * shift;
    point.at.y += dx * shift;
    point.slack_px = doubt < HARD_EDGE_SLACK_PX ? doubt : HARD_EDGE_SLACK_PX;
    return point;
}

static Cell corner_of(const CrackMap *map, const CrackArc *arc, int i)
{
    if (arc->is_loop) i = (i % arc->count + arc->count) % arc->count;
    else i = i < 0 ? 0 : i > arc->count ? arc->count : i;
    return map->corners[arc->first + i];
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

int subpixel_points(const Pixels *pixels, const CrackMap *map, const CrackArc *arc, Vec *room, EdgePoint *out)
{
    int n = 0, reach = STEEP_REACH;
    bool all = arc->count <= 8; // too short to have a direction
    for (int i = 0; i < arc->count; i++) {
        Cell a = corner_of(map, arc, i), b = corner_of(map, arc, i + 1);
        Cell before = corner_of(map, arc, i - reach), after = corner_of(map, arc, i + 1 + reach);
        int dx = abs(after.x - before.x), dy = abs(after.y - before.y);
        bool is_vertical = a.x == b.x;
        // at 45 degrees both kinds serve, and the middle crack's own step must not decide
        if (!all && (is_vertical ? dy + 1 < dx : dx + 1 < dy)) continue;
        out[n] = point_of_crack(pixels, a, b);
        out[n++].crack = i;
    }
    if (pixels->separation->hard_edged) return n;
    n = drop_doubtful(out, n);
    if (!pixels->separation->is_noisy) smooth_long_doubt(out, n, room);
    return n;
}
