// drawn.c - see drawn.h.
// Method:  walks along the cracks with the part on the right hand, from each upper edge that no line has passed yet: a
//          closed line round an area has an upper edge, and one round a hole has one below the hole.
#include "separation/drawn.h"

#include <string.h>

typedef struct Mask {
    const Part *part;
    int32_t width, height;
    uint8_t *cells; // 1 = in the part, 2 = its upper edge has been passed
} Mask;

static bool has(const Mask *m, int32_t x, int32_t y)
{
    return x >= 0 && y >= 0 && x < m->width && y < m->height && m->cells[(size_t)y * (size_t)m->width + (size_t)x];
}

static bool mask_make(const Runs *runs, const Part *part, Arena *arena, Mask *out, Error *err)
{
    Mask m = {.part = part, .width = part->x1 - part->x0, .height = part->y1 - part->y0};
    m.cells = arena_new(arena, uint8_t, (size_t)m.width * (size_t)m.height);
    if (!m.cells) return error_memory(err);
    for (int32_t i = part->first_run; i >= 0; i = runs->runs[i].next) {
        const Run *run = &runs->runs[i];
        size_t row = (size_t)(runs_row_of(runs, i) - part->y0) * (size_t)m.width;
        memset(m.cells + row + (size_t)(run->x0 - part->x0), 1, (size_t)(run->x1 - run->x0));
    }
    *out = m;
    return true;
}

typedef struct Corners {
    double *xy;
    size_t count, capacity; // numbers, two a corner
} Corners;

static bool add_number(Corners *c, double value, Arena *arena, Error *err)
{
    double *xy = arena_grow(arena, c->xy, c->count, &c->capacity, sizeof *xy);
    if (!xy) return error_memory(err);
    c->xy = xy;
    xy[c->count++] = value;
    return true;
}

// The line that begins with the upper edge of the pixel (x, y), which the part has and whose upper neighbour it has
// not.
static bool walk(Mask *m, int32_t first_x, int32_t first_y, Arena *arena, Corners *out, Error *err)
{
    static const int step_x[4] = {1, 0, -1, 0}, step_y[4] = {0, 1, 0, -1}; // right, down, left, up
    int32_t x = first_x, y = first_y;
    int way = 0, way_before = -1;
    do {
        if (way != way_before &&
            !(add_number(out, m->part->x0 + x, arena, err) && add_number(out, m->part->y0 + y, arena, err)))
            return false;
        if (way == 0) m->cells[(size_t)y * (size_t)m->width + (size_t)x] = 2;
        way_before = way;
        x += step_x[way], y += step_y[way];
        // The two pixels ahead: on the right hand, and on the left.
        int right = (way + 1) % 4, left = (way + 3) % 4;
        int32_t px = x + (step_x[way] + step_x[right] - 1) / 2, py = y + (step_y[way] + step_y[right] - 1) / 2;
        int32_t qx = x + (step_x[way] + step_x[left] - 1) / 2, qy = y + (step_y[way] + step_y[left] - 1) / 2;
        if (!has(m, px, py))
            way = right;
        else if (has(m, qx, qy))
            way = left;
    } while (x != first_x || y != first_y || way != 0);
    return true;
}

static bool draw(Mask *m, Srgb8 colour, Arena *keep, Work *work, PenDetails *out, Error *err)
{
    for (int32_t y = 0; y < m->height; y++) {
        if (!work_goes_on(work, err)) return false;
        for (int32_t x = 0; x < m->width; x++) {
            if (m->cells[(size_t)y * (size_t)m->width + (size_t)x] != 1 || has(m, x, y - 1)) continue;
            Corners corners = {0};
            if (!walk(m, x, y, &work->scratch, &corners, err)) return false;
            PenDetail *items = arena_grow(keep, out->items, out->count, &out->capacity, sizeof *items);
            double *xy = arena_copy(keep, corners.xy, corners.count, sizeof *xy);
            if (!items || !xy) return error_memory(err);
            out->items = items;
            items[out->count++] = (PenDetail){colour, xy, (int)(corners.count / 2)};
        }
    }
    return true;
}

bool part_draw(const Runs *runs, int32_t part, Srgb8 colour, Arena *keep, Work *work, PenDetails *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Mask m = {0};
    bool good = mask_make(runs, &runs->parts[part], &work->scratch, &m, err) && draw(&m, colour, keep, work, out, err);
    arena_rewind(&work->scratch, mark);
    return good;
}
