// plateau.c - see plateau.h.
#include "separation/plateau.h"

#include <stdlib.h>
#include <string.h>

#define SAME_DE00 2.0        // a plateau this near to a palette colour is of that colour
#define APART_DE00 3.0       // from every colour there is; between the two it may be either, and nothing is said
#define COLOUR_LEAST_PX 10   // of all plateaus of a new colour; fewer are told by nothing but their count
#define OWN_SHARE 0.33       // of the pixels of its value outside cores, in plateaus: where blends were reduced to few values they have
#define OWN_SHARE_NEW 0.5    // plateaus now and then, and the same values all along the edges
#define LEAST_CORNERS 2      // one may happen where two edges meet
#define SOFT_CODES 6         // a smaller step to the border's next pixel is none of an edge
#define DOUBLED_SHARE 0.02   // of the steps along rows, at the rarer of odd and even columns: less means enlarged
#define DOUBLED_LEAST 64     // fewer steps say nothing
#define ROWS_PER_LOOK 32
#define PX_PER_LOOK 4096
#define MAY_BE_SIZE 4093     // a prime, so that greys do not fall together

#define LABEL_LOOKED_AT 255  // while this module works

typedef struct Plateau {
    uint32_t value;      // of the colour
    size_t first, count; // its pixels in the list
} Plateau;

typedef struct Search {
    const Picture *picture;
    uint8_t *label;
    Work *work;
    uint32_t *pixels; // of all plateaus, one after the other; those looked at last may be none
    size_t pixel_count, pixel_capacity;
    Plateau *items;
    size_t count, capacity;
} Search;

static uint32_t value_at(const Picture *picture, size_t at)
{
    Srgb8 c = picture_colour(picture, at);
    return (uint32_t)c.r << 16 | (uint32_t)c.g << 8 | c.b;
}

static Srgb8 colour_of(uint32_t value)
{
    return (Srgb8){(uint8_t)(value >> 16), (uint8_t)(value >> 8), (uint8_t)value};
}

// Was the picture made twice as large by repeating its pixels?
static bool is_doubled(const Picture *p)
{
    int64_t steps[2] = {0, 0};
    int apart = p->height_px / 64 + 1;
    for (int y = 0; y < p->height_px; y += apart) {
        size_t row = (size_t)y * (size_t)p->width_px;
        for (int x = 1; x < p->width_px; x++) steps[x & 1] += memcmp(p->rgba + (row + (size_t)x) * 4, p->rgba + (row + (size_t)x) * 4 - 4, 4) != 0;
    }
    int64_t rarer = steps[0] < steps[1] ? steps[0] : steps[1], all = steps[0] + steps[1];
    return all >= DOUBLED_LEAST && (double)rarer < DOUBLED_SHARE * (double)all;
}

// Is this pixel undecided, of this value and opaque?
static bool is_like(const Search *s, int x, int y, uint32_t value)
{
    const Picture *p = s->picture;
    if (x < 0 || y < 0 || x >= p->width_px || y >= p->height_px) return false;
    size_t at = (size_t)y * (size_t)p->width_px + (size_t)x;
    return s->label[at] == LABEL_UNDECIDED && p->rgba[at * 4 + 3] == 255 && value_at(p, at) == value;
}

// Three of one value in a corner have two one above the other: this is the upper one of them, in how many such corners?
static int corners_below(const Search *s, int x, int y, uint32_t value)
{
    if (!is_like(s, x, y + 1, value)) return 0;
    bool left = is_like(s, x - 1, y, value) || is_like(s, x - 1, y + 1, value);
    bool right = is_like(s, x + 1, y, value) || is_like(s, x + 1, y + 1, value);
    return left + right;
}

// A quick look, which tells most pixels apart.
static bool has_like_below(const Picture *p, size_t at, int y)
{
    const uint8_t *here = p->rgba + at * 4;
    return y + 1 < p->height_px && here[3] == 255 && memcmp(here, here + (size_t)p->width_px * 4, 4) == 0;
}

static bool take(Search *s, size_t at, Error *err)
{
    uint32_t *grown = arena_grow(&s->work->scratch, s->pixels, s->pixel_count, &s->pixel_capacity, sizeof *grown);
    if (!grown) return error_memory(err);
    s->pixels = grown;
    s->pixels[s->pixel_count++] = (uint32_t)at;
    s->label[at] = LABEL_LOOKED_AT;
    return true;
}

// All that touches the pixel and has its value, over corners too, into the list.
static bool take_all(Search *s, size_t start, Error *err)
{
    int width = s->picture->width_px;
    uint32_t value = value_at(s->picture, start);
    size_t next = s->pixel_count;
    if (!take(s, start, err)) return false;
    for (; next < s->pixel_count; next++) {
        if (next % PX_PER_LOOK == 0 && !work_goes_on(s->work, err)) return false;
        int x = (int)(s->pixels[next] % (uint32_t)width), y = (int)(s->pixels[next] / (uint32_t)width);
        for (int k = 0; k < 9; k++) {
            int nx = x + k % 3 - 1, ny = y + k / 3 - 1;
            if (is_like(s, nx, ny, value) && !take(s, (size_t)ny * (size_t)width + (size_t)nx, err)) return false;
        }
    }
    return true;
}

static int step_between(const Picture *p, size_t a, size_t b)
{
    int worst = 0;
    for (int k = 0; k < 4; k++) {
        int d = abs(p->rgba[a * 4 + (size_t)k] - p->rgba[b * 4 + (size_t)k]);
        if (d > worst) worst = d;
    }
    return worst;
}

// Of the steps from the pixels of the list from `first` on to others, are most steep? A band's own colour beside it is no step.
static bool has_steep_sides(const Search *s, size_t first)
{
    const Picture *p = s->picture;
    int64_t soft = 0, steep = 0;
    for (size_t i = first; i < s->pixel_count; i++) {
        size_t at = s->pixels[i], width = (size_t)p->width_px, x = at % width, y = at / width;
        const bool is_there[4] = {x > 0, x + 1 < width, y > 0, y + 1 < (size_t)p->height_px};
        const size_t beside[4] = {at - 1, at + 1, at - width, at + width};
        for (int k = 0; k < 4; k++) {
            int step = is_there[k] ? step_between(p, at, beside[k]) : 0;
            soft += step > 0 && step <= SOFT_CODES;
            steep += step > SOFT_CODES;
        }
    }
    return steep > 0 && soft <= steep;
}

// Corners of three among the pixels of the list from `first` on, which must still be undecided.
static int count_corners(Search *s, size_t first, uint32_t value)
{
    int width = s->picture->width_px, corners = 0;
    for (size_t i = first; i < s->pixel_count; i++) s->label[s->pixels[i]] = LABEL_UNDECIDED;
    for (size_t i = first; i < s->pixel_count && corners < LEAST_CORNERS; i++)
        corners += corners_below(s, (int)(s->pixels[i] % (uint32_t)width), (int)(s->pixels[i] / (uint32_t)width), value);
    for (size_t i = first; i < s->pixel_count; i++) s->label[s->pixels[i]] = LABEL_LOOKED_AT;
    return corners;
}

static bool look_from(Search *s, size_t start, Error *err)
{
    size_t first = s->pixel_count;
    uint32_t value = value_at(s->picture, start);
    if (!take_all(s, start, err)) return false;
    if (s->pixel_count - first < PLATEAU_LEAST_PX || count_corners(s, first, value) < LEAST_CORNERS || !has_steep_sides(s, first)) return true;
    Plateau *grown = arena_grow(&s->work->scratch, s->items, s->count, &s->capacity, sizeof *grown);
    if (!grown) return error_memory(err);
    s->items = grown;
    s->items[s->count++] = (Plateau){value, first, s->pixel_count - first};
    return true;
}

static bool search(Search *s, Error *err)
{
    int width = s->picture->width_px;
    for (int y = 0; y < s->picture->height_px; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(s->work, err)) return false;
        uint8_t *row = s->label + (size_t)y * (size_t)width;
        for (int x = 0; x < width; x++) {
            uint8_t *next = memchr(row + x, LABEL_UNDECIDED, (size_t)(width - x));
            if (!next) break;
            x = (int)(next - row);
            size_t at = (size_t)(next - s->label);
            if (has_like_below(s->picture, at, y) && corners_below(s, x, y, value_at(s->picture, at)) && !look_from(s, at, err)) return false;
        }
    }
    return true;
}

// ---- what they say ----

static int by_value_then_place(const void *a, const void *b)
{
    const Plateau *p = a, *q = b;
    if (p->value != q->value) return p->value < q->value ? -1 : 1;
    return p->first < q->first ? -1 : p->first > q->first;
}

// Plateaus of one value, and how many pixels of it there are that no core has.
typedef struct Shade { uint32_t value; size_t first, count, px, all_px; } Shade;

static bool gather_shades(Search *s, Shade **out, size_t *out_count, Error *err)
{
    Shade *shades = arena_new(&s->work->scratch, Shade, s->count);
    if (!shades) return error_memory(err);
    size_t n = 0;
    qsort(s->items, s->count, sizeof *s->items, by_value_then_place);
    for (size_t i = 0; i < s->count; i++) {
        if (!n || shades[n - 1].value != s->items[i].value) shades[n++] = (Shade){.value = s->items[i].value, .first = i};
        shades[n - 1].count++;
        shades[n - 1].px += s->items[i].count;
    }
    *out = shades, *out_count = n;
    return true;
}

static int by_value(const void *key, const void *item)
{
    uint32_t value = *(const uint32_t *)key, other = ((const Shade *)item)->value;
    return (value > other) - (value < other);
}

static bool count_all(const Search *s, Shade *shades, size_t count, Error *err)
{
    const Picture *p = s->picture;
    size_t px = (size_t)p->width_px * (size_t)p->height_px;
    bool may_be[MAY_BE_SIZE] = {false};
    for (size_t i = 0; i < count; i++) may_be[shades[i].value % MAY_BE_SIZE] = true;
    for (size_t i = 0, looks = 0; i < px; i++) {
        if (looks++ % PX_PER_LOOK == 0 && !work_goes_on(s->work, err)) return false;
        const uint8_t *next = memchr(s->label + i, LABEL_UNDECIDED, px - i);
        if (!next) break;
        i = (size_t)(next - s->label);
        uint32_t value = value_at(p, i);
        if (!may_be[value % MAY_BE_SIZE]) continue;
        Shade *shade = p->rgba[i * 4 + 3] == 255 ? bsearch(&value, shades, count, sizeof *shades, by_value) : NULL;
        if (shade) shade->all_px++;
    }
    return true;
}

static void label_shade(Search *s, const Shade *shade, Palette *palette)
{
    Srgb8 colour = colour_of(shade->value);
    int index = palette_find(palette, colour, SAME_DE00);
    if ((double)shade->px < (index < 0 ? OWN_SHARE_NEW : OWN_SHARE) * (double)shade->all_px) return;
    if (index < 0 && shade->px >= COLOUR_LEAST_PX && palette->count < SEPARATION_MAX_COLOURS && palette_find(palette, colour, APART_DE00) < 0) {
        index = palette->count++;
        palette->colours[index] = (PaletteColour){colour, lab_from_srgb8(colour), (int64_t)shade->px};
    }
    if (index < 0) return;
    for (size_t i = shade->first; i < shade->first + shade->count; i++)
        for (size_t n = 0; n < s->items[i].count; n++) s->label[s->pixels[s->items[i].first + n]] = (uint8_t)(LABEL_FIRST + index);
}

static bool label_plateaus(Search *s, Palette *palette, Error *err)
{
    for (size_t i = 0; i < s->pixel_count; i++) s->label[s->pixels[i]] = LABEL_UNDECIDED;
    if (s->count == 0) return true;
    Shade *shades = NULL;
    size_t count = 0;
    if (!gather_shades(s, &shades, &count, err) || !count_all(s, shades, count, err)) return false;
    for (size_t i = 0; i < count; i++) label_shade(s, &shades[i], palette);
    return true;
}

bool plateaus_find(const Picture *picture, Work *work, Palette *palette, uint8_t *label, Error *err)
{
    if (is_doubled(picture)) return true;
    ArenaMark mark = arena_mark(&work->scratch);
    Search s = {.picture = picture, .label = label, .work = work};
    bool good = search(&s, err) && label_plateaus(&s, palette, err);
    arena_rewind(&work->scratch, mark);
    return good;
}
