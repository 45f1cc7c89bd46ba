// photo.c - see photo.h.
#include "separation/photo.h"

#include <math.h>
#include <string.h>

#define SAMPLE_PX 20000
#define ROUNDS 24
#define SAME_DE00 8.0       // colours nearer than this are not worth two papers
#define SEED_LEAST_SHARE 50 // a seed needs a fiftieth of an even share of the sample nearby, or it is an outlier
#define MOST_OUTLIERS 300   // tried one after another; beyond it the picture is noise and the seeds so far will do
#define VOTES 4             // rounds of the majority vote
#define WIDE_VOTE_PARTS 100 // of the shorter side: reach of the wide vote, which takes texture away
#define WIDE_VOTES 2
#define ROWS_PER_LOOK 32
#define TABLE_BITS 5 // of each channel, for the table of nearest colours
#define TABLE_SIZE (1 << (3 * TABLE_BITS))

typedef struct Ok {
    int32_t l, a, b; // ten-thousandths
} Ok;

typedef struct Cluster {
    Ok centre;
    int64_t px, sum[3], srgb_sum[3];
} Cluster;

static Ok ok_of(Srgb8 c)
{
    double lab[3];
    oklab_from_srgb8(c, lab);
    return (Ok){(int32_t)lround(lab[0] * 1e4), (int32_t)lround(lab[1] * 1e4), (int32_t)lround(lab[2] * 1e4)};
}

static int64_t distance2(Ok p, Ok q)
{
    int64_t l = p.l - q.l, a = p.a - q.a, b = p.b - q.b;
    return l * l + a * a + b * b;
}

// Mean over the 3x3 neighbourhood; pixels that are not opaque do not count.
static Srgb8 smoothed(const Picture *p, int x, int y)
{
    int sum[3] = {0}, count = 0;
    for (int j = y > 0 ? y - 1 : 0; j <= y + 1 && j < p->height_px; j++)
        for (int i = x > 0 ? x - 1 : 0; i <= x + 1 && i < p->width_px; i++) {
            const uint8_t *q = p->rgba + ((size_t)j * (size_t)p->width_px + (size_t)i) * 4;
            if (q[3] < OPAQUE_ALPHA) continue;
            for (int c = 0; c < 3; c++) sum[c] += q[c];
            count++;
        }
    if (!count) return (Srgb8){0, 0, 0};
    return (Srgb8){(uint8_t)(sum[0] / count), (uint8_t)(sum[1] / count), (uint8_t)(sum[2] / count)};
}

typedef struct Sample {
    Srgb8 *srgb;
    Ok *ok;
    int count;
} Sample;

static bool take_sample(const Picture *p, Work *work, Sample *out, Error *err)
{
    size_t px = (size_t)p->width_px * (size_t)p->height_px, step = px / SAMPLE_PX + 1;
    // A step that divides the width would sample a few columns only.
    while ((size_t)p->width_px % step == 0 && step > 1) step++;
    out->count = 0;
    out->srgb = arena_new(&work->scratch, Srgb8, px / step + 1);
    out->ok = arena_new(&work->scratch, Ok, px / step + 1);
    if (!out->srgb || !out->ok) return error_memory(err);
    for (size_t i = 0; i < px; i += step) {
        if (p->rgba[i * 4 + 3] < OPAQUE_ALPHA) continue;
        Srgb8 c = smoothed(p, (int)(i % (size_t)p->width_px), (int)(i / (size_t)p->width_px));
        out->srgb[out->count] = c;
        out->ok[out->count++] = ok_of(c);
    }
    return work_goes_on(work, err);
}

static int nearest_cluster(const Cluster *clusters, int count, Ok c)
{
    int best = 0;
    for (int i = 1; i < count; i++)
        if (distance2(c, clusters[i].centre) < distance2(c, clusters[best].centre)) best = i;
    return best;
}

static bool has_company(const Sample *sample, Ok seed)
{
    const int64_t reach = 400; // 0.04 in OKLab, about twice a just visible step
    int near = 0, least = sample->count / (PHOTO_MOST_COLOURS * SEED_LEAST_SHARE) + 1;
    for (int i = 0; i < sample->count && near < least; i++) near += distance2(sample->ok[i], seed) <= reach * reach;
    return near >= least;
}

// Each seed is the sampled pixel farthest from all seeds so far, outliers apart.
static bool choose_seeds(const Sample *sample, int64_t *distance, Work *work, Cluster *clusters, int *out_count,
                         Error *err)
{
    int count = 0;
    *out_count = 0;
    Ok seed = sample->ok[sample->count / 2];
    for (int i = 0; i < sample->count; i++) distance[i] = INT64_MAX;
    while (count < PHOTO_MOST_COLOURS) {
        clusters[count++] = (Cluster){.centre = seed};
        *out_count = count;
        for (int i = 0; i < sample->count; i++) {
            int64_t d = distance2(sample->ok[i], seed);
            if (d < distance[i]) distance[i] = d;
        }
        bool found = false;
        for (int outliers = 0; !found; outliers++) {
            if (!work_goes_on(work, err)) return false;
            if (outliers == MOST_OUTLIERS) return true;
            int farthest = 0;
            for (int i = 1; i < sample->count; i++)
                if (distance[i] > distance[farthest]) farthest = i;
            if (distance[farthest] <= 0) return true;
            seed = sample->ok[farthest];
            found = has_company(sample, seed);
            if (!found) distance[farthest] = 0;
        }
    }
    return true;
}

static bool run_rounds(const Sample *sample, Work *work, Cluster *clusters, int count, Error *err)
{
    for (int round = 0; round < ROUNDS; round++) {
        if (!work_goes_on(work, err)) return false;
        for (int k = 0; k < count; k++) clusters[k] = (Cluster){.centre = clusters[k].centre};
        for (int i = 0; i < sample->count; i++) {
            Cluster *c = &clusters[nearest_cluster(clusters, count, sample->ok[i])];
            c->px++;
            c->sum[0] += sample->ok[i].l, c->sum[1] += sample->ok[i].a, c->sum[2] += sample->ok[i].b;
            c->srgb_sum[0] += sample->srgb[i].r, c->srgb_sum[1] += sample->srgb[i].g,
                c->srgb_sum[2] += sample->srgb[i].b;
        }
        for (int k = 0; k < count; k++) {
            Cluster *c = &clusters[k];
            if (c->px)
                c->centre =
                    (Ok){(int32_t)(c->sum[0] / c->px), (int32_t)(c->sum[1] / c->px), (int32_t)(c->sum[2] / c->px)};
        }
    }
    return true;
}

// Largest cluster first; near twins fall to the larger.
static void fill_palette(Cluster *clusters, int count, Palette *palette)
{
    *palette = (Palette){0};
    for (int turn = 0; turn < count; turn++) {
        int largest = -1;
        for (int k = 0; k < count; k++)
            if (clusters[k].px > 0 && (largest < 0 || clusters[k].px > clusters[largest].px)) largest = k;
        if (largest < 0) return;
        Cluster *c = &clusters[largest];
        Srgb8 mean = {(uint8_t)(c->srgb_sum[0] / c->px), (uint8_t)(c->srgb_sum[1] / c->px),
                      (uint8_t)(c->srgb_sum[2] / c->px)};
        if (palette_find(palette, mean, SAME_DE00) < 0)
            palette->colours[palette->count++] = (PaletteColour){mean, lab_from_srgb8(mean), c->px};
        c->px = 0;
    }
}

static void fill_table(const Palette *palette, uint8_t *table)
{
    Cluster clusters[PHOTO_MOST_COLOURS];
    for (int k = 0; k < palette->count; k++) clusters[k] = (Cluster){.centre = ok_of(palette->colours[k].colour)};
    for (int i = 0; i < TABLE_SIZE; i++) {
        int half = 1 << (7 - TABLE_BITS), mask = (1 << TABLE_BITS) - 1, shift = 8 - TABLE_BITS;
        Srgb8 c = {(uint8_t)(((i >> (2 * TABLE_BITS)) << shift) + half),
                   (uint8_t)(((i >> TABLE_BITS & mask) << shift) + half), (uint8_t)(((i & mask) << shift) + half)};
        table[i] = (uint8_t)(LABEL_FIRST + nearest_cluster(clusters, palette->count, ok_of(c)));
    }
}

static bool label_by_table(const Picture *p, const uint8_t *table, Work *work, uint8_t *label, Error *err)
{
    int shift = 8 - TABLE_BITS;
    for (int y = 0; y < p->height_px; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        for (int x = 0; x < p->width_px; x++) {
            size_t at = (size_t)y * (size_t)p->width_px + (size_t)x;
            if (p->rgba[at * 4 + 3] < OPAQUE_ALPHA) {
                label[at] = LABEL_CLEAR;
                continue;
            }
            Srgb8 c = smoothed(p, x, y);
            label[at] = table[(c.r >> shift) << (2 * TABLE_BITS) | (c.g >> shift) << TABLE_BITS | c.b >> shift];
        }
    }
    return true;
}

// The label most frequent in the 3x3 neighbourhood; the pixel's own wins a tie, transparency is left as it is.
static uint8_t vote(const uint8_t *label, int width, int height, int x, int y)
{
    uint8_t own = label[(size_t)y * (size_t)width + (size_t)x], best = own;
    if (own == LABEL_CLEAR) return own;
    const uint8_t *at = label + (size_t)y * (size_t)width + (size_t)x;
    if (x > 0 && y > 0 && x + 1 < width && y + 1 < height && at[-1] == own && at[1] == own && at[-width] == own &&
        at[width] == own)
        return own; // five of nine already
    uint8_t count[LABEL_FIRST + PHOTO_MOST_COLOURS] = {0};
    for (int j = y > 0 ? y - 1 : 0; j <= y + 1 && j < height; j++)
        for (int i = x > 0 ? x - 1 : 0; i <= x + 1 && i < width; i++)
            count[label[(size_t)j * (size_t)width + (size_t)i]]++;
    for (uint8_t l = LABEL_FIRST; l < LABEL_FIRST + PHOTO_MOST_COLOURS; l++)
        if (count[l] > count[best]) best = l;
    return best;
}

static bool smooth_labels(int width, int height, Work *work, uint8_t *label, Error *err)
{
    size_t px = (size_t)width * (size_t)height;
    uint8_t *before = arena_new(&work->scratch, uint8_t, px);
    if (!before) return error_memory(err);
    for (int round = 0; round < VOTES; round++) {
        for (int y = 0; y < height; y++) {
            if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
            size_t row = (size_t)y * (size_t)width;
            memcpy(before + row, label + row, (size_t)width);
        }
        for (int y = 0; y < height; y++) {
            if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
            for (int x = 0; x < width; x++)
                label[(size_t)y * (size_t)width + (size_t)x] = vote(before, width, height, x, y);
        }
    }
    return true;
}

// ---- the wide vote ----

typedef struct Ballot { // votes in the rows of the window, for each column, and in the window itself
    int32_t *column[LABEL_FIRST + PHOTO_MOST_COLOURS];
    int32_t window[LABEL_FIRST + PHOTO_MOST_COLOURS];
    int label_count;
} Ballot;

static void count_row(Ballot *b, const uint8_t *row, int width, int by)
{
    for (int x = 0; x < width; x++) b->column[row[x]][x] += by;
}

static void slide(Ballot *b, int in, int out, int width)
{
    for (int l = LABEL_FIRST; l < b->label_count; l++)
        b->window[l] += (in < width ? b->column[l][in] : 0) - (out >= 0 ? b->column[l][out] : 0);
}

// The label with most votes; the pixel's own wins a tie.
static uint8_t winner(const Ballot *b, uint8_t own)
{
    int best = own;
    for (int l = LABEL_FIRST; l < b->label_count; l++)
        if (b->window[l] > b->window[best]) best = l;
    return (uint8_t)best;
}

static bool vote_wide(int width, int height, int radius, int label_count, Work *work, uint8_t *label, Error *err)
{
    size_t px = (size_t)width * (size_t)height;
    uint8_t *before = arena_copy(&work->scratch, label, px, 1);
    if (!before) return error_memory(err);
    Ballot b = {.label_count = label_count};
    for (int l = 0; l < label_count; l++) {
        b.column[l] = arena_new(&work->scratch, int32_t, width);
        if (!b.column[l]) return error_memory(err);
    }
    for (int y = 0; y < radius && y < height; y++) count_row(&b, before + (size_t)y * (size_t)width, width, 1);
    for (int y = 0; y < height; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        if (y + radius < height) count_row(&b, before + (size_t)(y + radius) * (size_t)width, width, 1);
        if (y > radius) count_row(&b, before + (size_t)(y - radius - 1) * (size_t)width, width, -1);
        memset(b.window, 0, sizeof b.window);
        for (int x = 0; x < radius; x++) slide(&b, x, -1, width);
        uint8_t *row = label + (size_t)y * (size_t)width;
        for (int x = 0; x < width; x++) {
            slide(&b, x + radius, x - radius - 1, width);
            if (row[x] != LABEL_CLEAR) row[x] = winner(&b, row[x]);
        }
    }
    return true;
}

static bool smooth_wide(int width, int height, int label_count, Work *work, uint8_t *label, Error *err)
{
    int side = width < height ? width : height, radius = side / WIDE_VOTE_PARTS;
    bool good = true;
    ArenaMark mark = arena_mark(&work->scratch);
    for (int round = 0; round < WIDE_VOTES && radius > 1 && good; round++) {
        good = vote_wide(width, height, radius, label_count, work, label, err);
        arena_rewind(&work->scratch, mark);
    }
    return good;
}

bool photo_quantise(const Picture *picture, Work *work, uint8_t *label, Palette *palette, Error *err)
{
    *palette = (Palette){0};
    ArenaMark mark = arena_mark(&work->scratch);
    Sample sample;
    if (!take_sample(picture, work, &sample, err)) return false;
    if (sample.count > 0) {
        Cluster clusters[PHOTO_MOST_COLOURS];
        int64_t *distance = arena_new(&work->scratch, int64_t, sample.count);
        if (!distance) return error_memory(err);
        int count;
        if (!choose_seeds(&sample, distance, work, clusters, &count, err) ||
            !run_rounds(&sample, work, clusters, count, err))
            return false;
        fill_palette(clusters, count, palette);
    }
    uint8_t *table = arena_new(&work->scratch, uint8_t, TABLE_SIZE);
    if (!table) return error_memory(err);
    fill_table(palette, table);
    bool good = work_goes_on(work, err) && label_by_table(picture, table, work, label, err) &&
                smooth_wide(picture->width_px, picture->height_px, LABEL_FIRST + palette->count, work, label, err) &&
                smooth_labels(picture->width_px, picture->height_px, work, label, err);
    arena_rewind(&work->scratch, mark);
    return good;
}
