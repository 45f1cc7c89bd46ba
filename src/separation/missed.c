// missed.c - see missed.h.
#include "separation/missed.h"

#include "separation/runs.h"

#define ROWS_PER_LOOK 16
#define PARTS_PER_LOOK 64
#define FAR_CODES 64        // from a label's colour, in all three channels together
#define LEAST_INNER_PX 6    // middles of patches; what edges leave has fewer
#define LEAST_PX 20         // of an area
#define SAME_DE00 10.0      // as a colour of the palette
#define BESIDE_PX 5         // a second colour so near to an inner pixel may have blended or been smeared
#define ENCLOSED_SHARE 0.93 // of the pixels so near; the rest are crumbs along its edge
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

static void count_box(const Searcher *s, int x0, int y0, int x1, int y1, int64_t px_of[256])
{
    int width = s->picture->width_px, height = s->picture->height_px;
    for (int y = y0 < 0 ? 0 : y0; y < y1 && y < height; y++)
        for (int x = x0 < 0 ? 0 : x0; x < x1 && x < width; x++) px_of[s->label[(size_t)y * (size_t)width + (size_t)x]]++;
}

// Does one colour alone lie round the part, `index` itself and crumbs apart? Then nothing there is a blend, nor smeared.
static bool is_enclosed(const Searcher *s, const Runs *runs, const Part *part, int index)
{
    int64_t px_of[256] = {0}, all = 0, most = 0;
    for (int32_t i = part->first_run; i >= 0; i = runs->runs[i].next) {
        int y = runs_row_of(runs, i);
        count_box(s, runs->runs[i].x0 - BESIDE_PX, y - BESIDE_PX, runs->runs[i].x1 + BESIDE_PX, y + BESIDE_PX + 1, px_of);
    }
    for (int l = 0; l < 256; l++) {
        if (index >= 0 && l == LABEL_FIRST + index) continue;
        all += px_of[l];
        if (l >= LABEL_FIRST && px_of[l] > most) most = px_of[l];
    }
    return most > 0 && (double)most >= ENCLOSED_SHARE * (double)all;
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
    if (!is_enclosed(s, runs, part, index) || (is_new && s->palette->count == SEPARATION_MAX_COLOURS)) return true;
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
