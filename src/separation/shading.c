// shading.c - see shading.h.
#include "separation/shading.h"

#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#define LEAST_STEPS 5
#define MOST_STEP_PART 4     // of the whole ramp; a blur by a standard deviation of 2 px makes a fifth
#define STEEP_CODES 40       // a larger step is an edge and ends a ramp
#define EDGE_REACH_PX 3
#define SHARP_SHARE 0.4      // of an edge, in its largest step; a blur by a standard deviation of 1 px leaves 0.38
#define LEVEL_MOST_PX 8      // a longer level stretch ends a ramp
#define BACK_CODES_NOISY 2
#define MOST_RAMPS 2048      // more say nothing new, and each is compared with each
#define GROUP_PART 4         // of the longer side: what lies nearer together is one shadow

typedef struct Line { // of pixels at x + i dx, y + i dy
    int x, y, dx, dy, count;
} Line;

typedef struct Ramp {
    int from, to; // along the line: lightness changes between these
    int start, steps, most_step, whole, direction;
} Ramp;

typedef struct Search {
    const Picture *picture;
    int back_codes;
    Work *work;
    SoftRamp *ramps;
    size_t count, capacity;
    int64_t sharp_edges, blurred_edges;
} Search;

// ---- ramps ----

static int lightness_at(const Picture *p, int x, int y)
{
    const uint8_t *c = p->rgba + ((size_t)y * (size_t)p->width_px + (size_t)x) * 4;
    int luma = (299 * c[0] + 587 * c[1] + 114 * c[2]) / 1000;
    return 255 + (luma - 255) * c[3] / 255;
}

// Beside the picture's edge there is nothing: the line itself.
static int lightness_on(const Picture *p, const Line *line, int i, int aside)
{
    int x = line->x + i * line->dx, y = line->y + i * line->dy, ax = x + aside * line->dy, ay = y + aside * line->dx;
    bool is_in = ax >= 0 && ay >= 0 && ax < p->width_px && ay < p->height_px;
    return is_in ? lightness_at(p, ax, ay) : lightness_at(p, x, y);
}

static bool is_soft(const Picture *p, const Line *line, const Ramp *r)
{
    int limit = r->whole / MOST_STEP_PART;
    if (r->whole < SHADING_LEAST_CODES || r->steps < LEAST_STEPS || r->most_step > limit) return false;
    for (int i = r->from; i <= r->to; i++) {
        int here = lightness_on(p, line, i, 0);
        for (int aside = -1; aside <= 1; aside += 2)
            if (abs(lightness_on(p, line, i, aside) - here) > limit) return false;
    }
    return true;
}

static bool note_ramp(Search *s, const Line *line, Ramp *r, Error *err)
{
    Ramp ramp = *r;
    *r = (Ramp){0};
    if (s->count == MOST_RAMPS || !is_soft(s->picture, line, &ramp)) return true;
    SoftRamp *grown = arena_grow(&s->work->scratch, s->ramps, s->count, &s->capacity, sizeof *grown);
    if (!grown) return error_memory(err);
    s->ramps = grown;
    s->ramps[s->count++] = (SoftRamp){line->x + ramp.from * line->dx, line->y + ramp.from * line->dy, line->x + ramp.to * line->dx,
                                      line->y + ramp.to * line->dy};
    return true;
}

static int step_at(const Search *s, const Line *line, int i)
{
    if (i < 1 || i >= line->count) return 0;
    return abs(lightness_on(s->picture, line, i, 0) - lightness_on(s->picture, line, i - 1, 0));
}

// An edge's largest step, between the pixels i - 1 and i. With antialiasing it is about half of the edge or more.
static void count_edge(Search *s, const Line *line, int i, int size)
{
    if (step_at(s, line, i - 1) >= size || step_at(s, line, i + 1) > size) return;
    int from = i > EDGE_REACH_PX ? i - 1 - EDGE_REACH_PX : 0, to = i + EDGE_REACH_PX < line->count ? i + EDGE_REACH_PX : line->count - 1;
    int whole = abs(lightness_on(s->picture, line, to, 0) - lightness_on(s->picture, line, from, 0));
    if (size >= SHARP_SHARE * whole) s->sharp_edges++;
    else s->blurred_edges++;
}

static bool look_along(Search *s, const Line *line, Error *err)
{
    Ramp r = {0};
    int last = lightness_on(s->picture, line, 0, 0);
    const ptrdiff_t stride = 4 * (line->dx + (ptrdiff_t)line->dy * s->picture->width_px);
    const uint8_t *first = s->picture->rgba + 4 * ((size_t)line->y * (size_t)s->picture->width_px + (size_t)line->x);
    for (int i = 1; i < line->count; i++) {
        const uint8_t *pixel = first + (ptrdiff_t)i * stride;
        if (memcmp(pixel, pixel - stride, 4) == 0) continue; // most of a flat drawing
        int here = lightness_on(s->picture, line, i, 0), step = here - last, size = abs(step), direction = step > 0 ? 1 : -1;
        last = here;
        bool is_over = i - r.to > LEVEL_MOST_PX, goes_on = step != 0 && size <= STEEP_CODES && direction == r.direction;
        if (r.steps && !is_over && !goes_on && size <= s->back_codes) continue;
        if (r.steps && (is_over || !goes_on) && !note_ramp(s, line, &r, err)) return false;
        if (size > STEEP_CODES) count_edge(s, line, i, size);
        if (step == 0 || size > STEEP_CODES) continue;
        if (!r.steps) r = (Ramp){.from = i - 1, .start = here - step, .direction = direction};
        r.to = i, r.steps++, r.whole = abs(here - r.start);
        if (size > r.most_step) r.most_step = size;
    }
    return !r.steps || note_ramp(s, line, &r, err);
}

static bool look_along_all(Search *s, Error *err)
{
    int width = s->picture->width_px, height = s->picture->height_px;
    int down = (height + SHADING_ROWS - 1) / SHADING_ROWS, across = (width + SHADING_COLUMNS - 1) / SHADING_COLUMNS;
    for (int y = down / 2; y < height; y += down)
        if (!work_goes_on(s->work, err) || !look_along(s, &(Line){0, y, 1, 0, width}, err)) return false;
    for (int x = across / 2; x < width; x += across)
        if (!work_goes_on(s->work, err) || !look_along(s, &(Line){x, 0, 0, 1, height}, err)) return false;
    return true;
}

// ---- the largest group ----

static bool is_near(const SoftRamp *a, const SoftRamp *b, int reach)
{
    return abs(a->x0 + a->x1 - b->x0 - b->x1) <= 2 * reach && abs(a->y0 + a->y1 - b->y0 - b->y1) <= 2 * reach;
}

static void keep_largest_group(Search *s, Shading *out)
{
    int longer = s->picture->width_px > s->picture->height_px ? s->picture->width_px : s->picture->height_px, reach = longer / GROUP_PART;
    size_t best = 0, most = 0, kept = 0;
    for (size_t i = 0; i < s->count; i++) {
        size_t near = 0;
        for (size_t k = 0; k < s->count; k++) near += is_near(&s->ramps[i], &s->ramps[k], reach);
        if (near > most) most = near, best = i;
    }
    if (most < SHADING_LEAST_RAMPS) return;
    SoftRamp middle = s->ramps[best];
    *out = (Shading){.ramps = s->ramps, .box_px = {INFINITY, INFINITY, 0, 0}, .at_px = {(middle.x0 + middle.x1 + 1) / 2.0, (middle.y0 + middle.y1 + 1) / 2.0}};
    for (size_t i = 0; i < s->count; i++) {
        SoftRamp r = s->ramps[i];
        if (!is_near(&middle, &r, reach)) continue;
        out->ramps[kept++] = r;
        out->box_px[0] = fmin(out->box_px[0], r.x0), out->box_px[1] = fmin(out->box_px[1], r.y0);
        out->box_px[2] = fmax(out->box_px[2], r.x1 + 1), out->box_px[3] = fmax(out->box_px[3], r.y1 + 1);
    }
    out->ramp_count = kept;
}

bool shading_find(const Picture *picture, bool is_noisy, Work *work, Shading *out, Error *err)
{
    *out = (Shading){0};
    Search s = {.picture = picture, .back_codes = is_noisy ? BACK_CODES_NOISY : 0, .work = work};
    if (!look_along_all(&s, err)) return false;
    if (s.sharp_edges >= s.blurred_edges) keep_largest_group(&s, out);
    return true;
}
