// grow.c - see grow.h.
// Method:  a wave (wave.h) from the part's pixels; a straight line of sight is not needed.
#include "separation/grow.h"

#include "separation/wave.h"

#include <math.h>
#include <string.h>

#define PIXELS_PER_LOOK 4096

typedef struct Grower {
    Runs *runs;
    int32_t part;
    const SpeckLimits *limits;
    uint8_t *label;
    uint8_t own;                   // the part's label
    int32_t x0, y0, width, height; // the window in the picture
    int32_t *source;               // of each pixel of the window that is in: the nearest of the part's own; else -1
    int32_t *neighbours;           // the parts that it may take from
    size_t neighbour_count, neighbour_capacity;
    bool failed;
    Wave wave;
    Runs shape; // the window's rows as one part, from the first to the last pixel of each
    Part hull;
    Work *work;
} Grower;

// ---- the window ----

static void note_neighbour(void *taker, int32_t neighbour, int32_t cracks)
{
    (void)cracks;
    Grower *g = taker;
    if (neighbour < 0 || g->failed) return;
    for (size_t i = 0; i < g->neighbour_count; i++)
        if (g->neighbours[i] == neighbour) return;
    int32_t *grown =
        arena_grow(&g->work->scratch, g->neighbours, g->neighbour_count, &g->neighbour_capacity, sizeof *grown);
    g->failed = !grown;
    if (!grown) return;
    g->neighbours = grown;
    g->neighbours[g->neighbour_count++] = neighbour;
}

static double farthest_px(const SpeckLimits *limits)
{
    if (limits->area_px > 0.0) return 2.0 * sqrt(limits->area_px) + 2.0;
    return fmax(limits->part_px, limits->hole_px) + 2.0;
}

static void choose_window(Grower *g, const double box_px[4])
{
    const Part *p = &g->runs->parts[g->part];
    double far = fmin(farthest_px(g->limits), 1e6);
    int32_t reach = (int32_t)far;
    // The part itself may reach out of the figure's box: a hole by the picture's edge.
    int32_t left = (int32_t)fmin(box_px[0], p->x0), top = (int32_t)fmin(box_px[1], p->y0);
    int32_t right = (int32_t)fmax(box_px[2], p->x1), bottom = (int32_t)fmax(box_px[3], p->y1);
    g->x0 = p->x0 - reach > left ? p->x0 - reach : left;
    g->y0 = p->y0 - reach > top ? p->y0 - reach : top;
    g->width = (p->x1 + reach < right ? p->x1 + reach : right) - g->x0;
    g->height = (p->y1 + reach < bottom ? p->y1 + reach : bottom) - g->y0;
}

static uint8_t label_at(const Grower *g, int32_t x, int32_t y) // of the window
{
    return g->label[(size_t)(g->y0 + y) * (size_t)g->runs->width_px + (size_t)(g->x0 + x)];
}

static bool is_in(const Grower *g, int32_t x, int32_t y)
{
    return x >= 0 && y >= 0 && x < g->width && y < g->height && g->source[y * g->width + x] >= 0;
}

// ---- which pixels it may take ----

static bool touches_its_like(const Grower *g, int32_t x, int32_t y)
{
    for (int32_t dy = -1; dy <= 1; dy++)
        for (int32_t dx = -1; dx <= 1; dx++) {
            int32_t px = g->x0 + x + dx, py = g->y0 + y + dy;
            bool outside = px < 0 || py < 0 || px >= g->runs->width_px || py >= g->runs->height_px;
            if (outside && g->own == LABEL_CLEAR) return true;
            if (outside || is_in(g, x + dx, y + dy)) continue;
            if ((label_at(g, x + dx, y + dy) & ~GROW_HELD) == g->own) return true;
        }
    return false;
}

static bool may_take(Grower *g, int32_t x, int32_t y)
{
    if (label_at(g, x, y) & GROW_HELD || touches_its_like(g, x, y)) return false;
    int32_t owner = runs_part_at(g->runs, g->x0 + x, g->y0 + y);
    for (size_t i = 0; i < g->neighbour_count; i++)
        if (g->neighbours[i] == owner) return true;
    return false;
}

static bool offer(Grower *g, int32_t x, int32_t y, Error *err)
{
    if (x < 0 || y < 0 || x >= g->width || y >= g->height || is_in(g, x, y)) return true;
    WavePixel best = {.distance2 = INT64_MAX, .pixel = y * g->width + x};
    for (int32_t dy = -1; dy <= 1; dy++)
        for (int32_t dx = -1; dx <= 1; dx++) {
            if (!is_in(g, x + dx, y + dy)) continue;
            int32_t source = g->source[(y + dy) * g->width + x + dx];
            int64_t d = wave_distance2(best.pixel, source, g->width);
            if (d < best.distance2 || (d == best.distance2 && source < best.source))
                best.distance2 = d, best.source = source;
        }
    return wave_push(&g->wave, best, g->work, err);
}

static bool offer_round(Grower *g, int32_t pixel, Error *err)
{
    int32_t x = pixel % g->width, y = pixel / g->width;
    return offer(g, x, y - 1, err) && offer(g, x - 1, y, err) && offer(g, x + 1, y, err) && offer(g, x, y + 1, err);
}

// ---- its shape ----

static void take(Grower *g, int32_t pixel, int32_t source)
{
    int32_t x = pixel % g->width, y = pixel / g->width;
    g->source[pixel] = source;
    Run *row = &g->shape.runs[y];
    Part *hull = &g->hull;
    bool is_first = hull->area_px == 0;
    if (row->x0 == row->x1) {
        row->x0 = x, row->x1 = x + 1;
    } else {
        if (x < row->x0) row->x0 = x;
        if (x + 1 > row->x1) row->x1 = x + 1;
    }
    if (is_first || x < hull->x0) hull->x0 = x;
    if (is_first || y < hull->y0) hull->y0 = y;
    if (is_first || x + 1 > hull->x1) hull->x1 = x + 1;
    if (is_first || y + 1 > hull->y1) hull->y1 = y + 1;
    hull->area_px++;
}

// The rows' ends reach as far as all pixels do, so they have the same circle.
static bool is_speck_still(Grower *g)
{
    Part *hull = &g->hull;
    for (int32_t y = hull->y0; y < hull->y1; y++) g->shape.runs[y].next = y + 1 < hull->y1 ? y + 1 : -1;
    hull->first_run = hull->y0;
    hull->last_run = hull->y1 - 1;
    return part_is_speck(&g->shape, 0, g->limits);
}

static bool prepare(Grower *g, Error *err)
{
    Arena *arena = &g->work->scratch;
    g->source = arena_new(arena, int32_t, (size_t)g->width * (size_t)g->height);
    g->shape = (Runs){.width_px = g->width, .height_px = g->height, .run_count = g->height, .part_count = 1};
    g->shape.runs = arena_new(arena, Run, g->height);
    g->shape.row_start = arena_new(arena, int32_t, g->height + 1);
    if (!g->source || !g->shape.runs || !g->shape.row_start) return error_memory(err);
    g->shape.parts = &g->hull;
    g->hull = (Part){.label = g->own};
    memset(g->source, -1, (size_t)g->width * (size_t)g->height * sizeof *g->source);
    for (int32_t y = 0; y <= g->height; y++) g->shape.row_start[y] = y;
    const Runs *runs = g->runs;
    for (int32_t i = runs->parts[g->part].first_run; i >= 0; i = runs->runs[i].next) {
        int32_t y = runs_row_of(runs, i) - g->y0;
        for (int32_t x = runs->runs[i].x0; x < runs->runs[i].x1; x++)
            take(g, y * g->width + x - g->x0, y * g->width + x - g->x0);
    }
    runs_walk_border(g->runs, g->part, note_neighbour, g);
    return !g->failed || error_memory(err);
}

static bool grow(Grower *g, bool *is_enough, Error *err)
{
    const Runs *runs = g->runs;
    for (int32_t i = runs->parts[g->part].first_run; i >= 0; i = runs->runs[i].next) {
        int32_t y = runs_row_of(runs, i) - g->y0;
        for (int32_t x = runs->runs[i].x0; x < runs->runs[i].x1; x++)
            if (!offer_round(g, y * g->width + x - g->x0, err)) return false;
    }
    int64_t radius = 0;
    *is_enough = !is_speck_still(g);
    for (size_t looks = 0; !*is_enough && g->wave.count > 0; looks++) {
        if (looks % PIXELS_PER_LOOK == 0 && !work_goes_on(g->work, err)) return false;
        if (g->wave.heap[0].distance2 > radius * radius) { // all within the radius is in
            while (g->wave.heap[0].distance2 > radius * radius) radius++;
            if ((*is_enough = !is_speck_still(g))) break;
        }
        WavePixel c = wave_pop(&g->wave);
        int32_t x = c.pixel % g->width, y = c.pixel / g->width;
        if (is_in(g, x, y) || !may_take(g, x, y)) continue;
        take(g, c.pixel, c.source);
        if (!offer_round(g, c.pixel, err)) return false;
    }
    *is_enough = !is_speck_still(g);
    return true;
}

static void write_pixels(Grower *g)
{
    for (int32_t y = g->hull.y0; y < g->hull.y1; y++)
        for (int32_t x = g->hull.x0; x < g->hull.x1; x++)
            if (is_in(g, x, y))
                g->label[(size_t)(g->y0 + y) * (size_t)g->runs->width_px + (size_t)(g->x0 + x)] =
                    g->own | (uint8_t)GROW_HELD;
}

bool part_grow(Runs *runs, int32_t part, const SpeckLimits *limits, const double box_px[4], uint8_t *label, Work *work,
               bool *is_enough, Error *err)
{
    *is_enough = false;
    ArenaMark mark = arena_mark(&work->scratch);
    Grower g = {
        .runs = runs, .part = part, .limits = limits, .label = label, .own = runs->parts[part].label, .work = work};
    choose_window(&g, box_px);
    bool good = prepare(&g, err) && grow(&g, is_enough, err);
    if (good) write_pixels(&g);
    arena_rewind(&work->scratch, mark);
    return good;
}
