// label.c - see label.h.
#include "separation/label.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define WIDEST_WINDOW_PX 12
#define WINDOW_OFFSETS ((2 * WIDEST_WINDOW_PX + 1) * (2 * WIDEST_WINDOW_PX + 1))
#define MOST_CANDIDATES 6          // colours considered for one pixel, nearest first
#define SHARE_SLACK 0.05           // rounding takes a share a little below 0 or above 1
#define COST_PER_PX 3.0            // a farther colour must explain the pixel better by this many codes
#define COST_PER_FOREIGN_SHARE 8.0 // prefers the explanation with less of a colour that is not pure nearby
#define EXACT_DE00 2.0
#define EXACT_NOISY_DE00 5.0
#define LOOSE_FACTOR 2.5
#define HARD_EDGED_SHARE 0.05 // fewer blends among the undecided: the picture has no antialiasing
#define SHADED_SHARE 0.1           // of the opaque pixels; flat art leaves far less unexplained, however noisy
#define PX_PER_LOOK 4096      // pixels between two looks at the wish to stop
#define MAP_PX_PER_LOOK ((size_t)1 << 20)
#define THIN_COLOURS_AT_MOST 8
#define THIN_LEAST_PX 24
#define THIN_LEAST_PICTURE_SHARE 0.0001
#define THIN_LEAST_UNEXPLAINED_SHARE 0.2
#define THIN_SAMPLE 2000
#define THIN_CANDIDATES 24

typedef struct Offset {
    int16_t dx, dy;
    int32_t delta; // in the label map
    double distance_px;
} Offset;

typedef struct EdgeLabels {
    const Picture *picture;
    Palette *palette;
    Work *work;
    uint8_t *label;
    size_t px;
    uint32_t *edge; // pixels without a label, in raster order
    uint8_t *found; // the label of each, once found
    size_t edge_count, opaque_px;
    Offset offsets[WINDOW_OFFSETS]; // nearest first
    int offsets_within[WIDEST_WINDOW_PX + 1];
    double tolerance_codes; // greatest distance of a blend from the line between its colours
    double exact_de00;
} EdgeLabels;

typedef struct Vector {
    double r, g, b;
} Vector;

typedef struct Near {
    uint8_t label;
    double distance_px;
    Vector colour;
} Near;

typedef struct Choice {
    uint8_t label; // LABEL_UNDECIDED: no explanation yet
    double cost;
} Choice;

static Vector vector_of(Srgb8 c)
{
    return (Vector){c.r, c.g, c.b};
}

static Vector minus(Vector a, Vector b)
{
    return (Vector){a.r - b.r, a.g - b.g, a.b - b.b};
}

static double dot(Vector a, Vector b)
{
    return a.r * b.r + a.g * b.g + a.b * b.b;
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

static void make_offsets(EdgeLabels *e)
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

// The colours pure within the window, nearest first.
static int find_near(const EdgeLabels *e, uint32_t at, int window_px, Near near[MOST_CANDIDATES])
{
    int width = e->picture->width_px, height = e->picture->height_px;
    int x = (int)(at % (uint32_t)width), y = (int)(at / (uint32_t)width), reach = window_px + window_px / 2 + 1;
    bool is_inside = x >= reach && y >= reach && x < width - reach && y < height - reach;
    uint64_t seen = 0;
    int count = 0;
    for (int i = 0; i < e->offsets_within[window_px] && count < MOST_CANDIDATES; i++) {
        const Offset *o = &e->offsets[i];
        if (!is_inside && (x + o->dx < 0 || y + o->dy < 0 || x + o->dx >= width || y + o->dy >= height)) continue;
        uint8_t label = e->label[(int64_t)at + o->delta];
        if (label < LABEL_FIRST || (seen >> (label - LABEL_FIRST) & 1)) continue;
        seen |= (uint64_t)1 << (label - LABEL_FIRST);
        near[count++] = (Near){label, o->distance_px, vector_of(e->palette->colours[label - LABEL_FIRST].colour)};
    }
    return count;
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

static Choice explain_by_near(Vector c, const Near *near, int count, double tolerance)
{
    Choice best = {LABEL_UNDECIDED, 0.0};
    for (int i = 0; i < count; i++) {
        try_single(c, &near[i], tolerance, &best);
        for (int j = i + 1; j < count; j++) try_pair(c, &near[i], &near[j], tolerance, &best);
    }
    if (best.label != LABEL_UNDECIDED) return best;
    for (int i = 0; i < count; i++)
        for (int j = i + 1; j < count; j++)
            for (int k = j + 1; k < count; k++) try_triple(c, &near[i], &near[j], &near[k], tolerance, &best);
    return best;
}

// One foreign colour from the whole palette, blended with the nearest one or two pure colours.
static Choice explain_by_foreign(const EdgeLabels *e, Vector c, const Near *near, int count, double tolerance)
{
    Choice best = {LABEL_UNDECIDED, 0.0};
    for (int i = 0; i < e->palette->count; i++) {
        Near foreign = {(uint8_t)(LABEL_FIRST + i), 0.0, vector_of(e->palette->colours[i].colour)};
        double share[3], residual;
        for (int k = 0; k < count && k < 2; k++) {
            if (near[k].label == foreign.label) continue;
            if (share_on_line(c, near[k].colour, foreign.colour, &share[1], &residual) && residual <= tolerance)
                keep_cheaper(&best, share[1] > 0.5 ? foreign.label : near[k].label,
                             residual + COST_PER_FOREIGN_SHARE * share[1]);
        }
        if (count < 2 || near[0].label == foreign.label || near[1].label == foreign.label) continue;
        if (!shares_in_triangle(c, near[0].colour, near[1].colour, foreign.colour, share, &residual) ||
            residual > tolerance)
            continue;
        uint8_t of_two = share[0] >= share[1] ? near[0].label : near[1].label;
        bool is_foreign = share[2] > share[0] && share[2] > share[1];
        keep_cheaper(&best, is_foreign ? foreign.label : of_two, residual + COST_PER_FOREIGN_SHARE * share[2]);
    }
    return best;
}

// ---- rounds over the pixels that have no label yet ----

// Colours of half transparent pixels were divided by alpha: their rounding errors grew.
static double tolerance_at(const EdgeLabels *e, uint32_t at)
{
    int alpha = e->picture->rgba[(size_t)at * 4 + 3];
    return e->tolerance_codes * 255.0 / (alpha > OPAQUE_ALPHA ? alpha : OPAQUE_ALPHA);
}

static bool look_at(const EdgeLabels *e, size_t i, Error *err)
{
    return i % PX_PER_LOOK != 0 || work_goes_on(e->work, err);
}

static bool round_by_near(EdgeLabels *e, int window_px, Error *err)
{
    Near near[MOST_CANDIDATES];
    for (size_t i = 0; i < e->edge_count; i++) {
        if (!look_at(e, i, err)) return false;
        if (e->found[i]) continue;
        uint32_t at = e->edge[i];
        int count = find_near(e, at, window_px, near);
        Vector c = vector_of(picture_colour(e->picture, at));
        e->found[i] = explain_by_near(c, near, count, tolerance_at(e, at)).label;
    }
    return true;
}

// Halved colour resolution takes a blend far from its line, but seldom this far.
static bool round_by_near_loosely(EdgeLabels *e, int window_px, Error *err)
{
    double tolerance = e->tolerance_codes;
    e->tolerance_codes = LOOSE_FACTOR * tolerance;
    bool good = round_by_near(e, window_px, err);
    e->tolerance_codes = tolerance;
    return good;
}

static bool round_by_foreign(EdgeLabels *e, int window_px, Error *err)
{
    Near near[MOST_CANDIDATES];
    for (size_t i = 0; i < e->edge_count; i++) {
        if (!look_at(e, i, err)) return false;
        if (e->found[i]) continue;
        uint32_t at = e->edge[i];
        int count = find_near(e, at, window_px, near);
        Vector c = vector_of(picture_colour(e->picture, at));
        e->found[i] = explain_by_foreign(e, c, near, count, tolerance_at(e, at)).label;
    }
    return true;
}

// Pixels of a palette's own colour that no blend explains: thin lines and tips. They become pure for later rounds.
static bool round_by_exact(EdgeLabels *e, Error *err)
{
    ArenaMark mark = arena_mark(&e->work->scratch);
    ShadeCache *cache = arena_new(&e->work->scratch, ShadeCache, 1);
    if (!cache) return error_memory(err);
    for (size_t i = 0; i < e->edge_count; i++) {
        if (!look_at(e, i, err)) return false;
        if (e->found[i]) continue;
        int index = palette_find_cached(cache, e->palette, picture_colour(e->picture, e->edge[i]), e->exact_de00);
        if (index >= 0) e->found[i] = (uint8_t)(LABEL_FIRST + index);
    }
    arena_rewind(&e->work->scratch, mark);
    return true;
}

// Writes what is found of the exact round (those found since `before` was taken) into the map, as pure colour.
static void write_found(EdgeLabels *e, const uint8_t *before)
{
    for (size_t i = 0; i < e->edge_count; i++)
        if (e->found[i] && !(before && before[i])) e->label[e->edge[i]] = e->found[i];
}

// Noise reaches farther than antialiasing, and a blend in it may look exactly like a third colour: there all windows
// are tried before a pixel is believed to be what it looks like.
static bool explain_all(EdgeLabels *e, bool is_noisy, Error *err)
{
    ArenaMark mark = arena_mark(&e->work->scratch);
    int window = is_noisy ? 4 : 2;
    if (!round_by_near(e, window, err)) return false;
    if (is_noisy && !(round_by_near(e, 8, err) && round_by_near_loosely(e, 8, err) &&
                      round_by_near(e, WIDEST_WINDOW_PX, err) && round_by_near_loosely(e, WIDEST_WINDOW_PX, err)))
        return false;
    uint8_t *before = arena_copy(&e->work->scratch, e->found, e->edge_count, 1);
    if (!before) return error_memory(err);
    if (!round_by_exact(e, err)) return false;
    write_found(e, before);
    arena_rewind(&e->work->scratch, mark);
    return round_by_near(e, window, err) && round_by_near(e, window + 2, err) && round_by_near(e, window + 4, err) &&
           round_by_foreign(e, window + 4, err);
}

// ---- colours that live in thin lines alone ----

typedef struct Shade {
    uint32_t value;
    int32_t count;
} Shade;

static int by_value(const void *a, const void *b)
{
    uint32_t p = *(const uint32_t *)a, q = *(const uint32_t *)b;
    return p < q ? -1 : p > q;
}

static int by_count(const void *a, const void *b)
{
    const Shade *p = a, *q = b;
    if (p->count != q->count) return p->count > q->count ? -1 : 1;
    return p->value < q->value ? -1 : p->value > q->value;
}

static Srgb8 colour_of_value(uint32_t value)
{
    return (Srgb8){(uint8_t)(value >> 16), (uint8_t)(value >> 8), (uint8_t)value};
}

// The unexplained pixels' colours, most frequent first.
static bool count_shades(EdgeLabels *e, Shade **out, size_t *out_count, size_t *unexplained, Error *err)
{
    uint32_t *values = arena_new(&e->work->scratch, uint32_t, e->edge_count);
    if (!values) return error_memory(err);
    size_t n = 0, shade_count = 0;
    for (size_t i = 0; i < e->edge_count; i++) {
        if (e->found[i]) continue;
        Srgb8 c = picture_colour(e->picture, e->edge[i]);
        values[n++] = (uint32_t)c.r << 16 | (uint32_t)c.g << 8 | c.b;
    }
    qsort(values, n, sizeof *values, by_value);
    Shade *shades = arena_new(&e->work->scratch, Shade, n);
    if (!shades) return error_memory(err);
    for (size_t i = 0; i < n; i++) {
        if (!i || values[i] != values[i - 1]) shades[shade_count++].value = values[i];
        shades[shade_count - 1].count++;
    }
    qsort(shades, shade_count, sizeof *shades, by_count);
    *out = shades, *out_count = shade_count, *unexplained = n;
    return true;
}

// How many of the sampled unexplained pixels are this colour, or a blend of it with one that is pure nearby.
static int count_explained(EdgeLabels *e, Srgb8 colour, size_t step)
{
    int explained = 0;
    size_t seen = 0;
    Near near[MOST_CANDIDATES];
    for (size_t i = 0; i < e->edge_count; i++) {
        if (e->found[i] || seen++ % step) continue;
        uint32_t at = e->edge[i];
        int count = find_near(e, at, 4, near);
        Vector c = vector_of(picture_colour(e->picture, at)), thin = vector_of(colour), d = minus(c, thin);
        bool good = sqrt(dot(d, d)) <= e->tolerance_codes;
        double share, residual;
        for (int k = 0; k < count && !good; k++)
            good = share_on_line(c, near[k].colour, thin, &share, &residual) && residual <= e->tolerance_codes;
        explained += good;
    }
    return explained;
}

// Adds the colour that explains most of what is unexplained; *added tells whether there was one.
static bool add_thin_colour(EdgeLabels *e, bool *added, Error *err)
{
    *added = false;
    ArenaMark mark = arena_mark(&e->work->scratch);
    Shade *shades = NULL;
    size_t shade_count = 0, unexplained = 0;
    if (!count_shades(e, &shades, &shade_count, &unexplained, err)) return false;
    double least_px = THIN_LEAST_PICTURE_SHARE * (double)e->px;
    if (least_px < THIN_LEAST_PX) least_px = THIN_LEAST_PX;
    size_t step = unexplained / THIN_SAMPLE + 1;
    Srgb8 best = {0};
    int best_explained = 0;
    for (size_t i = 0; i < shade_count && i < THIN_CANDIDATES; i++) {
        if (!work_goes_on(e->work, err)) return false;
        if (shades[i].count * 4 < THIN_LEAST_PX) break; // a colour of its own shows itself unblended somewhere
        int explained = count_explained(e, colour_of_value(shades[i].value), step);
        if (explained > best_explained) best_explained = explained, best = colour_of_value(shades[i].value);
    }
    arena_rewind(&e->work->scratch, mark);
    double explained_px = (double)best_explained * (double)step;
    if (explained_px < least_px || explained_px < THIN_LEAST_UNEXPLAINED_SHARE * (double)unexplained) return true;
    if (e->palette->count == SEPARATION_MAX_COLOURS) return true;
    e->palette->colours[e->palette->count++] = (PaletteColour){best, lab_from_srgb8(best), 0};
    *added = true;
    return true;
}

// ---- growing ----

static double colour_distance2(const EdgeLabels *e, uint32_t at, uint8_t label)
{
    Vector d =
        minus(vector_of(picture_colour(e->picture, at)), vector_of(e->palette->colours[label - LABEL_FIRST].colour));
    return dot(d, d);
}

static uint8_t best_neighbour(const EdgeLabels *e, uint32_t at)
{
    uint32_t width = (uint32_t)e->picture->width_px, x = at % width;
    uint8_t best = LABEL_UNDECIDED;
    double best_distance2 = INFINITY;
    const int64_t beside[4] = {at >= width ? (int64_t)at - width : -1, x > 0 ? (int64_t)at - 1 : -1,
                               x + 1 < width ? (int64_t)at + 1 : -1,
                               (size_t)at + width < e->px ? (int64_t)at + width : -1};
    for (int i = 0; i < 4; i++) {
        if (beside[i] < 0 || e->label[beside[i]] < LABEL_FIRST) continue;
        double distance2 = colour_distance2(e, at, e->label[beside[i]]);
        if (distance2 < best_distance2) best_distance2 = distance2, best = e->label[beside[i]];
    }
    return best;
}

static uint8_t nearest_in_palette(const EdgeLabels *e, uint32_t at)
{
    uint8_t best = LABEL_CLEAR;
    double best_distance2 = INFINITY;
    for (int i = 0; i < e->palette->count; i++) {
        double distance2 = colour_distance2(e, at, (uint8_t)(LABEL_FIRST + i));
        if (distance2 < best_distance2) best_distance2 = distance2, best = (uint8_t)(LABEL_FIRST + i);
    }
    return best;
}

// Rounds of breadth: what touches a label gets one, all of a round at once; islands that touch none get the nearest.
static bool grow(EdgeLabels *e, Error *err)
{
    size_t left = 0;
    for (size_t i = 0; i < e->edge_count; i++)
        if (!e->found[i]) e->edge[left++] = e->edge[i];
    while (left) {
        size_t still = 0;
        for (size_t i = 0; i < left; i++) {
            if (!look_at(e, i, err)) return false;
            e->found[i] = best_neighbour(e, e->edge[i]);
        }
        for (size_t i = 0; i < left; i++) {
            if (e->found[i])
                e->label[e->edge[i]] = e->found[i];
            else
                e->edge[still++] = e->edge[i];
        }
        if (still == left) break;
        left = still;
    }
    for (size_t i = 0; i < left; i++) e->label[e->edge[i]] = nearest_in_palette(e, e->edge[i]);
    return true;
}

// ---- the whole ----

static bool list_edge_pixels(EdgeLabels *e, Error *err)
{
    size_t count = 0;
    for (size_t i = 0; i < e->px; i++) {
        if (i % MAP_PX_PER_LOOK == 0 && !work_goes_on(e->work, err)) return false;
        count += e->label[i] == LABEL_UNDECIDED;
        e->opaque_px += e->label[i] != LABEL_CLEAR;
    }
    e->edge = arena_new(&e->work->scratch, uint32_t, count);
    e->found = arena_new(&e->work->scratch, uint8_t, count);
    if (!e->edge || !e->found) return error_memory(err);
    for (size_t i = 0, looks = 0; i < e->px; i++) {
        if (++looks % MAP_PX_PER_LOOK == 0 && !work_goes_on(e->work, err)) return false;
        const uint8_t *next = memchr(e->label + i, LABEL_UNDECIDED, e->px - i);
        if (!next) break;
        i = (size_t)(next - e->label);
        if (e->picture->rgba[i * 4 + 3] < OPAQUE_ALPHA)
            e->label[i] = LABEL_CLEAR, e->opaque_px--;
        else
            e->edge[e->edge_count++] = (uint32_t)i;
    }
    return work_goes_on(e->work, err);
}

static bool count_blends(EdgeLabels *e, int64_t *blends, Error *err)
{
    ArenaMark mark = arena_mark(&e->work->scratch);
    ShadeCache *cache = arena_new(&e->work->scratch, ShadeCache, 1);
    if (!cache) return error_memory(err);
    *blends = 0;
    for (size_t i = 0; i < e->edge_count; i++) {
        if (!look_at(e, i, err)) return false;
        *blends += palette_find_cached(cache, e->palette, picture_colour(e->picture, e->edge[i]), e->exact_de00) < 0;
    }
    arena_rewind(&e->work->scratch, mark);
    return true;
}

// Without antialiasing every pixel has its own colour, however thin the shape.
static bool take_exact_when_hard(EdgeLabels *e, Error *err)
{
    int64_t blend_px;
    if (!count_blends(e, &blend_px, err)) return false;
    if ((double)blend_px >= HARD_EDGED_SHARE * (double)e->edge_count) return true;
    if (!round_by_exact(e, err)) return false;
    write_found(e, NULL);
    return true;
}

static bool is_shaded(const EdgeLabels *e)
{
    size_t unexplained = 0;
    for (size_t i = 0; i < e->edge_count; i++) unexplained += !e->found[i];
    return (double)unexplained > SHADED_SHARE * (double)e->opaque_px;
}

bool label_edges(const Picture *picture, bool is_noisy, Palette *palette, Work *work, uint8_t *label, LabelStats *stats,
                 Error *err)
{
    *stats = (LabelStats){0};
    ArenaMark mark = arena_mark(&work->scratch);
    EdgeLabels *e = arena_new(&work->scratch, EdgeLabels, 1);
    if (!e) return error_memory(err);
    e->picture = picture, e->palette = palette, e->work = work, e->label = label;
    e->px = (size_t)picture->width_px * (size_t)picture->height_px;
    e->tolerance_codes = is_noisy ? 20.0 : 6.0;
    e->exact_de00 = is_noisy ? EXACT_NOISY_DE00 : EXACT_DE00;
    make_offsets(e);
    if (!list_edge_pixels(e, err)) return false;
    if (!take_exact_when_hard(e, err) || !explain_all(e, is_noisy, err)) return false;
    for (bool added = !is_noisy; added && stats->thin_colours < THIN_COLOURS_AT_MOST;) {
        if (!add_thin_colour(e, &added, err)) return false;
        if (!added) break;
        stats->thin_colours++;
        if (!explain_all(e, is_noisy, err)) return false;
    }
    if (!count_blends(e, &stats->blend_px, err)) return false;
    stats->is_shaded = is_shaded(e);
    if (!stats->is_shaded) write_found(e, NULL);
    if (!stats->is_shaded && !grow(e, err)) return false;
    arena_rewind(&work->scratch, mark);
    return true;
}
