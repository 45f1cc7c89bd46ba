// blend.c - see blend.h.
#include "outline/blend.h"

#include "separation/colour.h"

#include <math.h>

#define OFF_LINE_CODES 6.0      // distance of a blend from the line between its colours (measured on clean PNGs)
#define OFF_LINE_NOISY 20.0     // the same with compression noise
#define OFF_LINE_SHARE 0.06     // far colours may be off by more: the share of coverage it can hide stays small
#define PURE_SHARE 0.03         // less of the other colour than this counts as none
#define PURE_CODES 10.0         // near twins of a colour are pure as well
#define THIRD_MOST_SHARE 0.4    // of a colour that shines through; more is a line of its own

static double channel(const Pixels *pixels, uint8_t value)
{
    return pixels->in_light ? 255.0 * linear_from_srgb8(value) : value;
}

Pixels blend_prepare(const Picture *picture, const Separation *separation, bool in_light)
{
    Pixels pixels = {.picture = picture, .separation = separation, .in_light = in_light};
    for (int label = 0; label <= separation->colour_count; label++) {
        if (label == 0 && !separation->has_ground_colour) continue;
        Srgb8 c = label ? separation->colours[label - 1].colour : separation->ground_colour;
        double *to = pixels.colour[label];
        to[0] = channel(&pixels, c.r), to[1] = channel(&pixels, c.g), to[2] = channel(&pixels, c.b), to[3] = 255.0;
    }
    return pixels;
}

int blend_label(const Pixels *pixels, int x, int y)
{
    const Separation *s = pixels->separation;
    if (x < 0 || y < 0 || x >= s->width_px || y >= s->height_px) return -1;
    return s->label[(size_t)y * (size_t)s->width_px + (size_t)x];
}

Blend blend_between(const Pixels *pixels, int from_label, int to_label)
{
    Blend b = {.from = pixels->colour[from_label]};
    for (int k = 0; k < 4; k++) {
        b.axis[k] = pixels->colour[to_label][k] - b.from[k];
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
    for (int k = 0; k < 3; k++) out[k] = channel(pixels, p[k]) * alpha;
    out[3] = p[3];
}

static double within_1(double share)
{
    return share < 0.0 ? 0.0 : share > 1.0 ? 1.0 : share;
}

// Shares of the two and of `third`; false when these three do not explain the pixel, which lies at d from the line's start.
static bool shares_with(const Blend *blend, const double d[4], const double *third, Shares *out)
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
    out->other = u;
    out->third = v;
    return off2 <= blend->allowed2;
}

static bool shares_with_least(const Pixels *pixels, const Blend *blend, const double d[4], Shares *out)
{
    double least = INFINITY;
    for (int label = 0; label <= pixels->separation->colour_count; label++) {
        Shares s;
        if (!shares_with(blend, d, pixels->colour[label], &s) || s.third >= least) continue;
        least = s.third;
        out->other = s.other, out->third = s.third, out->third_label = label;
    }
    return least < INFINITY;
}

bool blend_shares(const Pixels *pixels, const Blend *blend, int third_label, int x, int y, Shares *out)
{
    double d[4], along = 0.0, distance2 = 0.0;
    if (blend->length2 <= 0.0) return false; // ground and an area of its colour: nothing tells them apart
    read_pixel(pixels, x, y, d);
    for (int k = 0; k < 4; k++) {
        d[k] -= blend->from[k];
        along += d[k] * blend->axis[k];
        distance2 += d[k] * d[k];
    }
    double t = along / blend->length2, off2 = distance2 - t * along;
    Shares plain = {within_1(t), 0.0, -1, distance2 <= blend->pure2, off2 > OFF_LINE_CODES * OFF_LINE_CODES};
    *out = plain;
    if (!out->is_pure && third_label >= 0 && shares_with(blend, d, pixels->colour[third_label], out)) {
        out->third_label = third_label;
        return true;
    }
    *out = plain;
    if (out->is_pure || (off2 <= blend->allowed2 && t >= -0.1 && t <= 1.1)) return true;
    return !pixels->separation->is_noisy && shares_with_least(pixels, blend, d, out);
}

bool blend_three(const Pixels *pixels, const Blend *blend, int third_label, int x, int y, Shares *out)
{
    double d[4];
    read_pixel(pixels, x, y, d);
    for (int k = 0; k < 4; k++) d[k] -= blend->from[k];
    *out = (Shares){.third_label = third_label};
    return shares_with(blend, d, pixels->colour[third_label], out);
}

Sides blend_sides(Cell from, Cell to)
{
    int dx = to.x - from.x, dy = to.y - from.y;
    Cell p = {from.x + (dx < 0 ? -1 : 0), from.y + (dy < 0 ? -1 : 0)}; // pixel south-east of the crack's least corner
    Sides s = {p, p};
    // a traveller going (dx, dy) has the left side at (dy, -dx)
    if (dx > 0) s.left.y -= 1;
    else if (dx < 0) s.right.y -= 1;
    else if (dy > 0) s.right.x -= 1;
    else s.left.x -= 1;
    return s;
}
