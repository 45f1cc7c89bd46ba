// band.c - see band.h.
// Thresholds: from what compression at qualities 60 to 90 leaves of edges. Tried and left: following bands to where they are thinner
//          than 2 px, which took parts of their neighbours and closed no gap.
#include "separation/band.h"

#include <math.h>
#include <stdlib.h>

#define ROWS_PER_LOOK 4
#define REACH_PX 2             // to both neighbours' own lightness
#define FAR_PX 4               // there it is no other: the edge is no wide blur
#define LEAST_CONTRAST_CODES 40
#define FLAT_SHARE 0.22        // of the contrast, a pixel; a blend has half of it
#define SHARP_SHARE 0.35       // that half, less what slants and compression take
#define LEAST_SHARP 0.1        // of all pixels half-way between two: fewer, and the picture is blurred, in which all edges have flat middles
#define REACHED_SHARE 0.85     // of the contrast at FAR_PX
#define LUMA_CODES 12.0        // from the band's colour
#define APART_CODES 20.0       // in lightness, from both neighbours
#define APART_SHARE 0.12       // and of the contrast, since edges ring
#define EXTREME_SHARE 5        // a fifth of the contrast from an end still belongs to it
#define OPPOSITE -0.5          // cosine: the neighbours lie on both sides, and not a third one beside
#define COLOURED_CODES 20.0    // in colour difference, from a blend of the neighbours: less says nothing
#define LEAST_WAY 0.45         // from that blend to the band's colour; halved colour resolution takes the rest
#define OFF_CODES 14.0
#define DOUBT 2.0              // times as far off, and a pixel might still be of a tone
#define ALONG_PX 3             // a square of 7 x 7
#define LEAST_ALONG 2          // pixels of the band, or of its colour, in it
#define FOUND_PER_LOOK 4096
#define SAMPLE_EVERY 4         // pixels, to tell how sharp edges are

typedef struct Ycc { double y, b, r; } Ycc;

typedef struct Tones {
    Ycc own[SEPARATION_MAX_COLOURS];
    int count;
    bool is_any[256]; // of this lightness, within LUMA_CODES
} Tones;

typedef struct Edges { int64_t half_way, sharp; } Edges; // pixels

static Ycc ycc_of(const uint8_t *p)
{
    double y = 0.299 * p[0] + 0.587 * p[1] + 0.114 * p[2];
    return (Ycc){y, 0.564 * (p[2] - y), 0.713 * (p[0] - y)};
}

static const uint8_t *pixel(const Picture *p, int x, int y)
{
    return p->rgba + ((size_t)y * (size_t)p->width_px + (size_t)x) * 4;
}

static int luma_at(const Picture *p, int x, int y) // in thousandths
{
    const uint8_t *q = pixel(p, x, y);
    return 299 * q[0] + 587 * q[1] + 114 * q[2];
}

// Rise of lightness a pixel, squared, over three rows and three columns.
static double slope2_at(const Picture *p, int x, int y)
{
    double across = 0.0, down = 0.0;
    for (int k = -1; k <= 1; k++) {
        double weight = k == 0 ? 0.25 : 0.125;
        across += weight * (luma_at(p, x + 1, y + k) - luma_at(p, x - 1, y + k));
        down += weight * (luma_at(p, x + k, y + 1) - luma_at(p, x + k, y - 1));
    }
    return (across * across + down * down) * 1e-6;
}

typedef struct Sides { int low, high; const uint8_t *dark, *light; } Sides;

static Sides sides_at(const Picture *p, int x, int y, int reach)
{
    Sides s = {1 << 30, -1, NULL, NULL};
    for (int j = y - reach; j <= y + reach; j++)
        for (int i = x - reach; i <= x + reach; i++) {
            int luma = luma_at(p, i, j);
            if (luma < s.low) s.low = luma, s.dark = pixel(p, i, j);
            if (luma > s.high) s.high = luma, s.light = pixel(p, i, j);
        }
    return s;
}

static bool are_opposite(const Picture *p, int x, int y, const Sides *s)
{
    int end = (s->high - s->low) / EXTREME_SHARE, dark[2] = {0}, light[2] = {0};
    for (int dy = -REACH_PX; dy <= REACH_PX; dy++)
        for (int dx = -REACH_PX; dx <= REACH_PX; dx++) {
            int luma = luma_at(p, x + dx, y + dy);
            if (luma <= s->low + end) dark[0] += dx, dark[1] += dy;
            if (luma >= s->high - end) light[0] += dx, light[1] += dy;
        }
    double dot = dark[0] * light[0] + dark[1] * light[1];
    double length2 = (double)(dark[0] * dark[0] + dark[1] * dark[1]) * (light[0] * light[0] + light[1] * light[1]);
    return dot < 0.0 && dot * dot >= OPPOSITE * OPPOSITE * length2;
}

// How much of a tone a pixel has, which is no blend of its neighbours. A tone that it might be makes another one doubtful.
typedef enum Likeness { UNLIKE, MIGHT_BE, IS_LIKE } Likeness;

static Likeness likeness(Ycc c, Ycc tone, Ycc dark, Ycc light)
{
    double contrast = light.y - dark.y, t = (tone.y - dark.y) / contrast, apart = fmax(APART_CODES, APART_SHARE * contrast);
    if (fabs(c.y - tone.y) > DOUBT * LUMA_CODES || tone.y - dark.y < apart || light.y - tone.y < apart) return UNLIKE;
    double eb = tone.b - (dark.b + t * (light.b - dark.b)), er = tone.r - (dark.r + t * (light.r - dark.r));
    double db = c.b - (dark.b + t * (light.b - dark.b)), dr = c.r - (dark.r + t * (light.r - dark.r));
    double length2 = eb * eb + er * er, way = 0.0;
    if (length2 > COLOURED_CODES * COLOURED_CODES) {
        way = (db * eb + dr * er) / length2;
        if (way < LEAST_WAY / DOUBT) return UNLIKE;
    }
    double ob = db - way * eb, orr = dr - way * er, off2 = ob * ob + orr * orr;
    if (off2 > DOUBT * DOUBT * OFF_CODES * OFF_CODES) return UNLIKE;
    bool is_coloured = length2 > COLOURED_CODES * COLOURED_CODES;
    return fabs(c.y - tone.y) <= LUMA_CODES && off2 <= OFF_CODES * OFF_CODES && (!is_coloured || way >= LEAST_WAY) ? IS_LIKE : MIGHT_BE;
}

static void count_edge(Edges *edges, double t, double slope2, double contrast)
{
    if (t < 0.35 || t > 0.65) return;
    edges->half_way++;
    edges->sharp += slope2 >= SHARP_SHARE * SHARP_SHARE * contrast * contrast;
}

// The palette's index; -1 where no band is.
static int band_at(const Picture *p, const Tones *tones, int x, int y, Edges *edges)
{
    bool is_sample = (x + y) % SAMPLE_EVERY == 0, is_any = tones->is_any[luma_at(p, x, y) / 1000];
    if (!is_sample && !is_any) return -1;
    Sides near = sides_at(p, x, y, REACH_PX);
    double contrast = (near.high - near.low) * 1e-3, slope2;
    if (contrast < LEAST_CONTRAST_CODES) return -1;
    slope2 = slope2_at(p, x, y);
    if (is_sample) count_edge(edges, (luma_at(p, x, y) - near.low) * 1e-3 / contrast, slope2, contrast);
    if (!is_any || slope2 > FLAT_SHARE * FLAT_SHARE * contrast * contrast) return -1;
    Sides far = sides_at(p, x, y, FAR_PX);
    if (contrast < REACHED_SHARE * (far.high - far.low) * 1e-3) return -1;
    if (!are_opposite(p, x, y, &near)) return -1;
    Ycc c = ycc_of(pixel(p, x, y)), dark = ycc_of(near.dark), light = ycc_of(near.light);
    int found = -1, possible = 0;
    for (int i = 0; i < tones->count; i++) {
        Likeness like = likeness(c, tones->own[i], dark, light);
        possible += like != UNLIKE;
        if (like == IS_LIKE) found = i;
    }
    return possible == 1 ? found : -1;
}

// ---- bands are longer than a pixel or two ----

typedef struct Found { uint32_t *at; size_t count, capacity; Edges edges; } Found;

static bool is_blurred(const Edges *edges)
{
    return (double)edges->sharp < LEAST_SHARP * (double)edges->half_way;
}

static int count_like(const Picture *p, const uint8_t *label, uint32_t at)
{
    int width = p->width_px, x = (int)(at % (uint32_t)width), y = (int)(at / (uint32_t)width), count = 0;
    for (int j = y - ALONG_PX; j <= y + ALONG_PX; j++)
        for (int i = x - ALONG_PX; i <= x + ALONG_PX; i++)
            count += label[(size_t)j * (size_t)width + (size_t)i] == label[at];
    return count;
}

static bool drop_lonely(const Picture *p, const Found *found, uint8_t *label, Work *work, Error *err)
{
    bool *stays = arena_new(&work->scratch, bool, found->count);
    if (!stays) return error_memory(err);
    for (size_t i = 0; i < found->count; i++) {
        if (i % FOUND_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        stays[i] = !is_blurred(&found->edges) && count_like(p, label, found->at[i]) >= LEAST_ALONG;
    }
    for (size_t i = 0; i < found->count; i++)
        if (!stays[i]) label[found->at[i]] = LABEL_UNDECIDED;
    return true;
}

static bool find(const Picture *picture, const Tones *tones, Work *work, uint8_t *label, Found *found, Error *err)
{
    for (int y = FAR_PX; y + FAR_PX < picture->height_px; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        for (int x = FAR_PX; x + FAR_PX < picture->width_px; x++) {
            size_t at = (size_t)y * (size_t)picture->width_px + (size_t)x;
            if (label[at] != LABEL_UNDECIDED || picture->rgba[at * 4 + 3] < OPAQUE_ALPHA) continue;
            int index = band_at(picture, tones, x, y, &found->edges);
            if (index < 0) continue;
            uint32_t *grown = arena_grow(&work->scratch, found->at, found->count, &found->capacity, sizeof *grown);
            if (!grown) return error_memory(err);
            found->at = grown;
            found->at[found->count++] = (uint32_t)at;
            label[at] = (uint8_t)(LABEL_FIRST + index);
        }
    }
    return true;
}

bool bands_find(const Picture *picture, const Palette *palette, Work *work, uint8_t *label, Error *err)
{
    if (palette->count < 3) return true;
    Tones tones = {.count = palette->count};
    for (int i = 0; i < palette->count; i++) {
        Srgb8 c = palette->colours[i].colour;
        const uint8_t rgb[3] = {c.r, c.g, c.b};
        tones.own[i] = ycc_of(rgb);
        for (int v = 0; v < 256; v++) tones.is_any[v] |= fabs(v + 0.5 - tones.own[i].y) <= LUMA_CODES + 1.0;
    }
    ArenaMark mark = arena_mark(&work->scratch);
    Found found = {NULL, 0, 0, {0, 0}};
    bool good = find(picture, &tones, work, label, &found, err) && drop_lonely(picture, &found, label, work, err);
    arena_rewind(&work->scratch, mark);
    return good;
}
