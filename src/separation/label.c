// label.c - see label.h.
#include "separation/label.h"

#include "separation/beside.h"
#include "separation/explain.h"
#include "separation/strand.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define EXACT_DE00 2.0
#define EXACT_NOISY_DE00 5.0
#define LOOSE_FACTOR 2.5
#define HARD_EDGED_SHARE 0.05 // fewer blends among the undecided: the picture has no antialiasing
#define SHADED_SHARE 0.1      // of the opaque pixels; flat art leaves far less unexplained, however noisy
#define SHADED_NOISY_SHARE 0.01 // the same of a compressed picture, when so much of its edges is unexplained as well: a photograph
#define SHADED_EDGE_SHARE 0.07  // with a plain sky; compressed flat art leaves up to 0.03 of its edges
#define ROUGH_EDGE_SHARE 0.1    // of a clean picture's edges: clean art leaves up to 0.013, compressed maps 0.36 to 0.45
#define ROUGH_LEAST_PX 64       // fewer say nothing
#define BLEND_LUMA_CODES 12     // about dE00 5 of lightness, as EXACT_NOISY_DE00
#define PX_PER_LOOK 4096      // pixels between two looks at the wish to stop
#define MAP_PX_PER_LOOK ((size_t)1 << 20)
#define THIN_COLOURS_AT_MOST 8
#define THIN_LEAST_PX 24
#define THIN_LEAST_PICTURE_SHARE 0.0001
#define THIN_LEAST_UNEXPLAINED_SHARE 0.2
#define THIN_SAMPLE 2000
#define THIN_CANDIDATES 24
#define THIN_WINDOW_PX 4

typedef struct EdgeLabels {
    const Picture *picture;
    Palette *palette;
    Work *work;
    uint8_t *label;
    size_t px;
    uint32_t *edge; // pixels without a label, in raster order
    uint8_t *found; // the label of each, once found
    size_t edge_count, opaque_px;
    Explainer explainer;
    ShadeCache *cache; // of palette colours within exact_de00
    double tolerance_codes; // greatest distance of a blend from the line between its colours
    double exact_de00;
} EdgeLabels;

// ---- rounds over the pixels that have no label yet ----

// Colours of half transparent pixels were divided by alpha: their rounding errors grew.
static double tolerance_at(const EdgeLabels *e, uint32_t at)
{
    int alpha = e->picture->rgba[(size_t)at * 4 + 3];
    return e->tolerance_codes * 255.0 / (alpha > OPAQUE_ALPHA ? alpha : OPAQUE_ALPHA);
}

static bool look_at(const EdgeLabels *e, size_t i, Error *err)
{
    return i % PX_PER_LOOK != 0 || work_goes_on(e->work, err);
}

typedef enum Way { BY_NEAR, BY_NEAR_LOOSELY, BY_FOREIGN, WAYS } Way;

typedef struct Attempt {
    int window_px;
    Way way;
} Attempt;

// Compression with halved colour resolution takes a blend far from its line, but seldom as far as the loose way allows.
static uint8_t explain(const EdgeLabels *e, Vector colour, const NearColours *near, Way way)
{
    double tolerance = tolerance_at(e, near->at);
    switch (way) {
    case BY_NEAR:
        return explain_by_near(colour, near, tolerance);
    case BY_NEAR_LOOSELY:
        return explain_by_near(colour, near, LOOSE_FACTOR * tolerance);
    case BY_FOREIGN:
        return explain_by_foreign(e->palette, colour, near, tolerance);
    case WAYS:
        break;
    }
    return LABEL_UNDECIDED;
}

// The label by the first attempt that gives one. Windows never shrink from one attempt to the next; where the wider one
// holds no more colours than the last window tried in the same way, there is nothing to try again.
static uint8_t explain_pixel(const EdgeLabels *e, uint32_t at, const Attempt *attempts, int attempt_count)
{
    NearColours near = near_none(&e->explainer, at);
    int tried_with[WAYS] = {-1, -1, -1};
    Vector colour = vector_of(picture_colour(e->picture, at));
    for (int i = 0; i < attempt_count; i++) {
        Way way = attempts[i].way;
        near_widen(&e->explainer, attempts[i].window_px, &near);
        if (near.count == tried_with[way]) continue;
        tried_with[way] = near.count;
        uint8_t label = explain(e, colour, &near, way);
        if (label != LABEL_UNDECIDED) return label;
    }
    return LABEL_UNDECIDED;
}

// What is found is not in the map yet, so that one pixel's attempts do not hang on another's.
static bool attempt_all(EdgeLabels *e, const Attempt *attempts, int attempt_count, Error *err)
{
    for (size_t i = 0; i < e->edge_count; i++) {
        if (!look_at(e, i, err)) return false;
        if (!e->found[i]) e->found[i] = explain_pixel(e, e->edge[i], attempts, attempt_count);
    }
    return true;
}

static int exact_index(EdgeLabels *e, size_t i)
{
    return palette_find_cached(e->cache, e->palette, picture_colour(e->picture, e->edge[i]), e->exact_de00);
}

// Pixels of a palette's own colour that no blend explains: thin lines and tips. They become pure for later rounds.
static bool round_by_exact(EdgeLabels *e, Error *err)
{
    for (size_t i = 0; i < e->edge_count; i++) {
        if (!look_at(e, i, err)) return false;
        if (e->found[i]) continue;
        int index = exact_index(e, i);
        if (index >= 0) e->found[i] = (uint8_t)(LABEL_FIRST + index);
    }
    return true;
}

// Writes what is found of the exact round (those found since `before` was taken) into the map, as pure colour.
static bool write_found(EdgeLabels *e, const uint8_t *before, Error *err)
{
    for (size_t i = 0; i < e->edge_count; i++) {
        if (i % MAP_PX_PER_LOOK == 0 && !work_goes_on(e->work, err)) return false;
        if (e->found[i] && !(before && before[i])) e->label[e->edge[i]] = e->found[i];
    }
    explainer_forget(&e->explainer);
    return true;
}

// Noise reaches farther than antialiasing, and a blend in it may look exactly like a third colour: there all windows
// are tried before a pixel is believed to be what it looks like.
static bool explain_all(EdgeLabels *e, bool is_noisy, Error *err)
{
    static const Attempt clean_first[] = {{2, BY_NEAR}};
    static const Attempt noisy_first[] = {{4, BY_NEAR},
                                          {8, BY_NEAR},
                                          {8, BY_NEAR_LOOSELY},
                                          {WIDEST_WINDOW_PX, BY_NEAR},
                                          {WIDEST_WINDOW_PX, BY_NEAR_LOOSELY}};
    ArenaMark mark = arena_mark(&e->work->scratch);
    if (!(is_noisy ? attempt_all(e, noisy_first, 5, err) : attempt_all(e, clean_first, 1, err))) return false;
    uint8_t *before = arena_copy(&e->work->scratch, e->found, e->edge_count, 1);
    if (!before) return error_memory(err);
    if (!round_by_exact(e, err) || !write_found(e, before, err)) return false;
    arena_rewind(&e->work->scratch, mark);
    int window = is_noisy ? 4 : 2;
    const Attempt after[] = {{window, BY_NEAR}, {window + 2, BY_NEAR}, {window + 4, BY_NEAR}, {window + 4, BY_FOREIGN}};
    return attempt_all(e, after, 4, err);
}

// ---- colours that live in thin lines alone ----

typedef struct Shade {
    uint32_t value;
    int32_t count;
} Shade;

static int by_count(const void *a, const void *b)
{
    const Shade *p = a, *q = b;
    if (p->count != q->count) return p->count > q->count ? -1 : 1;
    return p->value < q->value ? -1 : p->value > q->value;
}

static Srgb8 colour_of_value(uint32_t value)
{
    return (Srgb8){(uint8_t)(value >> 16), (uint8_t)(value >> 8), (uint8_t)value};
}

// Sorts 24-bit values by their bytes, lowest first; `room` holds as many. Half a photograph has millions of them.
static void sort_values(uint32_t *values, uint32_t *room, size_t count)
{
    uint32_t *from = values, *to = room;
    for (int shift = 0; shift < 32; shift += 8) { // an even number of passes ends where it began
        size_t start[257] = {0};
        for (size_t i = 0; i < count; i++) start[(from[i] >> shift & 255) + 1]++;
        for (int b = 0; b < 256; b++) start[b + 1] += start[b];
        for (size_t i = 0; i < count; i++) to[start[from[i] >> shift & 255]++] = from[i];
        uint32_t *passed = from;
        from = to, to = passed;
    }
}

// The unexplained pixels' colours, most frequent first.
static bool count_shades(EdgeLabels *e, Shade **out, size_t *out_count, size_t *unexplained, Error *err)
{
    uint32_t *values = arena_new(&e->work->scratch, uint32_t, e->edge_count);
    uint32_t *room = arena_new(&e->work->scratch, uint32_t, e->edge_count);
    if (!values || !room) return error_memory(err);
    size_t n = 0, shade_count = 0;
    for (size_t i = 0; i < e->edge_count; i++) {
        if (!look_at(e, i, err)) return false;
        if (e->found[i]) continue;
        Srgb8 c = picture_colour(e->picture, e->edge[i]);
        values[n++] = (uint32_t)c.r << 16 | (uint32_t)c.g << 8 | c.b;
    }
    if (!work_goes_on(e->work, err)) return false;
    sort_values(values, room, n);
    Shade *shades = arena_new(&e->work->scratch, Shade, n);
    if (!shades) return error_memory(err);
    for (size_t i = 0; i < n; i++) {
        if (!i || values[i] != values[i - 1]) shades[shade_count++].value = values[i];
        shades[shade_count - 1].count++;
    }
    qsort(shades, shade_count, sizeof *shades, by_count);
    *out = shades, *out_count = shade_count, *unexplained = n;
    return true;
}

// How many of the sampled unexplained pixels are this colour, or a blend of it with one that is pure nearby.
static int count_explained(EdgeLabels *e, Srgb8 colour, size_t step)
{
    int explained = 0;
    size_t seen = 0;
    for (size_t i = 0; i < e->edge_count; i++) {
        if (e->found[i] || seen++ % step) continue;
        NearColours near = near_none(&e->explainer, e->edge[i]);
        near_widen(&e->explainer, THIN_WINDOW_PX, &near);
        Vector c = vector_of(picture_colour(e->picture, e->edge[i]));
        explained += is_explained_with(c, vector_of(colour), &near, e->tolerance_codes);
    }
    return explained;
}

// Adds the colour that explains most of what is unexplained; *added tells whether there was one.
static bool add_thin_colour(EdgeLabels *e, bool *added, Error *err)
{
    *added = false;
    ArenaMark mark = arena_mark(&e->work->scratch);
    Shade *shades = NULL;
    size_t shade_count = 0, unexplained = 0;
    if (!count_shades(e, &shades, &shade_count, &unexplained, err)) return false;
    double least_px = THIN_LEAST_PICTURE_SHARE * (double)e->px;
    if (least_px < THIN_LEAST_PX) least_px = THIN_LEAST_PX;
    size_t step = unexplained / THIN_SAMPLE + 1;
    Srgb8 best = {0};
    int best_explained = 0;
    for (size_t i = 0; i < shade_count && i < THIN_CANDIDATES; i++) {
        if (!work_goes_on(e->work, err)) return false;
        if (shades[i].count * 4 < THIN_LEAST_PX) break; // a colour of its own shows itself unblended somewhere
        int explained = count_explained(e, colour_of_value(shades[i].value), step);
        if (explained > best_explained) best_explained = explained, best = colour_of_value(shades[i].value);
    }
    arena_rewind(&e->work->scratch, mark);
    double explained_px = (double)best_explained * (double)step;
    if (explained_px < least_px || explained_px < THIN_LEAST_UNEXPLAINED_SHARE * (double)unexplained) return true;
    if (e->palette->count == SEPARATION_MAX_COLOURS) return true;
    e->palette->colours[e->palette->count++] = (PaletteColour){best, lab_from_srgb8(best), 0};
    memset(e->cache, 0, sizeof *e->cache);
    *added = true;
    return true;
}

// ---- growing ----

static double colour_distance2(const EdgeLabels *e, uint32_t at, uint8_t label)
{
    return vector_distance2(vector_of(picture_colour(e->picture, at)), vector_of_label(e->palette, label));
}

static void beside(const EdgeLabels *e, uint32_t at, int32_t out[4])
{
    pixels_beside((int32_t)at, e->picture->width_px, e->picture->height_px, out);
}

static uint8_t best_neighbour(const EdgeLabels *e, uint32_t at)
{
    uint8_t best = LABEL_UNDECIDED;
    double best_distance2 = INFINITY;
    int32_t near[4];
    beside(e, at, near);
    for (int i = 0; i < 4; i++) {
        if (near[i] < 0 || e->label[near[i]] < LABEL_FIRST) continue;
        double distance2 = colour_distance2(e, at, e->label[near[i]]);
        if (distance2 < best_distance2) best_distance2 = distance2, best = e->label[near[i]];
    }
    return best;
}

static uint8_t nearest_in_palette(const EdgeLabels *e, uint32_t at)
{
    uint8_t best = LABEL_CLEAR;
    double best_distance2 = INFINITY;
    for (int i = 0; i < e->palette->count; i++) {
        double distance2 = colour_distance2(e, at, (uint8_t)(LABEL_FIRST + i));
        if (distance2 < best_distance2) best_distance2 = distance2, best = (uint8_t)(LABEL_FIRST + i);
    }
    return best;
}

typedef struct Front { // pixels at which labels arrive in one round
    uint32_t *at;
    uint8_t *label;
    size_t count;
} Front;

// Writes a round's labels into the map; what lies undecided beside them is the next round's front. A pixel that came
// into the front from two sides has its label by then and is passed over.
static bool advance(EdgeLabels *e, Front *front, Front *next, Error *err)
{
    next->count = 0;
    for (size_t i = 0; i < front->count; i++) front->label[i] = best_neighbour(e, front->at[i]);
    for (size_t i = 0; i < front->count; i++) {
        if (!look_at(e, i, err)) return false;
        uint32_t at = front->at[i];
        if (e->label[at] != LABEL_UNDECIDED) continue;
        e->label[at] = front->label[i];
        int32_t near[4];
        beside(e, at, near);
        for (int k = 0; k < 4; k++)
            if (near[k] >= 0 && e->label[near[k]] == LABEL_UNDECIDED) next->at[next->count++] = (uint32_t)near[k];
    }
    return true;
}

static bool make_front(EdgeLabels *e, size_t most, Front *out, Error *err)
{
    *out = (Front){arena_new(&e->work->scratch, uint32_t, most), arena_new(&e->work->scratch, uint8_t, most), 0};
    return (out->at && out->label) || error_memory(err);
}

static size_t count_unexplained(const EdgeLabels *e)
{
    size_t unexplained = 0;
    for (size_t i = 0; i < e->edge_count; i++) unexplained += !e->found[i];
    return unexplained;
}

// Rounds of breadth: what touches a label gets one, all of a round at once; islands that touch none get the nearest.
static bool grow(EdgeLabels *e, Error *err)
{
    size_t left = 0;
    uint32_t *rest = arena_new(&e->work->scratch, uint32_t, count_unexplained(e));
    if (!rest) return error_memory(err);
    for (size_t i = 0; i < e->edge_count; i++)
        if (!e->found[i]) rest[left++] = e->edge[i];
    Front front, next;
    if (!make_front(e, 4 * left, &front, err) || !make_front(e, 4 * left, &next, err)) return false;
    for (size_t i = 0; i < left; i++) {
        if (!look_at(e, i, err)) return false;
        if (best_neighbour(e, rest[i]) != LABEL_UNDECIDED) front.at[front.count++] = rest[i];
    }
    while (front.count > 0) {
        if (!work_goes_on(e->work, err) || !advance(e, &front, &next, err)) return false;
        Front passed = front;
        front = next, next = passed;
    }
    for (size_t i = 0; i < left; i++) {
        if (!look_at(e, i, err)) return false;
        if (e->label[rest[i]] == LABEL_UNDECIDED) e->label[rest[i]] = nearest_in_palette(e, rest[i]);
    }
    return true;
}

// ---- the whole ----

static bool list_edge_pixels(EdgeLabels *e, Error *err)
{
    size_t count = 0;
    for (size_t i = 0; i < e->px; i++) {
        if (i % MAP_PX_PER_LOOK == 0 && !work_goes_on(e->work, err)) return false;
        count += e->label[i] == LABEL_UNDECIDED;
        e->opaque_px += e->label[i] != LABEL_CLEAR;
    }
    e->edge = arena_new(&e->work->scratch, uint32_t, count);
    e->found = arena_new(&e->work->scratch, uint8_t, count);
    if (!e->edge || !e->found) return error_memory(err);
    for (size_t i = 0, looks = 0; i < e->px; i++) {
        if (++looks % MAP_PX_PER_LOOK == 0 && !work_goes_on(e->work, err)) return false;
        const uint8_t *next = memchr(e->label + i, LABEL_UNDECIDED, e->px - i);
        if (!next) break;
        i = (size_t)(next - e->label);
        if (e->picture->rgba[i * 4 + 3] < OPAQUE_ALPHA)
            e->label[i] = LABEL_CLEAR, e->opaque_px--;
        else
            e->edge[e->edge_count++] = (uint32_t)i;
    }
    return work_goes_on(e->work, err);
}

static int luma_of(Srgb8 c)
{
    return (299 * c.r + 587 * c.g + 114 * c.b) / 1000; // ITU-R BT.601
}

// Compression smears colour over a block of 8 or 16 pixels and keeps lightness sharp: there a pixel is a blend when it is
// lighter or darker than its colour.
static bool is_blend(EdgeLabels *e, size_t i, bool is_noisy)
{
    if (!is_noisy || e->found[i] < LABEL_FIRST) return exact_index(e, i) < 0;
    Srgb8 own = e->palette->colours[e->found[i] - LABEL_FIRST].colour;
    return abs(luma_of(picture_colour(e->picture, e->edge[i])) - luma_of(own)) > BLEND_LUMA_CODES;
}

// Counts no further than `most`.
static bool count_blends(EdgeLabels *e, bool is_noisy, int64_t most, int64_t *blends, Error *err)
{
    *blends = 0;
    for (size_t i = 0; i < e->edge_count && *blends < most; i++) {
        if (!look_at(e, i, err)) return false;
        *blends += is_blend(e, i, is_noisy);
    }
    return true;
}

static bool is_hard(const EdgeLabels *e, int64_t blend_px)
{
    return (double)blend_px <= HARD_EDGED_SHARE * (double)e->edge_count;
}

// Without antialiasing every pixel has its own colour, however thin the shape.
static bool take_exact_when_hard(EdgeLabels *e, Error *err)
{
    int64_t blend_px;
    int64_t enough = (int64_t)(HARD_EDGED_SHARE * (double)e->edge_count) + 1; // is_hard says no by then
    if (!count_blends(e, false, enough, &blend_px, err)) return false;
    return !is_hard(e, blend_px) || (round_by_exact(e, err) && write_found(e, NULL, err));
}

static bool is_rough(const EdgeLabels *e, size_t unexplained)
{
    return unexplained >= ROUGH_LEAST_PX && (double)unexplained > ROUGH_EDGE_SHARE * (double)e->edge_count;
}

static bool is_shaded(const EdgeLabels *e, bool is_noisy, size_t unexplained)
{
    bool many_edges = is_noisy && (double)unexplained > SHADED_EDGE_SHARE * (double)e->edge_count;
    return (double)unexplained > (many_edges ? SHADED_NOISY_SHARE : SHADED_SHARE) * (double)e->opaque_px;
}

// Every pixel gets a label. Without antialiasing each has its own colour, and a strand as well (see hairline.h).
static bool fill(EdgeLabels *e, bool is_hard_edged, Error *err)
{
    if (!write_found(e, NULL, err) || !grow(e, err)) return false;
    const StrandView view = {e->picture, e->palette, e->edge, e->edge_count, e->tolerance_codes};
    return is_hard_edged || strands_join(&view, e->work, e->label, err);
}

bool label_edges(const Picture *picture, bool is_noisy, Palette *palette, Work *work, uint8_t *label, LabelStats *stats,
                 Error *err)
{
    *stats = (LabelStats){0};
    ArenaMark mark = arena_mark(&work->scratch);
    EdgeLabels *e = arena_new(&work->scratch, EdgeLabels, 1);
    if (!e) return error_memory(err);
    e->picture = picture, e->palette = palette, e->work = work, e->label = label;
    e->px = (size_t)picture->width_px * (size_t)picture->height_px;
    e->tolerance_codes = is_noisy ? 20.0 : 6.0;
    e->cache = arena_new(&work->scratch, ShadeCache, 1);
    if (!e->cache) return error_memory(err);
    e->exact_de00 = is_noisy ? EXACT_NOISY_DE00 : EXACT_DE00;
    if (!explainer_make(picture, palette, label, is_noisy, &work->scratch, &e->explainer, err)) return false;
    if (!list_edge_pixels(e, err)) return false;
    if (!take_exact_when_hard(e, err) || !explain_all(e, is_noisy, err)) return false;
    for (bool added = !is_noisy; added && stats->thin_colours < THIN_COLOURS_AT_MOST;) {
        if (!add_thin_colour(e, &added, err)) return false;
        if (!added) break;
        stats->thin_colours++;
        if (!explain_all(e, is_noisy, err)) return false;
    }
    if (!count_blends(e, is_noisy, INT64_MAX, &stats->blend_px, err)) return false;
    size_t unexplained = count_unexplained(e);
    stats->is_hard = !is_noisy && is_hard(e, stats->blend_px);
    stats->is_shaded = is_shaded(e, is_noisy, unexplained);
    stats->is_rough = !is_noisy && is_rough(e, unexplained);
    if (!stats->is_shaded && !stats->is_rough && !fill(e, stats->is_hard, err)) return false;
    arena_rewind(&work->scratch, mark);
    return true;
}
