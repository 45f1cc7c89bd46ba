// explain.c - see explain.h.
#include "separation/explain.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define BLOCK_PX 16                // not less than the reach of the widest window, 14.8 px
#define SHADE_CODES 8.0            // nearer, it is the label's colour or a thin line's pixel that is nearly that
#define SHARE_SLACK 0.05           // rounding takes a share a little below 0 or above 1
#define COST_PER_PX 3.0            // a farther colour must explain the pixel better by this many codes
#define COST_PER_FOREIGN_SHARE 8.0 // prefers the explanation with less of a colour that is not pure nearby

typedef struct Choice {
    uint8_t label; // LABEL_UNDECIDED: no explanation yet
    double cost;
} Choice;

static Vector minus(Vector a, Vector b)
{
    return (Vector){a.r - b.r, a.g - b.g, a.b - b.b};
}

static double dot(Vector a, Vector b)
{
    return a.r * b.r + a.g * b.g + a.b * b.b;
}

double vector_distance2(Vector a, Vector b)
{
    Vector d = minus(a, b);
    return dot(d, d);
}

// ---- windows ----

static int by_distance(const void *a, const void *b)
{
    const Offset *p = a, *q = b;
    int d = p->dx * p->dx + p->dy * p->dy - (q->dx * q->dx + q->dy * q->dy);
    if (d) return d;
    if (p->dy != q->dy) return p->dy - q->dy;
    return p->dx - q->dx;
}

static void make_offsets(Explainer *e)
{
    int count = 0;
    for (int dy = -WIDEST_WINDOW_PX; dy <= WIDEST_WINDOW_PX; dy++)
        for (int dx = -WIDEST_WINDOW_PX; dx <= WIDEST_WINDOW_PX; dx++)
            if (dx || dy)
                e->offsets[count++] = (Offset){(int16_t)dx, (int16_t)dy, dy * e->picture->width_px + dx,
                                               sqrt((double)(dx * dx + dy * dy))};
    qsort(e->offsets, (size_t)count, sizeof *e->offsets, by_distance);
    for (int r = 1; r <= WIDEST_WINDOW_PX; r++) {
        // A round window that still holds the corners of a 5x5 one for r = 2.
        int limit = r * r + r * r / 2 + 2;
        int n = 0;
        while (n < count && e->offsets[n].dx * e->offsets[n].dx + e->offsets[n].dy * e->offsets[n].dy <= limit) n++;
        e->offsets_within[r] = n;
    }
}

bool explainer_make(const Picture *picture, const Palette *palette, const uint8_t *label, bool for_wide_windows,
                    Arena *arena, Explainer *out, Error *err)
{
    *out = (Explainer){.picture = picture, .palette = palette, .label = label};
    make_offsets(out);
    if (!for_wide_windows) return true;
    out->blocks_across = (picture->width_px + BLOCK_PX - 1) / BLOCK_PX;
    out->blocks_down = (picture->height_px + BLOCK_PX - 1) / BLOCK_PX;
    size_t blocks = (size_t)out->blocks_across * (size_t)out->blocks_down;
    out->around = arena_new(arena, uint64_t, blocks);
    out->is_known = arena_new(arena, bool, blocks);
    return (out->around && out->is_known) || error_memory(err);
}

void explainer_forget(Explainer *e)
{
    if (e->is_known) memset(e->is_known, 0, (size_t)e->blocks_across * (size_t)e->blocks_down * sizeof *e->is_known);
}

static uint64_t colours_around_block(const Explainer *e, int column, int row)
{
    int width = e->picture->width_px, height = e->picture->height_px;
    int x0 = (column - 1) * BLOCK_PX, x1 = (column + 2) * BLOCK_PX;
    int y0 = (row - 1) * BLOCK_PX, y1 = (row + 2) * BLOCK_PX;
    uint64_t colours = 0;
    for (int y = y0 < 0 ? 0 : y0; y < y1 && y < height; y++) {
        const uint8_t *at = e->label + (size_t)y * (size_t)width;
        for (int x = x0 < 0 ? 0 : x0; x < x1 && x < width; x++)
            if (at[x] >= LABEL_FIRST) colours |= (uint64_t)1 << (at[x] - LABEL_FIRST);
    }
    return colours;
}

static uint64_t colours_around(const Explainer *e, uint32_t at)
{
    if (!e->around) return UINT64_MAX;
    int width = e->picture->width_px;
    int column = (int)(at % (uint32_t)width) / BLOCK_PX, row = (int)(at / (uint32_t)width) / BLOCK_PX;
    size_t block = (size_t)row * (size_t)e->blocks_across + (size_t)column;
    if (!e->is_known[block]) {
        e->around[block] = colours_around_block(e, column, row);
        e->is_known[block] = true;
    }
    return e->around[block];
}

NearColours near_none(const Explainer *explainer, uint32_t at)
{
    return (NearColours){.at = at, .around = colours_around(explainer, at)};
}

static bool are_equal(const Picture *p, int64_t a, int64_t b)
{
    int64_t px = (int64_t)p->width_px * p->height_px;
    return b >= 0 && b < px && memcmp(p->rgba + a * 4, p->rgba + b * 4, 4) == 0;
}

// A flat core has neighbours of its value in either direction; a thin line's pixel that was taken for pure has not.
static bool is_flat_at(const Picture *p, size_t at)
{
    int64_t i = (int64_t)at, row = p->width_px;
    return (are_equal(p, i, i - 1) || are_equal(p, i, i + 1)) && (are_equal(p, i, i - row) || are_equal(p, i, i + row));
}

// In a clean picture what is pure has its own value, which may be a shade that counts as the label's colour.
static Vector colour_there(const Explainer *e, size_t at, uint8_t label)
{
    Vector of_label = vector_of_label(e->palette, label);
    if (e->around) return of_label;
    Vector own = vector_of(picture_colour(e->picture, at));
    bool is_shade = vector_distance2(own, of_label) > SHADE_CODES * SHADE_CODES && is_flat_at(e->picture, at);
    return is_shade ? own : of_label;
}

void near_widen(const Explainer *e, int window_px, NearColours *near)
{
    int width = e->picture->width_px, height = e->picture->height_px;
    int x = (int)(near->at % (uint32_t)width), y = (int)(near->at / (uint32_t)width);
    int reach = window_px + window_px / 2 + 1;
    bool is_inside = x >= reach && y >= reach && x < width - reach && y < height - reach;
    if (near->seen == near->around) return;
    for (; near->next < e->offsets_within[window_px] && near->count < MOST_NEAR; near->next++) {
        const Offset *o = &e->offsets[near->next];
        if (!is_inside && (x + o->dx < 0 || y + o->dy < 0 || x + o->dx >= width || y + o->dy >= height)) continue;
        uint8_t label = e->label[(int64_t)near->at + o->delta];
        if (label < LABEL_FIRST || (near->seen >> (label - LABEL_FIRST) & 1)) continue;
        near->seen |= (uint64_t)1 << (label - LABEL_FIRST);
        near->items[near->count++] = (Near){label, o->distance_px, colour_there(e, (size_t)((int64_t)near->at + o->delta), label)};
        if (near->seen == near->around) return;
    }
}

// ---- explanations ----

static void keep_cheaper(Choice *best, uint8_t label, double cost)
{
    if (best->label == LABEL_UNDECIDED || cost < best->cost) *best = (Choice){label, cost};
}

static void try_single(Vector c, const Near *a, double tolerance, Choice *best)
{
    Vector d = minus(c, a->colour);
    double residual = sqrt(dot(d, d));
    if (residual <= tolerance) keep_cheaper(best, a->label, residual + 2.0 * COST_PER_PX * a->distance_px);
}

// c = A + share (B - A): the share of B and the distance from the line; false when c lies beyond an end.
static bool share_on_line(Vector c, Vector a, Vector b, double *share, double *residual)
{
    Vector ab = minus(b, a), ac = minus(c, a);
    double length2 = dot(ab, ab);
    if (length2 == 0.0) return false;
    double t = dot(ac, ab) / length2;
    if (t < -SHARE_SLACK || t > 1.0 + SHARE_SLACK) return false;
    Vector off = {ac.r - t * ab.r, ac.g - t * ab.g, ac.b - t * ab.b};
    *share = t;
    *residual = sqrt(dot(off, off));
    return true;
}

static void try_pair(Vector c, const Near *a, const Near *b, double tolerance, Choice *best)
{
    double share, residual;
    if (!share_on_line(c, a->colour, b->colour, &share, &residual) || residual > tolerance) return;
    keep_cheaper(best, share > 0.5 ? b->label : a->label, residual + COST_PER_PX * (a->distance_px + b->distance_px));
}

// c = A + u (B - A) + v (C - A) by least squares.
static bool shares_in_triangle(Vector c, Vector a, Vector b, Vector d, double share[3], double *residual)
{
    Vector ab = minus(b, a), ad = minus(d, a), ac = minus(c, a);
    double bb = dot(ab, ab), dd = dot(ad, ad), bd = dot(ab, ad), determinant = bb * dd - bd * bd;
    if (determinant <= 1e-6 * bb * dd) return false; // the three lie on one line: pairs say all
    double cb = dot(ac, ab), cd = dot(ac, ad);
    double u = (cb * dd - cd * bd) / determinant, v = (cd * bb - cb * bd) / determinant;
    share[0] = 1.0 - u - v, share[1] = u, share[2] = v;
    for (int i = 0; i < 3; i++)
        if (share[i] < -SHARE_SLACK) return false;
    Vector off = {ac.r - u * ab.r - v * ad.r, ac.g - u * ab.g - v * ad.g, ac.b - u * ab.b - v * ad.b};
    *residual = sqrt(dot(off, off));
    return true;
}

static void try_triple(Vector c, const Near *a, const Near *b, const Near *d, double tolerance, Choice *best)
{
    double share[3], residual;
    if (!shares_in_triangle(c, a->colour, b->colour, d->colour, share, &residual) || residual > tolerance) return;
    uint8_t label = share[0] >= share[1] && share[0] >= share[2] ? a->label
                    : share[1] >= share[2]                       ? b->label
                                                                 : d->label;
    keep_cheaper(best, label, residual + COST_PER_PX * (a->distance_px + b->distance_px + d->distance_px));
}

static Choice explain_by_two(Vector c, const NearColours *near, double tolerance)
{
    Choice best = {LABEL_UNDECIDED, 0.0};
    const Near *n = near->items;
    for (int i = 0; i < near->count; i++) {
        try_single(c, &n[i], tolerance, &best);
        for (int j = i + 1; j < near->count; j++) try_pair(c, &n[i], &n[j], tolerance, &best);
    }
    return best;
}

static Choice explain_by_three(Vector c, const NearColours *near, double tolerance)
{
    Choice best = {LABEL_UNDECIDED, 0.0};
    const Near *n = near->items;
    for (int i = 0; i < near->count; i++)
        for (int j = i + 1; j < near->count; j++)
            for (int k = j + 1; k < near->count; k++) try_triple(c, &n[i], &n[j], &n[k], tolerance, &best);
    return best;
}

uint8_t explain_by_near(Vector colour, const NearColours *near, double tolerance_codes)
{
    Choice best = explain_by_two(colour, near, tolerance_codes);
    return best.label != LABEL_UNDECIDED ? best.label : explain_by_three(colour, near, tolerance_codes).label;
}

static void try_foreign(Vector c, const NearColours *near, const Near *foreign, double tolerance, Choice *best)
{
    double share[3], residual;
    const Near *n = near->items;
    for (int k = 0; k < near->count && k < 2; k++) {
        if (n[k].label == foreign->label) continue;
        if (share_on_line(c, n[k].colour, foreign->colour, &share[1], &residual) && residual <= tolerance)
            keep_cheaper(best, share[1] > 0.5 ? foreign->label : n[k].label,
                         residual + COST_PER_FOREIGN_SHARE * share[1]);
    }
    if (near->count < 2 || n[0].label == foreign->label || n[1].label == foreign->label) return;
    if (!shares_in_triangle(c, n[0].colour, n[1].colour, foreign->colour, share, &residual) || residual > tolerance)
        return;
    uint8_t of_two = share[0] >= share[1] ? n[0].label : n[1].label;
    bool is_foreign = share[2] > share[0] && share[2] > share[1];
    keep_cheaper(best, is_foreign ? foreign->label : of_two, residual + COST_PER_FOREIGN_SHARE * share[2]);
}

uint8_t explain_by_foreign(const Palette *palette, Vector colour, const NearColours *near, double tolerance_codes)
{
    Choice best = {LABEL_UNDECIDED, 0.0};
    for (int i = 0; i < palette->count; i++) {
        uint8_t label = (uint8_t)(LABEL_FIRST + i);
        Near foreign = {label, 0.0, vector_of_label(palette, label)};
        try_foreign(colour, near, &foreign, tolerance_codes, &best);
    }
    return best.label;
}

bool is_explained_with(Vector colour, Vector thin, const NearColours *near, double tolerance_codes)
{
    if (sqrt(vector_distance2(colour, thin)) <= tolerance_codes) return true;
    double share, residual;
    for (int k = 0; k < near->count; k++)
        if (share_on_line(colour, near->items[k].colour, thin, &share, &residual) && residual <= tolerance_codes)
            return true;
    return false;
}
