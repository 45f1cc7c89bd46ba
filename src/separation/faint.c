// faint.c - see faint.h.
#include "separation/faint.h"

#include "separation/runs.h"

#include <math.h>
#include <stdlib.h>

#define ROWS_PER_LOOK 32
#define EVEN_LIGHTNESS_CODES 14 // most range of lightness in a 3x3 patch
#define EVEN_COLOUR_CODES 40    // the same of a colour difference
#define LEAST_PX 10             // of a patch; blends of round edges leave a few even ones
#define LEAST_WHOLE_PX 16       // of all patches of a colour
#define LEAST_WHOLE_SHARE 0.00005
#define APART_DE00 9.0          // from every colour there is
#define SAME_DE00 8.0           // patches of one colour differ by less
#define SURE_DE00 6.0
#define HALO_LIGHTNESS_CODES 14.0
#define HALO_COLOUR_CODES 14.0
#define HALO_REACH_PX 16        // colour is smeared over a block of so many pixels
#define HALO_LEAST_PX 6         // of a colour there, to cast a halo or have one
#define FARTHEST_PART 3         // a third of a patch, its farthest pixels, tells its colour

typedef struct Ycc { double y, b, r; } Ycc;

static Ycc ycc_of(double red, double green, double blue)
{
    double y = 0.299 * red + 0.587 * green + 0.114 * blue;
    return (Ycc){y, 0.564 * (blue - y), 0.713 * (red - y)};
}

static Ycc ycc_of_srgb8(Srgb8 c)
{
    return ycc_of(c.r, c.g, c.b);
}

// Is the 3x3 patch round a pixel inside the picture even? Sums in thousandths.
static bool is_even(const Picture *p, int x, int y)
{
    int least[3] = {1 << 30, 1 << 30, 1 << 30}, most[3] = {-(1 << 30), -(1 << 30), -(1 << 30)};
    for (int j = y - 1; j <= y + 1; j++)
        for (int i = x - 1; i <= x + 1; i++) {
            const uint8_t *q = p->rgba + ((size_t)j * (size_t)p->width_px + (size_t)i) * 4;
            if (q[3] < OPAQUE_ALPHA) return false;
            int luma = 299 * q[0] + 587 * q[1] + 114 * q[2];
            const int v[3] = {luma, 564 * q[2] - luma * 564 / 1000, 713 * q[0] - luma * 713 / 1000};
            for (int k = 0; k < 3; k++) {
                if (v[k] < least[k]) least[k] = v[k];
                if (v[k] > most[k]) most[k] = v[k];
            }
        }
    return most[0] - least[0] <= 1000 * EVEN_LIGHTNESS_CODES && most[1] - least[1] <= 1000 * EVEN_COLOUR_CODES &&
           most[2] - least[2] <= 1000 * EVEN_COLOUR_CODES;
}

static bool mark_even_pixels(const Picture *p, const uint8_t *label, Work *work, uint8_t *even, Error *err)
{
    for (int y = 1; y + 1 < p->height_px; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        for (int x = 1; x + 1 < p->width_px; x++) {
            size_t at = (size_t)y * (size_t)p->width_px + (size_t)x;
            if (label[at] == LABEL_UNDECIDED) even[at] = is_even(p, x, y);
        }
    }
    return true;
}

// Which colours of the palette lie so near to a part that one may smear into another there.
static void find_near(const Picture *p, const Part *part, const Palette *palette, ShadeCache *cache, bool near[SEPARATION_MAX_COLOURS])
{
    int px_of[SEPARATION_MAX_COLOURS] = {0};
    int x0 = part->x0 - HALO_REACH_PX, y0 = part->y0 - HALO_REACH_PX, x1 = part->x1 + HALO_REACH_PX, y1 = part->y1 + HALO_REACH_PX;
    for (int y = y0 < 0 ? 0 : y0; y < y1 && y < p->height_px; y++)
        for (int x = x0 < 0 ? 0 : x0; x < x1 && x < p->width_px; x++) {
            int index = palette_find_cached(cache, palette, picture_colour(p, (size_t)y * (size_t)p->width_px + (size_t)x), SURE_DE00);
            if (index >= 0) px_of[index]++;
        }
    for (int i = 0; i < palette->count; i++) near[i] = px_of[i] >= HALO_LEAST_PX;
}

// Has the colour the lightness of one that is near and a colour difference between this one's and another's?
static bool is_halo(const Palette *palette, const bool near[SEPARATION_MAX_COLOURS], Ycc c)
{
    for (int i = 0; i < palette->count; i++) {
        if (!near[i]) continue;
        Ycc a = ycc_of_srgb8(palette->colours[i].colour);
        if (fabs(a.y - c.y) > HALO_LIGHTNESS_CODES) continue;
        for (int k = 0; k < palette->count; k++) {
            if (!near[k]) continue;
            Ycc b = ycc_of_srgb8(palette->colours[k].colour);
            double db = b.b - a.b, dr = b.r - a.r, length2 = db * db + dr * dr;
            double t = length2 > 0 ? ((c.b - a.b) * db + (c.r - a.r) * dr) / length2 : 0;
            t = t < 0 ? 0 : t > 1 ? 1 : t;
            double ob = c.b - a.b - t * db, orr = c.r - a.r - t * dr;
            if (ob * ob + orr * orr <= HALO_COLOUR_CODES * HALO_COLOUR_CODES) return true;
        }
    }
    return false;
}

typedef struct Far { double colour2; size_t at; } Far; // squared colour difference to grey, and the pixel

static int farthest_first(const void *a, const void *b)
{
    const Far *p = a, *q = b;
    if (p->colour2 != q->colour2) return p->colour2 > q->colour2 ? -1 : 1;
    return p->at < q->at ? -1 : p->at > q->at;
}

// Smearing takes colour away: the mean of the third that has most of it. Integer sums, so that the order is all that counts.
static Srgb8 colour_of_patch(const Picture *p, const Runs *runs, const Part *part, Far *room)
{
    int n = 0;
    for (int32_t i = part->first_run; i >= 0; i = runs->runs[i].next) {
        size_t row = (size_t)runs_row_of(runs, i) * (size_t)p->width_px;
        for (int32_t x = runs->runs[i].x0; x < runs->runs[i].x1; x++) {
            const uint8_t *q = p->rgba + (row + (size_t)x) * 4;
            Ycc c = ycc_of(q[0], q[1], q[2]);
            room[n++] = (Far){c.b * c.b + c.r * c.r, row + (size_t)x};
        }
    }
    qsort(room, (size_t)n, sizeof *room, farthest_first);
    int count = n / FARTHEST_PART + 1, sum[3] = {0};
    if (count > n) count = n;
    for (int i = 0; i < count; i++)
        for (int k = 0; k < 3; k++) sum[k] += p->rgba[room[i].at * 4 + (size_t)k];
    return (Srgb8){(uint8_t)((sum[0] + count / 2) / count), (uint8_t)((sum[1] + count / 2) / count),
                   (uint8_t)((sum[2] + count / 2) / count)};
}

typedef struct Patch { Srgb8 colour; int32_t part; int64_t px; } Patch;

static int largest_first(const void *a, const void *b)
{
    const Patch *p = a, *q = b;
    if (p->px != q->px) return p->px > q->px ? -1 : 1;
    return p->part < q->part ? -1 : p->part > q->part;
}

static bool list_patches(const Picture *p, const Runs *runs, const Palette *palette, Work *work, Patch **out, int *count, Error *err)
{
    int64_t most = 1;
    for (int32_t i = 0; i < runs->part_count; i++)
        if (runs->parts[i].label && runs->parts[i].area_px > most) most = runs->parts[i].area_px;
    Far *room = arena_new(&work->scratch, Far, (size_t)most);
    Patch *patches = arena_new(&work->scratch, Patch, runs->part_count);
    ShadeCache *cache = arena_new(&work->scratch, ShadeCache, 1);
    if (!room || !patches || !cache) return error_memory(err);
    *count = 0;
    for (int32_t i = 0; i < runs->part_count; i++) {
        const Part *part = &runs->parts[i];
        if (i % 256 == 0 && !work_goes_on(work, err)) return false;
        if (!part->label || part->area_px < LEAST_PX) continue;
        Srgb8 colour = colour_of_patch(p, runs, part, room);
        if (palette_find(palette, colour, APART_DE00) >= 0) continue;
        bool near[SEPARATION_MAX_COLOURS];
        find_near(p, part, palette, cache, near);
        if (is_halo(palette, near, ycc_of_srgb8(colour))) continue;
        patches[(*count)++] = (Patch){colour, i, part->area_px};
    }
    qsort(patches, (size_t)*count, sizeof *patches, largest_first);
    *out = patches;
    return true;
}

// Colours of patches, the largest patch's where several are of one; those with too few pixels are left out.
static void add_colours(const Patch *patches, int count, double least_px, Palette *palette)
{
    Palette found = {.count = 0};
    for (int i = 0; i < count; i++) {
        int at = palette_find(&found, patches[i].colour, SAME_DE00);
        if (at >= 0) found.colours[at].core_px += patches[i].px;
        else if (found.count < SEPARATION_MAX_COLOURS)
            found.colours[found.count++] = (PaletteColour){patches[i].colour, lab_from_srgb8(patches[i].colour), patches[i].px};
    }
    for (int i = 0; i < found.count && palette->count < SEPARATION_MAX_COLOURS; i++)
        if ((double)found.colours[i].core_px >= least_px) palette->colours[palette->count++] = found.colours[i];
}

// An even patch is no blend of an edge: a pixel in it that has a colour is of that colour, although a blend of its neighbours
// may look the same (grey between black and white).
static bool label_even_pixels(const Picture *p, const uint8_t *even, const Palette *palette, Work *work, uint8_t *label, Error *err)
{
    ShadeCache *cache = arena_new(&work->scratch, ShadeCache, 1);
    if (!cache) return error_memory(err);
    size_t px = (size_t)p->width_px * (size_t)p->height_px;
    for (size_t i = 0; i < px; i++) {
        if (i % 65536 == 0 && !work_goes_on(work, err)) return false;
        if (!even[i]) continue;
        int index = palette_find_cached(cache, palette, picture_colour(p, i), SURE_DE00);
        if (index >= 0) label[i] = (uint8_t)(LABEL_FIRST + index);
    }
    return true;
}

static bool find(const Picture *p, Work *work, Palette *palette, uint8_t *label, Error *err)
{
    size_t px = (size_t)p->width_px * (size_t)p->height_px;
    uint8_t *even = arena_new(&work->scratch, uint8_t, px);
    if (!even) return error_memory(err);
    Runs runs;
    Patch *patches = NULL;
    int count = 0;
    if (!mark_even_pixels(p, label, work, even, err)) return false;
    if (!runs_make(even, p->width_px, p->height_px, &work->scratch, work, &runs, err)) return false;
    if (!list_patches(p, &runs, palette, work, &patches, &count, err)) return false;
    double least = LEAST_WHOLE_SHARE * (double)px;
    add_colours(patches, count, least > LEAST_WHOLE_PX ? least : LEAST_WHOLE_PX, palette);
    return label_even_pixels(p, even, palette, work, label, err);
}

bool faint_colours(const Picture *picture, Work *work, Palette *palette, uint8_t *label, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    bool good = find(picture, work, palette, label, err);
    arena_rewind(&work->scratch, mark);
    return good;
}
