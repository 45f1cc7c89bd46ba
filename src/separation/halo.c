// halo.c - see halo.h.
#include "separation/halo.h"

#include <stdlib.h>
#include <string.h>

#define HALO_WIDTH_PX 1.5        // larger: true thin parts go; smaller: slivers with a thick end stay
#define SLIVER_COLOUR_SHARE 0.003  // larger: one line of many of a colour might go
#define SLIVER_NEIGHBOUR_SHARE 0.7 // a sliver has two sides
#define PEEK_COLOUR_SHARE 0.1 // larger: the thin parts of a colour that has few others might go
#define PEEK_GROUND_SHARE 0.25 // of its border: a strip that ends at a line's end has less ground beside it than half
#define SCRAP_MOST_PX 600        // larger areas convince by their size
#define MOST_COLOUR_SHARE 0.02   // of all areas of the colour: more and it is what the colour is there for
#define SCRAP_LEAST_SHARE 0.72   // of the way from the neighbour's colour to its own, in its best quarter of pixels
#define BLEND_WIDTH_PX 2.4       // of a sliver in a colour that the edge between its two sides shows on the way
#define BLEND_MOST 0.25          // of the way from one side; what lies farther in is too steep in an edge to come out as wide
#define BLEND_OFF_CODES 20       // from that way
#define BLEND_SIDE_SHARE 0.25    // of the border, of either side
#define LIKE_DE00 10.0           // colours that ringing can take for one another
#define LIKE_LEAST_SHARE 0.1     // of the border: less is a corner
#define PARTS_PER_LOOK 256

typedef struct Border { // of a part
    const Runs *runs;
    int64_t whole, of_label[256];
} Border;

static void count_border(void *taker, int32_t neighbour, int32_t cracks)
{
    Border *b = taker;
    b->whole += cracks;
    if (neighbour >= 0) b->of_label[b->runs->parts[neighbour].label] += cracks;
}

static Border border_of(Runs *runs, int32_t part)
{
    Border border = {.runs = runs};
    runs_walk_border(runs, part, count_border, &border);
    return border;
}

// A strip has about twice its area over its border.
static bool is_narrow(const Runs *runs, int32_t part, const Border *border, double width_px)
{
    return 2.0 * (double)runs->parts[part].area_px < width_px * (double)border->whole;
}

// No neighbour has most of the border.
static bool has_two_sides(const Border *border)
{
    for (int i = 0; i < 256; i++)
        if ((double)border->of_label[i] > SLIVER_NEIGHBOUR_SHARE * (double)border->whole) return false;
    return true;
}

static bool is_sliver(const Runs *runs, int32_t part, const Border *border)
{
    return is_narrow(runs, part, border, HALO_WIDTH_PX) && has_two_sides(border);
}

// A strip between the ground and an outline, beyond which its colour has large areas: it was to end under the outline.
static bool peeks_out(Runs *runs, int32_t part, double width_px)
{
    Border border = border_of(runs, part);
    int64_t ground = border.of_label[LABEL_CLEAR] + border.whole;
    for (int i = 0; i < 256; i++) ground -= border.of_label[i]; // the picture's edge is ground too
    return is_narrow(runs, part, &border, width_px) && has_two_sides(&border) && (double)ground >= PEEK_GROUND_SHARE * (double)border.whole;
}

// ---- scraps: small areas whose pixels are half-way to the neighbour ----

static const Srgb8 *colour_of_label(const Palette *palette, uint8_t ground_paint, uint8_t label)
{
    if (label == LABEL_CLEAR) label = ground_paint;
    return label >= LABEL_FIRST ? &palette->colours[label - LABEL_FIRST].colour : NULL;
}

static uint8_t main_neighbour(const Border *border)
{
    int most = LABEL_CLEAR;
    for (int i = LABEL_CLEAR; i < 256; i++)
        if (border->of_label[i] > border->of_label[most]) most = i;
    return (uint8_t)most;
}

// How far a pixel lies on the way from colour a to colour b, in thousandths.
static int way_from(Srgb8 a, Srgb8 b, Srgb8 c)
{
    int ab[3] = {b.r - a.r, b.g - a.g, b.b - a.b}, ac[3] = {c.r - a.r, c.g - a.g, c.b - a.b};
    int dot = 0, length2 = 0;
    for (int i = 0; i < 3; i++) dot += ab[i] * ac[i], length2 += ab[i] * ab[i];
    return length2 > 0 ? (int)(1000 * (int64_t)dot / length2) : 1000;
}

static int farthest_first(const void *a, const void *b)
{
    return *(const int *)b - *(const int *)a;
}

static bool are_like(Srgb8 a, Srgb8 b)
{
    return lab_difference_2000(lab_from_srgb8(a), lab_from_srgb8(b)) < LIKE_DE00;
}

// Is this colour what an edge between the two shows near one of them, and much like that one?
static bool is_blend_near_end(Srgb8 a, Srgb8 b, Srgb8 c)
{
    double t = way_from(a, b, c) / 1000.0;
    if (!are_like(a, c) && !are_like(b, c)) return false;
    double r = c.r - a.r - t * (b.r - a.r), g = c.g - a.g - t * (b.g - a.g), l = c.b - a.b - t * (b.b - a.b);
    bool is_near_end = (t > 0.0 && t < BLEND_MOST) || (t > 1.0 - BLEND_MOST && t < 1.0);
    return is_near_end && r * r + g * g + l * l <= BLEND_OFF_CODES * BLEND_OFF_CODES;
}

// Compression draws an edge out: between white and blue it may show a pale blue for two pixels, which is a colour of the picture
// elsewhere.
static bool is_drawn_out(const Palette *palette, uint8_t ground_paint, const Runs *runs, int32_t part, const Border *border)
{
    if (!is_narrow(runs, part, border, BLEND_WIDTH_PX)) return false;
    const Srgb8 *own = colour_of_label(palette, ground_paint, runs->parts[part].label), *sides[2] = {NULL, NULL};
    int count = 0;
    for (int l = LABEL_CLEAR; l < 256; l++) {
        if ((double)border->of_label[l] < BLEND_SIDE_SHARE * (double)border->whole) continue;
        if (count < 2) sides[count] = colour_of_label(palette, ground_paint, (uint8_t)l);
        count++;
    }
    return count == 2 && own && sides[0] && sides[1] && is_blend_near_end(*sides[0], *sides[1], *own);
}

// Do the best of its pixels come no nearer to its colour than part of the way from this other one?
static bool falls_short(const Picture *picture, const Runs *runs, const Part *p, Srgb8 other, Srgb8 own)
{
    int way[SCRAP_MOST_PX], n = 0;
    for (int32_t i = p->first_run; i >= 0; i = runs->runs[i].next) {
        size_t row = (size_t)runs_row_of(runs, i) * (size_t)picture->width_px;
        for (int32_t x = runs->runs[i].x0; x < runs->runs[i].x1 && n < SCRAP_MOST_PX; x++)
            way[n++] = way_from(other, own, picture_colour(picture, row + (size_t)x));
    }
    qsort(way, (size_t)n, sizeof *way, farthest_first);
    int best = (n + 3) / 4;
    int64_t sum = 0;
    for (int i = 0; i < best; i++) sum += way[i];
    return (double)sum < 1000.0 * SCRAP_LEAST_SHARE * best;
}

// From the colour that most of it borders on, or from one beside it that is much like its own: an edge's ringing is enough to come
// from that one some of the way.
static bool is_scrap(const Picture *picture, const Palette *palette, uint8_t ground_paint, const Runs *runs, int32_t part, const Border *border)
{
    const Part *p = &runs->parts[part];
    const Srgb8 *own = colour_of_label(palette, ground_paint, p->label);
    uint8_t main = main_neighbour(border);
    for (int l = LABEL_CLEAR; own && l < 256; l++) {
        const Srgb8 *other = border->of_label[l] > 0 ? colour_of_label(palette, ground_paint, (uint8_t)l) : NULL;
        if (!other) continue;
        bool is_like = (double)border->of_label[l] >= LIKE_LEAST_SHARE * (double)border->whole && are_like(*own, *other);
        if ((l == main || is_like) && falls_short(picture, runs, p, *other, *own)) return true;
    }
    return false;
}

// The ground's colour has the ground's area too.
static void sum_areas(const Runs *runs, uint8_t ground_paint, int64_t area[256])
{
    memset(area, 0, 256 * sizeof *area);
    for (int32_t i = 0; i < runs->part_count; i++) area[runs->parts[i].label] += runs->parts[i].area_px;
    if (ground_paint != LABEL_UNDECIDED) area[ground_paint] += area[LABEL_CLEAR];
}

static double share_of_colour(const Runs *runs, int32_t part, const int64_t area[256])
{
    return (double)runs->parts[part].area_px / (double)area[runs->parts[part].label];
}

static double longest_px(const Part *part)
{
    int32_t width = part->x1 - part->x0, height = part->y1 - part->y0;
    return width > height ? width : height;
}

// Colours all of whose parts peek out or are no longer than a scrap.
static bool find_scrap_colours(const PeekLimits *limits, Runs *runs, Work *work, bool scraps[256], Error *err)
{
    for (int l = 0; l < 256; l++) scraps[l] = l >= LABEL_FIRST;
    for (int32_t i = 0; i < runs->part_count; i++) {
        if (i % PARTS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        const Part *part = &runs->parts[i];
        if (longest_px(part) > limits->scrap_px) scraps[part->label] = false;
        else if (longest_px(part) > limits->width_px && !peeks_out(runs, i, limits->width_px)) scraps[part->label] = false;
    }
    return true;
}

bool peeks_find(const PeekLimits *limits, Runs *runs, Work *work, Error *err)
{
    int64_t area[256];
    bool scraps[256];
    sum_areas(runs, LABEL_UNDECIDED, area);
    if (!find_scrap_colours(limits, runs, work, scraps, err)) return false;
    for (int32_t i = 0; i < runs->part_count; i++) {
        if (i % PARTS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        uint8_t label = runs->parts[i].label;
        if (label < LABEL_FIRST || (!scraps[label] && share_of_colour(runs, i, area) > PEEK_COLOUR_SHARE)) continue;
        if (peeks_out(runs, i, limits->width_px)) runs->parts[i].flags |= PART_HALO;
    }
    return true;
}

bool halos_find(const Picture *picture, const Palette *palette, uint8_t ground_paint, Runs *runs, Work *work, Error *err)
{
    int64_t area[256];
    sum_areas(runs, ground_paint, area);
    for (int32_t i = 0; i < runs->part_count; i++) {
        if (i % PARTS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        Part *part = &runs->parts[i];
        if (part->flags & PART_TOLD) continue;
        double of_colour = share_of_colour(runs, i, area);
        if (of_colour > MOST_COLOUR_SHARE) continue;
        Border border = border_of(runs, i);
        bool is_small = part->area_px <= SCRAP_MOST_PX && part->label >= LABEL_FIRST;
        if (of_colour <= SLIVER_COLOUR_SHARE && is_sliver(runs, i, &border)) part->flags |= PART_HALO;
        if (is_drawn_out(palette, ground_paint, runs, i, &border) ||
            (is_small && is_scrap(picture, palette, ground_paint, runs, i, &border)))
            part->flags |= PART_HALO | PART_SCRAP;
    }
    return true;
}
