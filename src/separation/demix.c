// demix.c - see demix.h.
#include "separation/demix.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define ROWS_PER_LOOK 16
#define BLOCK_PX 16
#define PX_UNITS 3            // a pixel's step in the distance map
#define DIAGONAL_UNITS 4
#define FARTHEST_UNITS 250
#define DEEP_PX 5             // a colour with pixels this far from every edge has plain areas
#define CLEAR_PX 3            // from here on no edge's smear
#define LEAST_DEEP_PX 100     // fewer innermost pixels: those farther out as well
#define LEAST_SHALLOW_PX 40
#define NEAR_CODES 12         // from a plain area's colour: farther pixels belong to its twin (nearer than dE00 3)
#define LEAST_BLOCKS 12       // to believe their mean
#define PLAIN_ERROR_CODES 0.4 // of a plain area's mean: a third of a rounding step at common qualities
#define AGREE_CODES 2.0       // pixels of one colour spread less than this where they are not compressed, or hardly
#define MOST_CODES 254        // from here up, and from 1 down, compression is cut off at one side, so a mean is off: the median
#define LEAST_CODES 1
#define FARTHEST_MOVE_DE00 8.0

typedef struct Sum { double weight, weight2, value[3], square[3]; int count; } Sum;

typedef struct Demixer {
    const Picture *picture;
    const uint8_t *label;
    Work *work;
    Palette *palette;
    uint8_t *depth; // distance to the nearest pixel of another label, in thirds of a pixel
    int64_t (*px_at_depth)[FARTHEST_UNITS + 1];
    int32_t (*histogram)[3][256]; // of each colour's innermost pixels
    int deepest[SEPARATION_MAX_COLOURS]; // units: innermost pixels are those from here on
    double colour[SEPARATION_MAX_COLOURS][3];
    double spread2[SEPARATION_MAX_COLOURS][3]; // of the innermost pixels
    bool is_cut_off[SEPARATION_MAX_COLOURS][3];
    Sum mixed[SEPARATION_MAX_COLOURS];
    double share2[SEPARATION_MAX_COLOURS], left[SEPARATION_MAX_COLOURS][3]; // sums over blocks: share^2, share x what others leave
} Demixer;

static bool look_at_row(const Demixer *d, int y, Error *err)
{
    return y % ROWS_PER_LOOK != 0 || work_goes_on(d->work, err);
}

static int index_at(const Demixer *d, size_t at) // of the palette; -1 where transparent
{
    return (int)d->label[at] - LABEL_FIRST;
}

// ---- depth ----

static void step_from(const Demixer *d, size_t at, ptrdiff_t to, int units)
{
    size_t other = (size_t)((ptrdiff_t)at + to);
    int way = (d->label[other] == d->label[at] ? d->depth[other] : 0) + units;
    if (way < d->depth[at]) d->depth[at] = (uint8_t)way;
}

// One sweep looks at the row that it came from (`before`) and at the pixel that it came from (`behind`).
static void sweep_row(const Demixer *d, int y, bool has_before, ptrdiff_t before, int x0, int x1, int behind)
{
    int width = d->picture->width_px;
    for (int x = x0; x != x1; x -= behind) {
        size_t at = (size_t)y * (size_t)width + (size_t)x;
        if (x != x0) step_from(d, at, behind, PX_UNITS);
        if (!has_before) continue;
        step_from(d, at, before, PX_UNITS);
        if (x > 0) step_from(d, at, before - 1, DIAGONAL_UNITS);
        if (x + 1 < width) step_from(d, at, before + 1, DIAGONAL_UNITS);
    }
}

static bool measure_depth(Demixer *d, Error *err)
{
    int width = d->picture->width_px, height = d->picture->height_px;
    memset(d->depth, FARTHEST_UNITS, (size_t)width * (size_t)height);
    for (int y = 0; y < height; y++) {
        if (!look_at_row(d, y, err)) return false;
        sweep_row(d, y, y > 0, -(ptrdiff_t)width, 0, width, -1);
    }
    for (int y = height - 1; y >= 0; y--) {
        if (!look_at_row(d, y, err)) return false;
        sweep_row(d, y, y + 1 < height, width, width - 1, -1, 1);
        for (int x = 0; x < width; x++) {
            size_t at = (size_t)y * (size_t)width + (size_t)x;
            if (index_at(d, at) >= 0) d->px_at_depth[index_at(d, at)][d->depth[at]]++;
        }
    }
    return true;
}

static int choose_depth(const int64_t px_at_depth[FARTHEST_UNITS + 1])
{
    static const int tried[] = {36, 24, 15, 12, 9, 6, 4}; // units
    for (int i = 0; i < 7; i++) {
        int64_t px = 0;
        for (int u = tried[i]; u <= FARTHEST_UNITS; u++) px += px_at_depth[u];
        if (px >= (tried[i] > CLEAR_PX * PX_UNITS ? LEAST_DEEP_PX : LEAST_SHALLOW_PX)) return tried[i];
    }
    return 0;
}

static bool is_deep(const Demixer *d, int index)
{
    return d->deepest[index] >= DEEP_PX * PX_UNITS;
}

// Parts without any plain block: what their blocks leave is a witness too.
static bool is_small(const Demixer *d, int index)
{
    return d->deepest[index] < BLOCK_PX / 2 * PX_UNITS;
}

// ---- plain areas ----

static bool is_near(const uint8_t *p, Srgb8 c)
{
    return abs(p[0] - c.r) <= NEAR_CODES && abs(p[1] - c.g) <= NEAR_CODES && abs(p[2] - c.b) <= NEAR_CODES;
}

static bool counts(const Demixer *d, int index, const uint8_t *rgba)
{
    return !is_deep(d, index) || is_near(rgba, d->palette->colours[index].colour);
}

static bool count_innermost(Demixer *d, Error *err)
{
    int width = d->picture->width_px, height = d->picture->height_px;
    for (int y = 0; y < height; y++) {
        if (!look_at_row(d, y, err)) return false;
        for (int x = 0; x < width; x++) {
            size_t at = (size_t)y * (size_t)width + (size_t)x;
            int index = index_at(d, at);
            const uint8_t *rgba = d->picture->rgba + at * 4;
            if (index < 0 || d->depth[at] < d->deepest[index] || !counts(d, index, rgba)) continue;
            for (int c = 0; c < 3; c++) d->histogram[index][c][rgba[c]]++;
        }
    }
    return true;
}

// The mean of a histogram, or its median where values are cut off.
static double middle_of(const int32_t histogram[256], double *spread2, bool *is_cut_off)
{
    int64_t count = 0, sum = 0, square = 0, below = 0;
    for (int v = 0; v < 256; v++) count += histogram[v], sum += (int64_t)v * histogram[v], square += (int64_t)v * v * histogram[v];
    double mean = (double)sum / (double)count;
    *spread2 = fmax((double)square / (double)count - mean * mean, 0.0);
    int median = 0;
    while (below + histogram[median] < (count + 1) / 2) below += histogram[median++];
    *is_cut_off = median <= LEAST_CODES || median >= MOST_CODES;
    return *is_cut_off ? median : mean;
}

static void take_innermost(Demixer *d)
{
    for (int i = 0; i < d->palette->count; i++) {
        int64_t count = 0;
        const Srgb8 c = d->palette->colours[i].colour;
        const uint8_t now[3] = {c.r, c.g, c.b};
        for (int v = 0; v < 256; v++) count += d->histogram[i][0][v];
        for (int k = 0; k < 3; k++)
            d->colour[i][k] = count ? middle_of(d->histogram[i][k], &d->spread2[i][k], &d->is_cut_off[i][k]) : now[k];
    }
}

// ---- blocks ----

typedef struct Block { int px, px_of[SEPARATION_MAX_COLOURS], clear[SEPARATION_MAX_COLOURS]; double all[3], sum[SEPARATION_MAX_COLOURS][3]; } Block;

static bool read_block(const Demixer *d, int x0, int y0, Block *b)
{
    int width = d->picture->width_px, height = d->picture->height_px;
    memset(b, 0, sizeof *b);
    for (int y = y0; y < y0 + BLOCK_PX && y < height; y++)
        for (int x = x0; x < x0 + BLOCK_PX && x < width; x++) {
            size_t at = (size_t)y * (size_t)width + (size_t)x;
            int index = index_at(d, at);
            if (index < 0) return false;
            const uint8_t *rgba = d->picture->rgba + at * 4;
            b->px++, b->px_of[index]++;
            for (int c = 0; c < 3; c++) b->all[c] += rgba[c];
            if (d->depth[at] < CLEAR_PX * PX_UNITS || !counts(d, index, rgba)) continue;
            b->clear[index]++;
            for (int c = 0; c < 3; c++) b->sum[index][c] += rgba[c];
        }
    return true;
}

// The less of a block a colour has, the less its rounding is the one of plain areas.
static void add_mixed(Demixer *d, const Block *b, int index)
{
    Sum *s = &d->mixed[index];
    double weight = b->clear[index] * (1.0 - (double)b->px_of[index] / b->px);
    s->weight += weight, s->weight2 += weight * weight, s->count++;
    for (int c = 0; c < 3; c++) {
        double mean = b->sum[index][c] / b->clear[index];
        s->value[c] += weight * mean, s->square[c] += weight * mean * mean;
    }
}

static void add_left(Demixer *d, const Block *b, int index)
{
    double share = (double)b->px_of[index] / b->px;
    d->share2[index] += share * share;
    for (int c = 0; c < 3; c++) {
        double left = b->all[c] / b->px;
        for (int i = 0; i < d->palette->count; i++)
            if (i != index) left -= (double)b->px_of[i] / b->px * d->colour[i][c];
        d->left[index][c] += share * left;
    }
}

static bool for_all_blocks(Demixer *d, bool want_small, Error *err)
{
    Block *b = arena_new(&d->work->scratch, Block, 1);
    if (!b) return error_memory(err);
    for (int y = 0; y < d->picture->height_px; y += BLOCK_PX) {
        if (!work_goes_on(d->work, err)) return false;
        for (int x = 0; x < d->picture->width_px; x += BLOCK_PX) {
            if (!read_block(d, x, y, b)) continue;
            for (int i = 0; i < d->palette->count; i++) {
                if (!b->px_of[i] || b->px_of[i] == b->px) continue;
                if (want_small && is_small(d, i)) add_left(d, b, i);
                if (!want_small && is_deep(d, i) && b->clear[i]) add_mixed(d, b, i);
            }
        }
    }
    return true;
}

// Both means by how sure they are: variance of the weighted mean of the blocks against that of the plain area.
static void weigh_mixed(Demixer *d, int index)
{
    const Sum *s = &d->mixed[index];
    if (s->count < LEAST_BLOCKS || !(s->weight > 0.0)) return;
    for (int c = 0; c < 3; c++) {
        if (d->is_cut_off[index][c]) continue;
        double mean = s->value[c] / s->weight, spread2 = fmax(s->square[c] / s->weight - mean * mean, 0.0);
        double error2 = spread2 * s->weight2 / (s->weight * s->weight), plain2 = PLAIN_ERROR_CODES * PLAIN_ERROR_CODES;
        d->colour[index][c] = (mean * plain2 + d->colour[index][c] * error2) / (plain2 + error2);
    }
}

// Innermost pixels err towards the neighbours, what blocks leave errs with the shares: half of each, and less of it where those
// pixels agree.
static void weigh_left(Demixer *d, int index)
{
    if (!(d->share2[index] > 0.0)) return;
    for (int c = 0; c < 3; c++) {
        if (d->is_cut_off[index][c]) continue;
        double left = fmin(fmax(d->left[index][c] / d->share2[index], 0.0), 255.0);
        double weight = 0.5 * d->spread2[index][c] / (d->spread2[index][c] + AGREE_CODES * AGREE_CODES);
        d->colour[index][c] += weight * (left - d->colour[index][c]);
    }
}

static uint8_t code_of(double v)
{
    return (uint8_t)(fmin(fmax(v, 0.0), 255.0) + 0.5);
}

// Of the darkest and the lightest few only black and white are drawn.
static Srgb8 colour_of(const double c[3])
{
    if (c[0] <= LEAST_CODES && c[1] <= LEAST_CODES && c[2] <= LEAST_CODES) return (Srgb8){0, 0, 0};
    if (c[0] >= MOST_CODES && c[1] >= MOST_CODES && c[2] >= MOST_CODES) return (Srgb8){255, 255, 255};
    return (Srgb8){code_of(c[0]), code_of(c[1]), code_of(c[2])};
}

static void write_palette(const Demixer *d)
{
    for (int i = 0; i < d->palette->count; i++) {
        PaletteColour *p = &d->palette->colours[i];
        Srgb8 colour = colour_of(d->colour[i]);
        Lab lab = lab_from_srgb8(colour);
        if (lab_difference_2000(lab, p->lab) < FARTHEST_MOVE_DE00) p->colour = colour, p->lab = lab;
    }
}

static bool demix(Demixer *d, Error *err)
{
    if (!measure_depth(d, err)) return false;
    for (int i = 0; i < d->palette->count; i++) d->deepest[i] = choose_depth(d->px_at_depth[i]);
    if (!count_innermost(d, err)) return false;
    take_innermost(d);
    if (!for_all_blocks(d, false, err)) return false;
    for (int i = 0; i < d->palette->count; i++) weigh_mixed(d, i);
    bool any_small = false;
    for (int i = 0; i < d->palette->count; i++) any_small |= is_small(d, i);
    if (any_small && !for_all_blocks(d, true, err)) return false;
    for (int i = 0; i < d->palette->count; i++) weigh_left(d, i);
    write_palette(d);
    return true;
}

bool demix_colours(const Picture *picture, const uint8_t *label, Work *work, Palette *palette, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Demixer *d = arena_new(&work->scratch, Demixer, 1);
    if (!d) return error_memory(err);
    *d = (Demixer){.picture = picture, .label = label, .work = work, .palette = palette};
    d->depth = arena_new(&work->scratch, uint8_t, (size_t)picture->width_px * (size_t)picture->height_px);
    d->px_at_depth = arena_take(&work->scratch, SEPARATION_MAX_COLOURS, sizeof *d->px_at_depth);
    d->histogram = arena_take(&work->scratch, SEPARATION_MAX_COLOURS, sizeof *d->histogram);
    bool good = (d->depth && d->px_at_depth && d->histogram) || error_memory(err);
    good = good && demix(d, err);
    arena_rewind(&work->scratch, mark);
    return good;
}
