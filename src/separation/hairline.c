// hairline.c - see hairline.h.
#include "separation/hairline.h"

#define ROWS_PER_LOOK 32

typedef struct Map {
    const Picture *picture;
    const Palette *palette;
    uint8_t *label;
} Map;

static uint8_t label_at(const Map *m, int x, int y) // LABEL_UNDECIDED beyond the frame, where nothing is
{
    const Picture *p = m->picture;
    if (x < 0 || y < 0 || x >= p->width_px || y >= p->height_px) return LABEL_UNDECIDED;
    return m->label[(size_t)y * (size_t)p->width_px + (size_t)x];
}

static bool has_block(const Map *m, int x, int y)
{
    uint8_t own = label_at(m, x, y);
    for (int k = 0; k < 4; k++) {
        int dx = k & 1 ? 1 : -1, dy = k & 2 ? 1 : -1;
        if (label_at(m, x + dx, y) == own && label_at(m, x, y + dy) == own && label_at(m, x + dx, y + dy) == own) return true;
    }
    return false;
}

static int touching(const Map *m, int x, int y, uint8_t label)
{
    int count = 0;
    for (int k = 0; k < 9; k++) count += label_at(m, x + k % 3 - 1, y + k / 3 - 1) == label;
    return count;
}

// Squared distance in codes of a pixel from a label's colour, what is transparent apart.
static int off_colour(const Map *m, int x, int y, uint8_t label)
{
    const uint8_t *p = m->picture->rgba + ((size_t)y * (size_t)m->picture->width_px + (size_t)x) * 4;
    Srgb8 c = m->palette->colours[label - LABEL_FIRST].colour;
    int r = p[0] - c.r, g = p[1] - c.g, b = p[2] - c.b, a = 255 - p[3];
    return (r * r + g * g + b * b) * p[3] / 255 + 3 * a * a;
}

typedef struct Place { int x, y; } Place;

// Is `a` the better of two pixels to join the line?
static bool is_better(const Map *m, Place a, Place b, uint8_t line)
{
    int off_a = off_colour(m, a.x, a.y, line), off_b = off_colour(m, b.x, b.y, line);
    if (off_a != off_b) return off_a < off_b;
    int near_a = touching(m, a.x, a.y, line), near_b = touching(m, b.x, b.y, line);
    return near_a != near_b ? near_a < near_b : a.y < b.y;
}

// The pixels at (x, y) and (x + dx, y + 1), which touch over a corner alone.
static void join(const Map *m, int x, int y, int dx)
{
    uint8_t line = label_at(m, x, y);
    Place beside[2] = {{x + dx, y}, {x, y + 1}};
    if (has_block(m, x, y) || has_block(m, x + dx, y + 1)) return;
    bool may[2];
    for (int k = 0; k < 2; k++) may[k] = has_block(m, beside[k].x, beside[k].y);
    if (!may[0] && !may[1]) return;
    Place at = may[0] && (!may[1] || is_better(m, beside[0], beside[1], line)) ? beside[0] : beside[1];
    m->label[(size_t)at.y * (size_t)m->picture->width_px + (size_t)at.x] = line;
}

static void join_row(const Map *m, int y)
{
    int width = m->picture->width_px;
    const uint8_t *row = m->label + (size_t)y * (size_t)width, *below = row + width;
    for (int x = 0; x < width; x++) {
        uint8_t own = row[x];
        if (own < LABEL_FIRST || below[x] == own) continue;
        for (int dx = -1; dx <= 1; dx += 2)
            if (label_at(m, x + dx, y + 1) == own && label_at(m, x + dx, y) != own) join(m, x, y, dx);
    }
}

bool hairlines_join(const Picture *picture, const Palette *palette, Work *work, uint8_t *label, Error *err)
{
    const Map m = {picture, palette, label};
    for (int y = 0; y + 1 < picture->height_px; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        join_row(&m, y);
    }
    return true;
}
