// palette.c - see palette.h.
#include "separation/palette.h"

#include "separation/runs.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define ROWS_PER_LOOK 32 // rows between two looks at the wish to stop
#define PX_PER_LOOK (1 << 20)
#define CANDIDATES_PER_LOOK 256
#define PROVISIONAL_COLOURS 254 // a label is one byte; two values are taken
#define HASH_SIZE 1024
#define SOFT_STEP_CODES 6 // a step that compression makes; an edge between flat colours has a steep side
#define FEW_CORE_PX 16 // with fewer, a colour between two others is one of their blends (an enlarged picture)
#define BLEND_REACH_CODES 6.0
#define MOST_LIGHTNESS_PER_DE00 1.76 // the formula's weight of lightness is never larger: a quick way to say no
#define CALM_RANGE_CODES 8           // highest worst-channel range in a 5x5 window of a flat area of a JPEG
#define CALM_AREA_LEAST_PX 25
#define CALM_SAME_DE00 4.0      // means of small areas of one colour differ by less
#define CALM_SAME_LARGE_DE00 3.0 // those of large areas, which tell true colours apart
#define CALM_LARGE_PX 400
// Colours of so nearly one lightness and so near in codes are one too: in pale ones, rounded waves of colour differ by dE00 6.
#define CALM_SAME_LUMA_CODES 4.0
#define CALM_SAME_CODES 14.0
#define SHADE_DE00 1.5 // noise takes the mean of a part less far
#define CALM_LEAST_SHARE 0.0002 // of the picture, for a colour to be kept
#define CALM_PURE_DE00 5.0 // how far compression takes a flat pixel from its colour

// ---- runs of exactly equal pixels, three rows at a time ----

typedef struct KeyRun {
    int32_t x0, x1;
    uint32_t key; // the pixel, 0 where transparent
} KeyRun;

static uint32_t pixel_at(const uint8_t *row, int x)
{
    uint32_t pixel;
    memcpy(&pixel, row + (size_t)x * 4, 4);
    return pixel;
}

static uint32_t pack(uint8_t r, uint8_t g, uint8_t b, uint8_t a)
{
    const uint8_t bytes[4] = {r, g, b, a};
    return pixel_at(bytes, 0);
}

// What lies under alpha 0 is nobody's colour: all such pixels are equal.
static uint32_t key_of(const uint8_t *row, int x)
{
    return row[(size_t)x * 4 + 3] == 0 ? 0 : pixel_at(row, x);
}

static int end_of_key_run(const uint8_t *row, int x, int width_px, uint32_t key)
{
    uint64_t two = (uint64_t)key << 32 | key;
    while (x + 4 <= width_px) {
        uint64_t a, b;
        memcpy(&a, row + (size_t)x * 4, 8);
        memcpy(&b, row + (size_t)x * 4 + 8, 8);
        if (((a ^ two) | (b ^ two)) != 0) break;
        x += 4;
    }
    return x;
}

static int32_t find_key_runs(const uint8_t *row, int width_px, KeyRun *runs)
{
    int32_t count = 0;
    for (int x = 0; x < width_px;) {
        uint32_t key = key_of(row, x);
        int x1 = x;
        do {
            x1 = end_of_key_run(row, x1, width_px, key);
            int stop = x1 + 4 < width_px ? x1 + 4 : width_px;
            while (x1 < stop && key_of(row, x1) == key) x1++;
            if (x1 < stop) break;
        } while (x1 < width_px);
        runs[count++] = (KeyRun){x, x1, key};
        x = x1;
    }
    return count;
}

typedef struct KeyRow {
    KeyRun *runs;
    int32_t count;
} KeyRow;

typedef struct CoreScan {
    const Picture *picture;
    uint8_t *label;
    uint32_t key[PROVISIONAL_COLOURS]; // provisional colours, by first appearance
    int64_t core_px[PROVISIONAL_COLOURS];
    int count;
    int16_t hash[HASH_SIZE]; // provisional index + 1
    uint32_t last_key;
    int last_label;
    FlatStats *stats;
} CoreScan;

static uint32_t hash_of(uint32_t key)
{
    return (key * 2654435761u) >> 16;
}

// The label of a colour that has a core here; a new one gets the next provisional label.
static int label_for_key(CoreScan *scan, uint32_t key)
{
    if (key == scan->last_key && scan->last_label) return scan->last_label;
    uint8_t parts[4];
    memcpy(parts, &key, 4);
    scan->last_key = key;
    if (parts[3] < OPAQUE_ALPHA) return scan->last_label = LABEL_CLEAR;
    uint32_t solid = pack(parts[0], parts[1], parts[2], 255);
    uint32_t slot = hash_of(solid) % HASH_SIZE;
    while (scan->hash[slot] && scan->key[scan->hash[slot] - 1] != solid) slot = (slot + 1) % HASH_SIZE;
    if (!scan->hash[slot]) {
        if (scan->count == PROVISIONAL_COLOURS) {
            scan->stats->too_many = true;
            return scan->last_label = LABEL_UNDECIDED;
        }
        scan->key[scan->count++] = solid;
        scan->hash[slot] = (int16_t)scan->count;
    }
    return scan->last_label = LABEL_FIRST + scan->hash[slot] - 1;
}

// Pixels [lo, hi) of row y are cores: they and their neighbours are surely of this colour.
static void paint_core(CoreScan *scan, int32_t lo, int32_t hi, int y, uint32_t key)
{
    int width = scan->picture->width_px, height = scan->picture->height_px;
    int label = label_for_key(scan, key);
    if (label == LABEL_UNDECIDED) return;
    if (label >= LABEL_FIRST) scan->core_px[label - LABEL_FIRST] += hi - lo;
    int32_t from = lo > 0 ? lo - 1 : 0, to = hi < width ? hi + 1 : width;
    for (int row = y > 0 ? y - 1 : 0; row <= y + 1 && row < height; row++)
        memset(scan->label + (size_t)row * (size_t)width + (size_t)from, label, (size_t)(to - from));
}

// A run without its ends, which have an unlike neighbour; the picture's edge is no neighbour.
static int32_t inner_x0(const KeyRun *run)
{
    return run->x0 == 0 ? 0 : run->x0 + 1;
}

static int32_t inner_x1(const KeyRun *run, int width_px)
{
    return run->x1 == width_px ? width_px : run->x1 - 1;
}

static int32_t max3(int32_t a, int32_t b, int32_t c)
{
    int32_t m = a > b ? a : b;
    return m > c ? m : c;
}

static void find_cores(CoreScan *scan, const KeyRow rows[3], int y)
{
    int width = scan->picture->width_px;
    int32_t i = 0, j = 0, k = 0;
    while (i < rows[0].count && j < rows[1].count && k < rows[2].count) {
        const KeyRun *a = &rows[0].runs[i], *b = &rows[1].runs[j], *c = &rows[2].runs[k];
        if (a->key == b->key && b->key == c->key) {
            int32_t lo = max3(inner_x0(a), inner_x0(b), inner_x0(c));
            int32_t hi = -max3(-inner_x1(a, width), -inner_x1(b, width), -inner_x1(c, width));
            if (lo < hi) paint_core(scan, lo, hi, y, b->key);
        }
        int32_t least = -max3(-a->x1, -b->x1, -c->x1);
        i += a->x1 == least;
        j += b->x1 == least;
        k += c->x1 == least;
    }
}

static int worst_step(const uint8_t *p, const uint8_t *q)
{
    int worst = 0;
    for (int i = 0; i < 4; i++) {
        int d = abs(p[i] - q[i]);
        if (d > worst) worst = d;
    }
    return worst;
}

static void count_steps(CoreScan *scan, const KeyRow *row, int y)
{
    const Picture *p = scan->picture;
    size_t stride = (size_t)p->width_px * 4;
    const uint8_t *here = p->rgba + (size_t)y * stride, *below = y + 1 < p->height_px ? here + stride : here;
    for (int32_t i = 0; i < row->count; i++) {
        const KeyRun *run = &row->runs[i];
        if (run->x1 == p->width_px) continue;
        size_t at = (size_t)(run->x1 - 1) * 4;
        scan->stats->step_count++;
        scan->stats->soft_step_count += worst_step(here + at, here + at + 4) <= SOFT_STEP_CODES &&
                                        worst_step(here + at, below + at) <= SOFT_STEP_CODES;
    }
}

static bool scan_rows(CoreScan *scan, Work *work, Error *err)
{
    const Picture *p = scan->picture;
    KeyRow rows[3];
    for (int i = 0; i < 3; i++) {
        rows[i] = (KeyRow){.runs = arena_new(&work->scratch, KeyRun, p->width_px)};
        if (!rows[i].runs) return error_memory(err);
    }
    size_t stride = (size_t)p->width_px * 4;
    rows[1].count = find_key_runs(p->rgba, p->width_px, rows[1].runs);
    for (int y = 0; y < p->height_px; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        bool is_last = y + 1 == p->height_px;
        if (!is_last) rows[2].count = find_key_runs(p->rgba + (size_t)(y + 1) * stride, p->width_px, rows[2].runs);
        const KeyRow window[3] = {y ? rows[0] : rows[1], rows[1], is_last ? rows[1] : rows[2]};
        count_steps(scan, &rows[1], y);
        find_cores(scan, window, y);
        if (scan->stats->too_many) return true;
        KeyRow oldest = rows[0];
        rows[0] = rows[1], rows[1] = rows[2], rows[2] = oldest;
    }
    return true;
}

// ---- from core colours to a palette ----

typedef struct Candidate {
    Srgb8 colour;
    int64_t px;
    int index;
} Candidate;

static uint32_t colour_value(Srgb8 c)
{
    return (uint32_t)c.r << 16 | (uint32_t)c.g << 8 | c.b;
}

static int by_px_then_value(const void *a, const void *b)
{
    const Candidate *p = a, *q = b;
    if (p->px != q->px) return p->px > q->px ? -1 : 1;
    uint32_t u = colour_value(p->colour), v = colour_value(q->colour);
    if (u != v) return u < v ? -1 : 1;
    return p->index < q->index ? -1 : p->index > q->index;
}

int palette_find(const Palette *palette, Srgb8 colour, double within_de00)
{
    Lab lab = lab_from_srgb8(colour);
    int best = -1;
    for (int i = 0; i < palette->count; i++) {
        if (fabs(lab.L - palette->colours[i].lab.L) > MOST_LIGHTNESS_PER_DE00 * within_de00) continue;
        double de00 = lab_difference_2000(lab, palette->colours[i].lab);
        if (de00 < within_de00) best = i, within_de00 = de00;
    }
    return best;
}

int palette_find_cached(ShadeCache *cache, const Palette *palette, Srgb8 colour, double within_de00)
{
    uint32_t value = colour_value(colour) + 1, slot = hash_of(value) % SHADE_CACHE_SIZE;
    if (cache->value[slot] != value) {
        cache->value[slot] = value;
        cache->index[slot] = (int8_t)palette_find(palette, colour, within_de00);
    }
    return cache->index[slot];
}

// The palette colour that this candidate is or becomes; -1 when it is not near one and the palette is full.
static int palette_take(Palette *palette, const Candidate *candidate, double same_de00)
{
    int found = palette_find(palette, candidate->colour, same_de00);
    if (found >= 0) {
        palette->colours[found].core_px += candidate->px;
        return found;
    }
    if (palette->count == SEPARATION_MAX_COLOURS) return -1;
    palette->colours[palette->count] =
        (PaletteColour){candidate->colour, lab_from_srgb8(candidate->colour), candidate->px};
    return palette->count++;
}

// Is the colour a blend of two others, off their line by a few codes at most?
static bool lies_between(const Palette *palette, Srgb8 c, double reach_codes)
{
    for (int i = 0; i < palette->count; i++)
        for (int k = i + 1; k < palette->count; k++) {
            Srgb8 a = palette->colours[i].colour, b = palette->colours[k].colour;
            double ab[3] = {b.r - a.r, b.g - a.g, b.b - a.b}, ac[3] = {c.r - a.r, c.g - a.g, c.b - a.b};
            double length2 = ab[0] * ab[0] + ab[1] * ab[1] + ab[2] * ab[2];
            double t = (ab[0] * ac[0] + ab[1] * ac[1] + ab[2] * ac[2]) / length2, off2 = 0.0;
            for (int n = 0; n < 3; n++) off2 += (ac[n] - t * ab[n]) * (ac[n] - t * ab[n]);
            if (t > 0.0 && t < 1.0 && off2 <= reach_codes * reach_codes) return true;
        }
    return false;
}

static void merge_candidates(CoreScan *scan, double same_de00, Palette *palette, uint8_t map[256])
{
    Candidate candidates[PROVISIONAL_COLOURS];
    for (int i = 0; i < scan->count; i++) {
        uint8_t parts[4];
        memcpy(parts, &scan->key[i], 4);
        candidates[i] = (Candidate){{parts[0], parts[1], parts[2]}, scan->core_px[i], i};
    }
    qsort(candidates, (size_t)scan->count, sizeof *candidates, by_px_then_value);
    map[LABEL_CLEAR] = LABEL_CLEAR;
    for (int i = 0; i < scan->count; i++) {
        bool is_blend =
            candidates[i].px < FEW_CORE_PX && lies_between(palette, candidates[i].colour, BLEND_REACH_CODES);
        int index = is_blend ? -1 : palette_take(palette, &candidates[i], same_de00);
        if (index >= 0 && colour_value(palette->colours[index].colour) != colour_value(candidates[i].colour))
            scan->stats->shade_count++, scan->stats->shade_px += candidates[i].px;
        map[LABEL_FIRST + candidates[i].index] = index < 0 ? LABEL_UNDECIDED : (uint8_t)(LABEL_FIRST + index);
    }
}

static bool map_labels(uint8_t *label, size_t px, const uint8_t map[256], Work *work, int64_t *decided, Error *err)
{
    *decided = 0;
    for (size_t from = 0; from < px; from += PX_PER_LOOK) {
        size_t to = from + PX_PER_LOOK < px ? from + PX_PER_LOOK : px;
        if (!work_goes_on(work, err)) return false;
        for (size_t i = from; i < to; i++) {
            label[i] = map[label[i]];
            *decided += label[i] != LABEL_UNDECIDED;
        }
    }
    return true;
}

bool palette_from_cores(const Picture *picture, double same_de00, Work *work, uint8_t *label, Palette *palette,
                        FlatStats *stats, Error *err)
{
    *palette = (Palette){0};
    *stats = (FlatStats){0};
    size_t px = (size_t)picture->width_px * (size_t)picture->height_px;
    ArenaMark mark = arena_mark(&work->scratch);
    CoreScan *scan = arena_new(&work->scratch, CoreScan, 1);
    if (!scan) return error_memory(err);
    scan->picture = picture;
    scan->label = label;
    scan->stats = stats;
    bool good = scan_rows(scan, work, err);
    if (good && !stats->too_many) {
        uint8_t map[256] = {0};
        merge_candidates(scan, same_de00, palette, map);
        good = map_labels(label, px, map, work, &stats->pure_px, err);
    }
    arena_rewind(&work->scratch, mark);
    return good;
}

bool palette_of_all_pixels(const Picture *picture, int most, Work *work, Palette *palette, bool *few, Error *err)
{
    *palette = (Palette){0};
    *few = false;
    assert(most <= SEPARATION_MAX_COLOURS);
    size_t px = (size_t)picture->width_px * (size_t)picture->height_px;
    for (size_t i = 0; i < px; i++) {
        if (i % PX_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        if (picture->rgba[i * 4 + 3] < OPAQUE_ALPHA) continue;
        Srgb8 colour = picture_colour(picture, i);
        int at = 0;
        while (at < palette->count && colour_value(palette->colours[at].colour) != colour_value(colour)) at++;
        if (at == most) return true;
        if (at == palette->count)
            palette->colours[palette->count++] = (PaletteColour){colour, lab_from_srgb8(colour), 0};
        palette->colours[at].core_px++;
    }
    *few = palette->count > 0;
    return true;
}

// ---- noisy pictures ----

// Least and greatest value of each byte over up to five rows.
static void range_of_rows(const Picture *p, int y, uint8_t *low, uint8_t *high)
{
    size_t stride = (size_t)p->width_px * 4;
    int from = y > 1 ? y - 2 : 0, to = y + 2 < p->height_px ? y + 2 : p->height_px - 1;
    memcpy(low, p->rgba + (size_t)from * stride, stride);
    memcpy(high, low, stride);
    for (int row = from + 1; row <= to; row++) {
        const uint8_t *here = p->rgba + (size_t)row * stride;
        for (size_t i = 0; i < stride; i++) {
            low[i] = here[i] < low[i] ? here[i] : low[i];
            high[i] = here[i] > high[i] ? here[i] : high[i];
        }
    }
}

static bool is_calm(const uint8_t *low, const uint8_t *high, int x, int width_px)
{
    int from = x > 1 ? x - 2 : 0, to = x + 2 < width_px ? x + 2 : width_px - 1;
    for (int channel = 0; channel < 4; channel++) {
        int least = 255, most = 0;
        for (int i = from; i <= to; i++) {
            size_t at = (size_t)i * 4 + (size_t)channel;
            if (low[at] < least) least = low[at];
            if (high[at] > most) most = high[at];
        }
        if (most - least > CALM_RANGE_CODES) return false;
    }
    return true;
}

// Labels calm pixels LABEL_FIRST, calm transparent ones LABEL_CLEAR.
static bool mark_calm_pixels(const Picture *p, Work *work, uint8_t *label, Error *err)
{
    uint8_t *low = arena_new(&work->scratch, uint8_t, (size_t)p->width_px * 4);
    uint8_t *high = arena_new(&work->scratch, uint8_t, (size_t)p->width_px * 4);
    if (!low || !high) return error_memory(err);
    for (int y = 0; y < p->height_px; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        range_of_rows(p, y, low, high);
        size_t at = (size_t)y * (size_t)p->width_px;
        for (int x = 0; x < p->width_px; x++) {
            bool is_clear = p->rgba[(at + (size_t)x) * 4 + 3] < OPAQUE_ALPHA;
            bool calm = !is_clear && is_calm(low, high, x, p->width_px);
            label[at + (size_t)x] = is_clear ? LABEL_CLEAR : calm ? LABEL_FIRST : LABEL_UNDECIDED;
        }
    }
    return true;
}

static Srgb8 mean_of_part(const Picture *p, const Runs *runs, const Part *part)
{
    int64_t sum[3] = {0};
    for (int32_t i = part->first_run; i >= 0; i = runs->runs[i].next) {
        size_t row = (size_t)runs_row_of(runs, i) * (size_t)p->width_px;
        for (int32_t x = runs->runs[i].x0; x < runs->runs[i].x1; x++)
            for (int c = 0; c < 3; c++) sum[c] += p->rgba[(row + (size_t)x) * 4 + (size_t)c];
    }
    int64_t n = part->area_px;
    return (Srgb8){(uint8_t)((sum[0] + n / 2) / n), (uint8_t)((sum[1] + n / 2) / n), (uint8_t)((sum[2] + n / 2) / n)};
}

// Which shade of a palette colour has most pixels: the one that its largest part has, or the largest other one.
typedef struct Shades { int64_t first_px, other_px; Srgb8 other; Lab other_lab; } Shades;

static void count_shade(Shades *s, const PaletteColour *p, const Candidate *candidate)
{
    Lab lab = lab_from_srgb8(candidate->colour);
    if (lab_difference_2000(lab, p->lab) < SHADE_DE00)
        s->first_px += candidate->px;
    else if (s->other_px == 0)
        s->other_px = candidate->px, s->other = candidate->colour, s->other_lab = lab;
    else if (lab_difference_2000(lab, s->other_lab) < SHADE_DE00)
        s->other_px += candidate->px;
}

// Rounding in compression takes colour differences farther than lightness, which it keeps well (ITU-R BT.601, ITU-T T.81).
static bool is_rounded_from(Srgb8 a, Srgb8 b)
{
    double red = a.r - b.r, green = a.g - b.g, blue = a.b - b.b;
    double luma = 0.299 * red + 0.587 * green + 0.114 * blue;
    return fabs(luma) <= CALM_SAME_LUMA_CODES && red * red + green * green + blue * blue <= CALM_SAME_CODES * CALM_SAME_CODES;
}

// As palette_take; dE00 is fine where colours are pale or grey, and compression is not.
static int palette_take_calm(Palette *palette, const Candidate *candidate)
{
    double same_de00 = candidate->px < CALM_LARGE_PX ? CALM_SAME_DE00 : CALM_SAME_LARGE_DE00;
    if (palette_find(palette, candidate->colour, same_de00) < 0)
        for (int i = 0; i < palette->count; i++) {
            if (!is_rounded_from(palette->colours[i].colour, candidate->colour)) continue;
            palette->colours[i].core_px += candidate->px;
            return i;
        }
    return palette_take(palette, candidate, same_de00);
}

static bool palette_of_calm_parts(const Picture *p, const uint8_t *label, Work *work, Palette *palette, Error *err)
{
    Runs runs;
    if (!runs_make(label, p->width_px, p->height_px, &work->scratch, work, &runs, err)) return false;
    Candidate *candidates = arena_new(&work->scratch, Candidate, runs.part_count);
    if (!candidates) return error_memory(err);
    int count = 0;
    int64_t measured_px = 0, looked_px = 0; // a part may be as large as the picture, or there may be millions
    for (int32_t i = 0; i < runs.part_count; i++) {
        const Part *part = &runs.parts[i];
        measured_px += part->area_px;
        if (measured_px - looked_px >= PX_PER_LOOK) {
            if (!work_goes_on(work, err)) return false;
            looked_px = measured_px;
        }
        if (part->label != LABEL_FIRST || part->area_px < CALM_AREA_LEAST_PX) continue;
        candidates[count++] = (Candidate){mean_of_part(p, &runs, part), part->area_px, i};
    }
    qsort(candidates, (size_t)count, sizeof *candidates, by_px_then_value);
    Palette all = {0};
    Shades shades[SEPARATION_MAX_COLOURS] = {{0}};
    for (int i = 0; i < count; i++) {
        if (i % CANDIDATES_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        int at = palette_take_calm(&all, &candidates[i]);
        if (at >= 0) count_shade(&shades[at], &all.colours[at], &candidates[i]);
    }
    for (int i = 0; i < all.count; i++)
        if (shades[i].other_px > shades[i].first_px) all.colours[i].colour = shades[i].other, all.colours[i].lab = shades[i].other_lab;
    double least = CALM_LEAST_SHARE * p->width_px * p->height_px;
    for (int i = 0; i < all.count; i++)
        if ((double)all.colours[i].core_px >= least) palette->colours[palette->count++] = all.colours[i];
    return true;
}

bool palette_from_calm_areas(const Picture *picture, Work *work, uint8_t *label, Palette *palette, int64_t *pure_px, Error *err)
{
    *palette = (Palette){0};
    *pure_px = 0;
    ArenaMark mark = arena_mark(&work->scratch);
    bool good =
        mark_calm_pixels(picture, work, label, err) && palette_of_calm_parts(picture, label, work, palette, err);
    ShadeCache *cache = good ? arena_new(&work->scratch, ShadeCache, 1) : NULL;
    if (good && !cache) good = error_memory(err);
    size_t px = (size_t)picture->width_px * (size_t)picture->height_px;
    for (size_t i = 0; good && i < px; i++) {
        if (i % 65536 == 0) good = work_goes_on(work, err);
        if (label[i] == LABEL_FIRST) {
            int index = palette_find_cached(cache, palette, picture_colour(picture, i), CALM_PURE_DE00);
            label[i] = index < 0 ? LABEL_UNDECIDED : (uint8_t)(LABEL_FIRST + index);
        }
        *pure_px += label[i] != LABEL_UNDECIDED;
    }
    arena_rewind(&work->scratch, mark);
    return good;
}
