// demix.c - see demix.h.
#include "separation/demix.h"

#include "separation/blocks.h"
#include "separation/guess.h"
#include "separation/rounding.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define ROWS_PER_LOOK 16
#define BLOCK_PX 16
#define PX_UNITS BLOCKS_DEPTH_UNITS // a pixel's step in the distance map
#define DIAGONAL_UNITS 4
#define FARTHEST_UNITS 250
#define DEEP_PX 5             // a colour with pixels this far from every edge has plain areas
#define CLEAR_PX 3            // from here on no edge's smear
#define LEAST_DEEP_PX 100     // fewer innermost pixels: those farther out as well
#define LEAST_SHALLOW_PX 40
#define NEAR_CODES 12         // from a plain area's colour: farther pixels belong to its twin (nearer than dE00 3)
#define PLAIN_PX 12           // from every edge: beyond what a block of 8 pixels smears, and most of one of 16
#define PLAIN_SHARE 0.6       // of innermost pixels
#define LEAST_BLOCKS 12       // to believe their mean
#define PLAIN_LUMA_CODES 0.25 // of a plain area's mean, until the picture tells: a third of a rounding step at common qualities
#define PLAIN_CHROMA_CODES 0.35
#define MOST_PLAIN_CODES 2.0
#define BLOCKS_LUMA_SHARE 0.25 // of a plain area's variance, that of many blocks: their roundings have something in common
#define BLOCKS_CHROMA_SHARE 0.5
#define PRIOR_COLOURS 2       // that what is said above counts as
#define AGREE_CODES 2.0       // pixels of one colour spread less than this where they are not compressed, or hardly
#define MOST_CODES 254        // from here up, and from 1 down, compression is cut off at one side, so a mean is off: the median
#define LEAST_CODES 1
#define MIDDLE_GREY 128
#define GUESS_VARIANCE 0.02   // of what was measured against the whole numbers (seen at qualities 60 to 90)
#define GUESS_SHARE 0.28      // and so much of a plain area's
#define PURE_CODES 3.0        // how far colours come out beside a pure one
#define PURE_SMALL_CODES 12.0 // small parts
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
    bool is_lossless; // a plain area has a colour that compression never gives
    double plain2[2]; // variance of plain areas' means: of lightness, of colour differences
    BlockTold *told; // what the file's blocks say; NULL = the picture has none
    bool has_px[SEPARATION_MAX_COLOURS];
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
        d->has_px[i] = count > 0;
        for (int k = 0; k < 3; k++)
            d->colour[i][k] = count ? middle_of(d->histogram[i][k], &d->spread2[i][k], &d->is_cut_off[i][k]) : now[k];
    }
}

// ---- axes: lightness and colour differences, which compression rounds each for itself ----

static bool is_any_cut_off(const Demixer *d, int index)
{
    return d->is_cut_off[index][0] || d->is_cut_off[index][1] || d->is_cut_off[index][2];
}

// Where a channel is cut off, red, green and blue stay apart, so that it does not spoil the others.
static void to_axes(const Demixer *d, int index, const double rgb[3], double out[3])
{
    if (is_any_cut_off(d, index)) memcpy(out, rgb, 3 * sizeof *rgb);
    else guess_ycc(rgb, out);
}

static void from_axes(const Demixer *d, int index, const double value[3], double rgb[3])
{
    if (is_any_cut_off(d, index)) memcpy(rgb, value, 3 * sizeof *rgb);
    else guess_rgb(value, rgb);
}

// ---- rounding of plain areas ----

// The value that most innermost pixels have; -1 where no value prevails.
static int prevailing(const int32_t histogram[256])
{
    int64_t count = 0;
    int most = 0;
    for (int v = 0; v < 256; v++) {
        count += histogram[v];
        if (histogram[v] > histogram[most]) most = v;
    }
    return (double)histogram[most] > PLAIN_SHARE * (double)count ? most : -1;
}

// Far from every edge, and nearly all pixels alike: nothing shows but the rounding.
static bool is_plain(Demixer *d, int index, int ycc[3])
{
    double rgb[3], exact[3];
    if (d->deepest[index] < PLAIN_PX * PX_UNITS || is_any_cut_off(d, index)) return false;
    for (int c = 0; c < 3; c++) {
        rgb[c] = prevailing(d->histogram[index][c]);
        if (rgb[c] < 0.0) return false;
    }
    d->is_lossless |= !guess_comes_back((Srgb8){(uint8_t)rgb[0], (uint8_t)rgb[1], (uint8_t)rgb[2]});
    guess_ycc(rgb, exact);
    for (int c = 0; c < 3; c++) ycc[c] = (int)floor(exact[c] + 0.5);
    return true;
}

// Plain areas' colours to the middles of their steps.
static void undo_rounding(Demixer *d)
{
    int whole[SEPARATION_MAX_COLOURS][3], index_of[SEPARATION_MAX_COLOURS], count = 0;
    double ycc[3];
    for (int i = 0; i < d->palette->count; i++) {
        if (is_plain(d, i, whole[count])) index_of[count++] = i;
    }
    if (d->is_lossless) return;
    Rounding rounding = rounding_find(whole, count);
    for (int i = 0; i < count; i++) {
        rounding_undo(rounding, whole[i], ycc);
        guess_rgb(ycc, d->colour[index_of[i]]);
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
    double weight = b->clear[index] * (1.0 - (double)b->px_of[index] / b->px), value[3], mean[3];
    for (int c = 0; c < 3; c++) mean[c] = b->sum[index][c] / b->clear[index];
    to_axes(d, index, mean, value);
    s->weight += weight, s->weight2 += weight * weight, s->count++;
    for (int c = 0; c < 3; c++) s->value[c] += weight * value[c], s->square[c] += weight * value[c] * value[c];
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

// The mean of the blocks and its variance; false where there are too few.
static bool mixed_mean(const Demixer *d, int index, int c, double *mean, double *error2)
{
    const Sum *s = &d->mixed[index];
    if (s->count < LEAST_BLOCKS || !(s->weight > 0.0)) return false;
    *mean = s->value[c] / s->weight;
    *error2 = fmax(s->square[c] / s->weight - *mean * *mean, 0.0) * s->weight2 / (s->weight * s->weight);
    return true;
}

// How far plain areas are off in this picture: by how far they are from what the blocks say. One value for lightness, one for both
// colour differences.
static void learn_plain_errors(Demixer *d)
{
    double sum[2] = {PLAIN_LUMA_CODES * PLAIN_LUMA_CODES * PRIOR_COLOURS, PLAIN_CHROMA_CODES * PLAIN_CHROMA_CODES * 2 * PRIOR_COLOURS};
    int count[2] = {PRIOR_COLOURS, 2 * PRIOR_COLOURS};
    for (int i = 0; i < d->palette->count; i++) {
        double plain[3], mean, error2;
        to_axes(d, i, d->colour[i], plain);
        for (int c = 0; c < 3 && is_deep(d, i) && !is_any_cut_off(d, i); c++) {
            if (!mixed_mean(d, i, c, &mean, &error2)) continue;
            double apart2 = (mean - plain[c]) * (mean - plain[c]) - error2;
            sum[c > 0] += fmin(fmax(apart2, 0.0), MOST_PLAIN_CODES * MOST_PLAIN_CODES);
            count[c > 0]++;
        }
    }
    for (int k = 0; k < 2; k++) d->plain2[k] = sum[k] / count[k];
}

// Both means by how sure they are.
static void weigh_mixed(Demixer *d, int index)
{
    bool is_cut = is_any_cut_off(d, index);
    double value[3], mean, error2;
    to_axes(d, index, d->colour[index], value);
    for (int c = 0; c < 3; c++) {
        if (d->is_cut_off[index][c] || !mixed_mean(d, index, c, &mean, &error2)) continue;
        double plain2 = is_cut ? d->plain2[0] + 2.0 * d->plain2[1] : d->plain2[c > 0];
        error2 += (c > 0 || is_cut ? BLOCKS_CHROMA_SHARE : BLOCKS_LUMA_SHARE) * plain2;
        value[c] = (mean * plain2 + value[c] * error2) / (plain2 + error2);
    }
    from_axes(d, index, value, d->colour[index]);
}

// Innermost pixels err towards the neighbours, what blocks leave errs with the shares: half of each, and less of it where those
// pixels agree. Lightness is not smeared over a block: there the pixels are right. Where a channel is cut off, so is its smear.
static void weigh_left(Demixer *d, int index)
{
    if (!(d->share2[index] > 0.0) || is_any_cut_off(d, index)) return;
    static const int channel_of[3] = {1, 2, 0}; // blue tells of one colour difference, red of the other
    double rgb[3], left[3], inner[3];
    for (int c = 0; c < 3; c++) rgb[c] = fmin(fmax(d->left[index][c] / d->share2[index], 0.0), 255.0);
    guess_ycc(rgb, left);
    guess_ycc(d->colour[index], inner);
    for (int c = 1; c < 3; c++) {
        double spread2 = d->spread2[index][channel_of[c]];
        inner[c] += 0.5 * spread2 / (spread2 + AGREE_CODES * AGREE_CODES) * (left[c] - inner[c]);
    }
    guess_rgb(inner, d->colour[index]);
}

static uint8_t code_of(double v)
{
    return (uint8_t)(fmin(fmax(v, 0.0), 255.0) + 0.5);
}

// Black, white, and the six between them are drawn far oftener than what lies a few codes beside them.
static bool is_nearly_pure(const double c[3], double codes)
{
    for (int i = 0; i < 3; i++)
        if (c[i] > codes && c[i] < 255.0 - codes) return false;
    return true;
}

static Srgb8 pure_colour(const double c[3])
{
    return (Srgb8){c[0] < 128.0 ? 0 : 255, c[1] < 128.0 ? 0 : 255, c[2] < 128.0 ? 0 : 255};
}

// What the file's blocks say.
static Srgb8 colour_told(const Demixer *d, int index)
{
    const BlockTold *told = &d->told[index];
    double ycc[3], rgb[3];
    GuessLimits limits;
    for (int c = 0; c < 3; c++) {
        int about = c ? 0 : MIDDLE_GREY;
        bool is_known = told->is_plain[c] || told->is_bounded[c];
        limits.least[c] = about + (is_known ? told->least[c] : INT16_MIN);
        limits.most[c] = about + (is_known ? told->most[c] : INT16_MAX);
        ycc[c] = about + told->value[c];
    }
    guess_rgb(ycc, rgb);
    if (is_nearly_pure(rgb, is_small(d, index) ? PURE_SMALL_CODES : PURE_CODES) && guess_is_within(pure_colour(rgb), &limits)) return pure_colour(rgb);
    return guess_from_ycc(ycc, told->variance, &limits);
}

static Srgb8 colour_of(const Demixer *d, int index)
{
    if (d->told) return d->has_px[index] ? colour_told(d, index) : d->palette->colours[index].colour;
    const double *c = d->colour[index];
    if (is_nearly_pure(c, d->is_lossless ? LEAST_CODES : is_small(d, index) ? PURE_SMALL_CODES : PURE_CODES)) return pure_colour(c);
    if (d->is_lossless) return (Srgb8){code_of(c[0]), code_of(c[1]), code_of(c[2])};
    const double chroma = GUESS_VARIANCE + GUESS_SHARE * d->plain2[1], variance[3] = {GUESS_VARIANCE + GUESS_SHARE * d->plain2[0], chroma, chroma};
    return guess_colour(c, d->is_cut_off[index], variance);
}

static void write_palette(const Demixer *d)
{
    for (int i = 0; i < d->palette->count; i++) {
        PaletteColour *p = &d->palette->colours[i];
        Srgb8 colour = colour_of(d, i);
        Lab lab = lab_from_srgb8(colour);
        if (lab_difference_2000(lab, p->lab) < FARTHEST_MOVE_DE00) p->colour = colour, p->lab = lab;
    }
}

static bool ask_blocks(Demixer *d, Error *err)
{
    d->told = arena_new(&d->work->scratch, BlockTold, SEPARATION_MAX_COLOURS);
    if (!d->told) return error_memory(err);
    const BlockView view = {d->picture, d->label, d->depth, d->palette->count, d->colour};
    return blocks_tell(&view, d->work, d->told, err);
}

static bool demix(Demixer *d, Error *err)
{
    if (!measure_depth(d, err)) return false;
    for (int i = 0; i < d->palette->count; i++) d->deepest[i] = choose_depth(d->px_at_depth[i]);
    if (!count_innermost(d, err)) return false;
    take_innermost(d);
    if (blocks_can_tell(d->picture)) {
        if (!ask_blocks(d, err)) return false;
        write_palette(d);
        return true;
    }
    undo_rounding(d);
    if (!for_all_blocks(d, false, err)) return false;
    learn_plain_errors(d);
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
