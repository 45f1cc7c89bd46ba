// lack.c - see lack.h.
#include "separation/lack.h"

#include "separation/ground.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define CELLS_PER_LOOK 64
#define LEVELS 4                // how far away a strip's colour is: the nearest is likely, since a fill peeks out
#define REACH_PX 16             // of the first; twice as far each
#define FILL_SHARE 0.4          // of a cell; less may be a strip itself
#define LEVEL_COST 4.0          // squares of errors that a level is worth
#define LEAST_CRACKS 4          // of an edge in a cell
#define LEAST_ERRORS 3.5        // times its error: a strip in a cell
#define MOST_ERROR_PX 2.5       // of its area
#define LEAST_OFF_CODES 24.0    // of its colour from a blend of both sides'
#define MOST_MISFIT 9.0         // squares of errors
#define LEAST_MARGIN 5.0        // squares of errors, to the next colour: less, and it might be that one
#define LEAST_TOLD_PX 16.0      // of a strip's area in cells that hang together
#define LACK_SHARE 4            // where a quarter as many cells have too little of a colour, something else is wrong there
#define LEAST_CONTRAST_CODES 75.0 // of lightness between both sides
#define LIGHTNESS_SLACK 0.02    // a strip's own lightness beyond them

// ---- what cells lack ----

typedef struct Option {
    int32_t cell;
    Trio trio;
    double area_px;   // negative: too much of it is there
    double misfit;
    int level;        // how far away the colour is
    uint8_t was;      // the label that a strip of another colour has so far, or 0
    bool is_alone, is_chosen;
} Option;

typedef struct Finder {
    const TintCells *cells;
    Work *work;
    int colour_count;
    uint8_t frame_label; // what most of the frame has
    uint64_t *near[LEVELS]; // colours, a bit each, of a cell and those round it
    bool *is_off;           // a plain cell of another shade lies near
    Option *options;
    size_t count, capacity;
} Finder;

static bool is_even(const TintCells *t, int x0, int y0)
{
    size_t width = (size_t)t->picture->width_px, side = (size_t)t->width_px + (x0 + t->width_px < t->picture->width_px);
    const uint8_t *first = t->label + (size_t)y0 * width + (size_t)x0;
    if (memcmp(first, first + 1, side - 1) != 0) return false;
    for (int y = 1; y <= t->height_px && y0 + y < t->picture->height_px; y++)
        if (memcmp(first, first + (size_t)y * width, side) != 0) return false;
    return true;
}

_Static_assert(SEPARATION_MAX_COLOURS <= 64, "a colour has a bit");

static uint64_t bit_of(uint8_t label)
{
    return label >= LABEL_FIRST ? (uint64_t)1 << (label - LABEL_FIRST) : 0;
}

static void mark_off(Finder *f, int cell)
{
    const TintCells *t = f->cells;
    int cx = cell % t->across, cy = cell / t->across;
    for (int y = cy > 0 ? cy - 1 : 0; y <= cy + 1 && y < t->down; y++)
        for (int x = cx > 0 ? cx - 1 : 0; x <= cx + 1 && x < t->across; x++) f->is_off[y * t->across + x] = true;
}

// A cell's own colours, into the last level.
static bool find_own(Finder *f, Error *err)
{
    const TintCells *t = f->cells;
    uint64_t *own = f->near[LEVELS - 1];
    for (int cell = 0; cell < t->across * t->down; cell++) {
        if (cell % CELLS_PER_LOOK == 0 && !work_goes_on(f->work, err)) return false;
        int x0 = cell % t->across * t->width_px, y0 = cell / t->across * t->height_px;
        const uint8_t *label = t->label + (size_t)y0 * (size_t)t->picture->width_px + (size_t)x0;
        if (is_even(t, x0, y0)) {
            own[cell] = bit_of(*label);
            if (!tint_is_sound(t, cell)) mark_off(f, cell);
            continue;
        }
        int px_of[256] = {0};
        for (int y = 0; y < t->height_px; y++, label += t->picture->width_px)
            for (int x = 0; x < t->width_px; x++)
                if (++px_of[label[x]] > FILL_SHARE * t->width_px * t->height_px) own[cell] |= bit_of(label[x]);
    }
    return true;
}

static void find_frame_label(Finder *f)
{
    const Picture *p = f->cells->picture;
    int64_t px_of[256] = {0};
    ground_count_frame(f->cells->label, p->width_px, p->height_px, px_of);
    for (int l = 0; l < 256; l++)
        if (px_of[l] > px_of[f->frame_label]) f->frame_label = (uint8_t)l;
}

// Along one axis, from cells up to `reach` away.
static void spread(const uint64_t *from, uint64_t *to, int count, int stride, int reach)
{
    for (int i = 0; i < count; i++) {
        uint64_t all = 0;
        for (int k = i > reach ? i - reach : 0; k <= i + reach && k < count; k++) all |= from[(size_t)k * (size_t)stride];
        to[(size_t)i * (size_t)stride] = all;
    }
}

static bool find_near(Finder *f, uint64_t *room, Error *err)
{
    const TintCells *t = f->cells;
    for (int level = 0; level < LEVELS; level++) { // the last one last: it holds cells' own colours
        int rx = ((REACH_PX << level) + t->width_px - 1) / t->width_px, ry = ((REACH_PX << level) + t->height_px - 1) / t->height_px;
        for (int y = 0; y < t->down; y++) {
            if (!work_goes_on(f->work, err)) return false;
            spread(f->near[LEVELS - 1] + (size_t)y * (size_t)t->across, room + (size_t)y * (size_t)t->across, t->across, 1, rx);
        }
        for (int x = 0; x < t->across; x++) {
            if (!work_goes_on(f->work, err)) return false;
            spread(room + x, f->near[level] + x, t->down, t->across, ry);
        }
    }
    return true;
}

static bool are_apart(const TintCells *t, Trio trio)
{
    const double *a = t->colour[trio.a], *b = t->colour[trio.b], *s = t->colour[trio.s];
    double contrast = b[0] - a[0], way = (s[0] - a[0]) / contrast;
    return fabs(contrast) >= LEAST_CONTRAST_CODES && way >= -LIGHTNESS_SLACK && way <= 1.0 + LIGHTNESS_SLACK;
}

// Square of the distance from the line through both sides' colours.
static double off_line2(const TintCells *t, Trio trio)
{
    const double *a = t->colour[trio.a], *b = t->colour[trio.b], *s = t->colour[trio.s];
    double dot = 0.0, line2 = 0.0, off2 = 0.0;
    for (int c = 0; c < 3; c++) {
        dot += (b[c] - a[c]) * (s[c] - a[c]);
        line2 += (b[c] - a[c]) * (b[c] - a[c]), off2 += (s[c] - a[c]) * (s[c] - a[c]);
    }
    return line2 > 0.0 ? off2 - dot * dot / line2 : 0.0;
}

static int level_of(const Finder *f, int cell, uint8_t label)
{
    int level = 0;
    if (label == f->frame_label) return 0; // it lies behind everything
    while (level < LEVELS - 1 && !(f->near[level][cell] & bit_of(label))) level++;
    return level;
}

// `was`: the strip's label so far, or 0.
static bool add_option(Finder *f, int cell, const TintRest *rest, Trio trio, uint8_t was, Error *err)
{
    if (off_line2(f->cells, trio) < LEAST_OFF_CODES * LEAST_OFF_CODES) return true;
    Tint tint = tint_measure(f->cells, rest, trio);
    if (!tint.is_told || tint.misfit > MOST_MISFIT || tint.error2 > MOST_ERROR_PX * MOST_ERROR_PX || tint.area_px * tint.area_px < LEAST_ERRORS * LEAST_ERRORS * tint.error2) return true;
    Option *grown = arena_grow(&f->work->scratch, f->options, f->count, &f->capacity, sizeof *grown);
    if (!grown) return error_memory(err);
    f->options = grown;
    f->options[f->count++] = (Option){.cell = cell, .trio = trio, .area_px = tint.area_px, .misfit = tint.misfit,
                                      .level = level_of(f, cell, trio.s), .was = was, .is_alone = tint.is_alone};
    return true;
}

// All colours, also those that cannot be strips here: the colour behind shapes that were drawn side by side shows between them.
static bool list_options_along(Finder *f, int cell, const TintContent *content, const TintEdge *e, Error *err)
{
    TintRest plain = tint_rest(f->cells, cell, content, (Trio){e->a, e->b, 0});
    for (int k = 0; k < f->colour_count; k++) {
        Trio trio = {e->a, e->b, (uint8_t)(LABEL_FIRST + k)};
        bool is_there = content->px_of[trio.s] > 0;
        if (trio.s == trio.a || trio.s == trio.b || (!is_there && plain.all < LEAST_ERRORS * LEAST_ERRORS)) continue;
        TintRest own = plain;
        if (is_there) own = tint_rest(f->cells, cell, content, trio);
        if (!add_option(f, cell, &own, trio, 0, err)) return false;
    }
    return true;
}

static int cracks_between(const TintContent *content, uint8_t a, uint8_t b)
{
    for (int i = 0; i < content->edge_count; i++)
        if (content->edges[i].a == a && content->edges[i].b == b) return content->edges[i].cracks;
    return 0;
}

// A strip that has a label may have the wrong one.
static bool list_other_colours(Finder *f, int cell, const TintContent *content, const TintRest *rest, Trio trio, Error *err)
{
    for (int k = 0; k < f->colour_count; k++) {
        Trio other = {trio.a, trio.b, (uint8_t)(LABEL_FIRST + k)};
        bool is_same_colour = other.s == trio.s;
        if (other.s == trio.a || other.s == trio.b || (!is_same_colour && !rest->is_alone)) continue;
        TintRest own = *rest;
        if (!is_same_colour) own.is_alone = content->px_of[other.s] == 0;
        if (!add_option(f, cell, &own, other, is_same_colour ? 0 : trio.s, err)) return false;
    }
    return true;
}

// What has labels already, all along the cell: its two sides do not touch.
static bool list_labelled(Finder *f, int cell, const TintContent *content, Error *err)
{
    for (int i = 0; i < content->edge_count; i++)
        for (int k = 0; k < i; k++) {
            const TintEdge *e = &content->edges[i], *o = &content->edges[k];
            uint8_t s = e->a == o->a || e->a == o->b ? e->a : e->b, one = e->a == s ? e->b : e->a, other = o->a == s ? o->b : o->a;
            if ((o->a != s && o->b != s) || e->cracks < LEAST_CRACKS || o->cracks < LEAST_CRACKS) continue;
            Trio trio = {one < other ? one : other, one < other ? other : one, s};
            if (cracks_between(content, trio.a, trio.b) >= LEAST_CRACKS) continue;
            TintRest rest = tint_rest(f->cells, cell, content, trio);
            if (!list_other_colours(f, cell, content, &rest, trio, err)) return false;
        }
    return true;
}

static bool list_options_of(Finder *f, int cell, Error *err)
{
    TintContent content;
    tint_look(f->cells, cell, &content);
    if (content.is_unclear) return true;
    for (int i = 0; i < content.edge_count; i++)
        if (content.edges[i].cracks >= LEAST_CRACKS && !list_options_along(f, cell, &content, &content.edges[i], err)) return false;
    return list_labelled(f, cell, &content, err);
}

static bool list_options(Finder *f, Error *err)
{
    const TintCells *t = f->cells;
    for (int cell = 0; cell < t->across * t->down; cell++) {
        if (cell % CELLS_PER_LOOK == 0 && !work_goes_on(f->work, err)) return false;
        if (f->is_off[cell] || is_even(t, cell % t->across * t->width_px, cell / t->across * t->height_px)) continue;
        if (!list_options_of(f, cell, err)) return false;
    }
    return true;
}

// ---- one colour for a cell, and for those beside it ----

static bool are_beside(const TintCells *t, int32_t a, int32_t b)
{
    int dx = abs(a % t->across - b % t->across) * t->width_px, dy = abs(a / t->across - b / t->across) * t->height_px;
    return dx <= LACK_BESIDE_PX && dy <= LACK_BESIDE_PX;
}

static bool is_same_edge(Trio a, Trio b)
{
    return a.a == b.a && a.b == b.b;
}

// The options of cells beside this one, itself among them: from *first, *count of them. Options are in the order of their cells.
static void window_of(const Finder *f, size_t at, size_t *first, size_t *end)
{
    int32_t span = (LACK_BESIDE_PX / f->cells->height_px + 1) * f->cells->across, cell = f->options[at].cell;
    for (*first = at; *first > 0 && f->options[*first - 1].cell >= cell - span;) --*first;
    for (*end = at + 1; *end < f->count && f->options[*end].cell <= cell + span;) ++*end;
}

typedef struct Support { double area_px, cost; } Support;

// What cells beside it, and itself, have of the same strip, and how badly it explains all that they lack along such an edge.
static Support support_of(const Finder *f, size_t at, size_t first, size_t end)
{
    const Option *o = &f->options[at];
    Support sum = {0.0, 0.0};
    double levels = 0.0;
    int count = 0;
    for (size_t i = first, k; i < end; i = k) {
        const Option *same = NULL;
        bool any = false;
        for (k = i; k < end && f->options[k].cell == f->options[i].cell; k++) {
            const Option *other = &f->options[k];
            if (!is_same_edge(o->trio, other->trio) || other->area_px <= 0.0 || !are_beside(f->cells, o->cell, other->cell)) continue;
            any = true;
            if (other->trio.s == o->trio.s) same = other;
        }
        if (!any) continue;
        sum.cost += same ? same->misfit : MOST_MISFIT;
        if (same) sum.area_px += same->is_alone ? same->area_px : 0.0, levels += same->level, count++;
    }
    sum.cost += LEVEL_COST * levels / count;
    return sum;
}

// Of a cell's options the one that fits best, with those beside it.
static bool choose_options(Finder *f, Error *err)
{
    for (size_t i = 0, k; i < f->count; i = k) {
        Option *best = NULL;
        Support least = {0.0, 0.0};
        double second = INFINITY;
        size_t first, end;
        if (!work_goes_on(f->work, err)) return false;
        window_of(f, i, &first, &end);
        for (k = i; k < f->count && f->options[k].cell == f->options[i].cell; k++) {
            if (f->options[k].area_px <= 0.0) continue;
            Support s = support_of(f, k, first, end);
            if (s.area_px < LEAST_TOLD_PX / 2.0) continue; // a labelled area's own edge, where labels have it
            if (best && s.cost >= least.cost) {
                second = fmin(second, s.cost);
                continue;
            }
            second = best ? least.cost : INFINITY;
            best = &f->options[k], least = s;
        }
        if (best && second - least.cost >= LEAST_MARGIN && least.area_px >= LEAST_TOLD_PX && are_apart(f->cells, best->trio)) best->is_chosen = true;
    }
    return true;
}

// Something else is wrong where cells have now too little of a colour beside an edge, now too much.
static bool is_sound(const Finder *f, Trio trio)
{
    int less = 0, more = 0;
    for (size_t i = 0; i < f->count; i++) {
        if (!trio_is_same(f->options[i].trio, trio)) continue;
        less += f->options[i].area_px < 0.0, more += f->options[i].is_chosen;
    }
    return less * LACK_SHARE <= more;
}

// ---- the whole ----

static bool list_chosen(Finder *f, Lacks *out, Error *err)
{
    size_t capacity = 0;
    for (size_t i = 0; i < f->count; i++) {
        const Option *o = &f->options[i];
        if (!work_goes_on(f->work, err)) return false;
        if (!o->is_chosen || !is_sound(f, o->trio)) continue;
        Lack *grown = arena_grow(&f->work->scratch, out->items, out->count, &capacity, sizeof *grown);
        if (!grown) return error_memory(err);
        out->items = grown;
        out->items[out->count++] = (Lack){o->cell, o->trio, o->was};
    }
    return true;
}

bool lacks_find(const TintCells *cells, int colour_count, Work *work, Lacks *out, Error *err)
{
    *out = (Lacks){NULL, 0};
    Finder f = {.cells = cells, .work = work, .colour_count = colour_count};
    size_t count = (size_t)cells->across * (size_t)cells->down;
    uint64_t *room = arena_new(&work->scratch, uint64_t, count);
    f.is_off = arena_new(&work->scratch, bool, count);
    if (!room || !f.is_off) return error_memory(err);
    for (int i = 0; i < LEVELS; i++)
        if (!(f.near[i] = arena_new(&work->scratch, uint64_t, count))) return error_memory(err);
    find_frame_label(&f);
    return find_own(&f, err) && find_near(&f, room, err) && list_options(&f, err) && choose_options(&f, err) && list_chosen(&f, out, err);
}
