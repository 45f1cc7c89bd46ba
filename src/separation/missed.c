// missed.c - see missed.h.
#include "separation/missed.h"

#include "separation/runs.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define ROWS_PER_LOOK 16
#define PARTS_PER_LOOK 64
#define FAR_CODES 64        // from a label's colour, in all three channels together
#define LEAST_INNER_PX 6    // middles of patches; what edges leave has fewer
#define LEAST_PX 20         // of an area
#define BLEND_CODES 26.0    // from the line between two colours
#define HALO_LUMA_CODES 16.0
#define SAME_DE00 10.0      // as a colour of the palette
#define BESIDE_PX 6         // to the colours of which a blend would be
#define MOST_SIDE_PX 300    // of what is small
#define MOST_GROWTH 64      // times its inner pixels: more, and it is no small area

typedef struct Searcher {
    const Picture *picture;
    Work *work;
    Palette *palette;
    uint8_t *label;
    uint8_t *far_px; // 1 = far from its label's colour, 2 = and so is all round it
} Searcher;

static int64_t distance2(const uint8_t *p, Srgb8 c)
{
    int r = p[0] - c.r, g = p[1] - c.g, b = p[2] - c.b;
    return r * r + g * g + b * b;
}

static bool mark_far(Searcher *s, Error *err)
{
    int width = s->picture->width_px, height = s->picture->height_px;
    for (int y = 0; y < height; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(s->work, err)) return false;
        for (size_t at = (size_t)y * (size_t)width, end = at + (size_t)width; at < end; at++)
            if (s->label[at] >= LABEL_FIRST)
                s->far_px[at] = distance2(s->picture->rgba + at * 4, s->palette->colours[s->label[at] - LABEL_FIRST].colour) > FAR_CODES * FAR_CODES;
    }
    return true;
}

static bool is_inner(const uint8_t *far_px, size_t at, size_t width)
{
    for (int k = 0; k < 9; k++)
        if (!far_px[at + (size_t)(k / 3) * width + (size_t)(k % 3) - width - 1]) return false;
    return true;
}

// To 2; the pixels at the frame have no patch.
static bool mark_inner(Searcher *s, Error *err)
{
    size_t width = (size_t)s->picture->width_px, height = (size_t)s->picture->height_px;
    for (size_t y = 1; y + 1 < height; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(s->work, err)) return false;
        for (size_t at = y * width + 1; at + 1 < (y + 1) * width; at++)
            if (s->far_px[at] && is_inner(s->far_px, at, width)) s->far_px[at] = 2;
    }
    return true;
}

// ---- is it a blend? ----

static void way_between(Srgb8 a, Srgb8 b, Srgb8 c, double ab[3], double ac[3], double *t)
{
    const double from[3] = {a.r, a.g, a.b}, to[3] = {b.r, b.g, b.b}, at[3] = {c.r, c.g, c.b};
    double length2 = 0.0, dot = 0.0;
    for (int i = 0; i < 3; i++) ab[i] = to[i] - from[i], ac[i] = at[i] - from[i], length2 += ab[i] * ab[i], dot += ab[i] * ac[i];
    *t = length2 > 0.0 ? fmin(fmax(dot / length2, 0.0), 1.0) : 0.0;
}

static double luma_of(const double rgb[3])
{
    return 0.299 * rgb[0] + 0.587 * rgb[1] + 0.114 * rgb[2];
}

// On the line between two colours; or with the lightness of one and a colour difference on the way to the other's, as halved
// colour resolution smears it.
static bool is_blend(Srgb8 a, Srgb8 b, Srgb8 c)
{
    double ab[3], ac[3], t, off2 = 0.0, smeared2 = 0.0, tinted = 0.0, whole = 0.0;
    way_between(a, b, c, ab, ac, &t);
    for (int i = 0; i < 3; i++) off2 += (ac[i] - t * ab[i]) * (ac[i] - t * ab[i]);
    if (off2 < BLEND_CODES * BLEND_CODES) return true;
    double light_ab = luma_of(ab), light_ac = luma_of(ac);
    if (fabs(light_ac) > HALO_LUMA_CODES) return false;
    for (int i = 0; i < 3; i++) tinted += (ab[i] - light_ab) * (ac[i] - light_ac), whole += (ab[i] - light_ab) * (ab[i] - light_ab);
    t = whole > 0.0 ? fmin(fmax(tinted / whole, 0.0), 1.0) : 0.0;
    for (int i = 0; i < 3; i++) {
        double off = ac[i] - light_ac - t * (ab[i] - light_ab);
        smeared2 += off * off;
    }
    return smeared2 < BLEND_CODES * BLEND_CODES;
}

// Which colours lie round a part? Orange is a blend of red and yellow, but not where neither is.
static void find_near(const Searcher *s, const Part *part, bool near[SEPARATION_MAX_COLOURS])
{
    int width = s->picture->width_px, height = s->picture->height_px;
    memset(near, 0, SEPARATION_MAX_COLOURS * sizeof *near);
    for (int y = part->y0 - BESIDE_PX; y < part->y1 + BESIDE_PX; y++)
        for (int x = part->x0 - BESIDE_PX; x < part->x1 + BESIDE_PX; x++) {
            if (x < 0 || y < 0 || x >= width || y >= height) continue;
            size_t at = (size_t)y * (size_t)width + (size_t)x;
            if (s->label[at] >= LABEL_FIRST) near[s->label[at] - LABEL_FIRST] = true;
        }
}

static bool is_any_blend(const Searcher *s, const Part *part, Srgb8 c, int except)
{
    bool near[SEPARATION_MAX_COLOURS];
    find_near(s, part, near);
    for (int i = 0; i < s->palette->count; i++)
        for (int k = 0; k < s->palette->count; k++)
            if (near[i] && near[k] && i != k && i != except && k != except && is_blend(s->palette->colours[i].colour, s->palette->colours[k].colour, c)) return true;
    return false;
}

// ---- areas ----

static uint8_t median_of(int histogram[256], int count)
{
    int below = 0, v = 0;
    while (below + histogram[v] < (count + 1) / 2) below += histogram[v++];
    return (uint8_t)v;
}

static Srgb8 colour_of_area(const Searcher *s, const Runs *runs, const Part *part)
{
    int histogram[3][256] = {{0}};
    for (int32_t i = part->first_run; i >= 0; i = runs->runs[i].next) {
        size_t row = (size_t)runs_row_of(runs, i) * (size_t)s->picture->width_px;
        for (int32_t x = runs->runs[i].x0; x < runs->runs[i].x1; x++)
            for (int c = 0; c < 3; c++) histogram[c][s->picture->rgba[(row + (size_t)x) * 4 + (size_t)c]]++;
    }
    int count = (int)part->area_px;
    return (Srgb8){median_of(histogram[0], count), median_of(histogram[1], count), median_of(histogram[2], count)};
}

typedef struct Area { size_t *at; uint8_t *before; size_t count, most; } Area;

static void take_px(Searcher *s, Area *a, size_t at, uint8_t label)
{
    if (a->count == a->most) return;
    a->before[a->count] = s->label[at];
    a->at[a->count++] = at;
    s->label[at] = label;
}

static bool is_nearer(const Searcher *s, size_t at, Srgb8 colour)
{
    const uint8_t *p = s->picture->rgba + at * 4;
    return s->label[at] >= LABEL_FIRST && distance2(p, colour) < distance2(p, s->palette->colours[s->label[at] - LABEL_FIRST].colour);
}

// From the inner pixels outwards over all that is nearer to the colour than to its label's.
static void grow(Searcher *s, const Runs *runs, const Part *part, Srgb8 colour, uint8_t label, Area *a)
{
    size_t width = (size_t)s->picture->width_px, height = (size_t)s->picture->height_px;
    for (int32_t i = part->first_run; i >= 0; i = runs->runs[i].next) {
        size_t row = (size_t)runs_row_of(runs, i) * width;
        for (int32_t x = runs->runs[i].x0; x < runs->runs[i].x1; x++)
            if (s->label[row + (size_t)x] != label && is_nearer(s, row + (size_t)x, colour)) take_px(s, a, row + (size_t)x, label);
    }
    for (size_t i = 0; i < a->count; i++) {
        size_t at = a->at[i], x = at % width, y = at / width;
        const size_t beside[4] = {at - 1, at + 1, at - width, at + width};
        const bool is_there[4] = {x > 0, x + 1 < width, y > 0, y + 1 < height};
        for (int k = 0; k < 4; k++)
            if (is_there[k] && s->label[beside[k]] != label && is_nearer(s, beside[k], colour)) take_px(s, a, beside[k], label);
    }
}

static bool take_area(Searcher *s, const Runs *runs, const Part *part, Error *err)
{
    Srgb8 colour = colour_of_area(s, runs, part);
    int index = palette_find(s->palette, colour, SAME_DE00);
    bool is_new = index < 0;
    if (is_any_blend(s, part, colour, index) || (is_new && s->palette->count == SEPARATION_MAX_COLOURS)) return true;
    if (is_new) {
        index = s->palette->count;
        s->palette->colours[s->palette->count++] = (PaletteColour){colour, lab_from_srgb8(colour), part->area_px};
    }
    ArenaMark mark = arena_mark(&s->work->scratch);
    Area a = {.most = (size_t)part->area_px * MOST_GROWTH};
    a.at = arena_new(&s->work->scratch, size_t, a.most);
    a.before = arena_new(&s->work->scratch, uint8_t, a.most);
    if (!a.at || !a.before) return error_memory(err);
    grow(s, runs, part, s->palette->colours[index].colour, (uint8_t)(LABEL_FIRST + index), &a);
    if (a.count < LEAST_PX || a.count == a.most) {
        while (a.count > 0) a.count--, s->label[a.at[a.count]] = a.before[a.count];
        s->palette->count -= is_new;
    }
    arena_rewind(&s->work->scratch, mark);
    return true;
}

static bool search(Searcher *s, Error *err)
{
    size_t px = (size_t)s->picture->width_px * (size_t)s->picture->height_px;
    Runs runs;
    s->far_px = arena_new(&s->work->scratch, uint8_t, px);
    if (!s->far_px) return error_memory(err);
    if (!mark_far(s, err) || !mark_inner(s, err)) return false;
    if (!runs_make(s->far_px, s->picture->width_px, s->picture->height_px, &s->work->scratch, s->work, &runs, err)) return false;
    for (int32_t i = 0; i < runs.part_count; i++) {
        const Part *part = &runs.parts[i];
        if (i % PARTS_PER_LOOK == 0 && !work_goes_on(s->work, err)) return false;
        if (part->label != 2 || part->area_px < LEAST_INNER_PX || part->x1 - part->x0 > MOST_SIDE_PX || part->y1 - part->y0 > MOST_SIDE_PX) continue;
        if (!take_area(s, &runs, part, err)) return false;
    }
    return true;
}

bool missed_areas(const Picture *picture, Work *work, Palette *palette, uint8_t *label, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Searcher s = {.picture = picture, .work = work, .palette = palette, .label = label};
    bool good = search(&s, err);
    arena_rewind(&work->scratch, mark);
    return good;
}
