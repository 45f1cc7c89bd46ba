// alike.c - see alike.h.
#include "separation/alike.h"

#include <stdlib.h>
#include <string.h>

#define ROWS_PER_LOOK 16
#define LEAST_BORDER_PX 16 // a corner that touches does not matter

typedef struct Border { int64_t px; double x, y; } Border; // of a pair; the place is where it was first met

typedef struct Pairs {
    bool is_near[SEPARATION_MAX_COLOURS + 1][SEPARATION_MAX_COLOURS + 1]; // labels; 0 is ground and near nothing
    Border borders[SEPARATION_MAX_COLOURS + 1][SEPARATION_MAX_COLOURS + 1];
} Pairs;

static double difference(const Separation *s, int a, int b)
{
    return lab_difference_2000(lab_from_srgb8(s->colours[a].colour), lab_from_srgb8(s->colours[b].colour));
}

static bool find_near(const Separation *s, Pairs *pairs)
{
    bool any = false;
    for (int a = 0; a < s->colour_count; a++)
        for (int b = a + 1; b < s->colour_count; b++) {
            bool is_near = difference(s, a, b) < ALIKE_DE00;
            pairs->is_near[a + 1][b + 1] = pairs->is_near[b + 1][a + 1] = is_near;
            any |= is_near;
        }
    return any;
}

static void note(Pairs *pairs, uint8_t p, uint8_t q, int x, int y)
{
    if (p == q || !pairs->is_near[p][q]) return;
    Border *b = p < q ? &pairs->borders[p][q] : &pairs->borders[q][p];
    if (b->px++ == 0) b->x = x, b->y = y;
}

static bool walk(const Separation *s, Pairs *pairs, Work *work, Error *err)
{
    size_t width = (size_t)s->width_px;
    for (int y = 0; y < s->height_px; y++) {
        const uint8_t *row = s->label + (size_t)y * width;
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        for (size_t x = 1; x < width; x++) note(pairs, row[x - 1], row[x], (int)x, y);
        if (y == 0 || memcmp(row, row - width, width) == 0) continue;
        const uint8_t *above = row - width;
        for (size_t x = 0; x < width; x++) note(pairs, row[x], above[x], (int)x, y);
    }
    return true;
}

static int nearest_first(const void *a, const void *b)
{
    const Alike *p = a, *q = b;
    if (p->de00 != q->de00) return p->de00 < q->de00 ? -1 : 1;
    return p->a != q->a ? p->a - q->a : p->b - q->b;
}

static bool list_pairs(const Separation *s, const Pairs *pairs, Work *work, Alike out[ALIKE_MOST], int *count, Error *err)
{
    Alike *all = arena_new(&work->scratch, Alike, SEPARATION_MAX_COLOURS * SEPARATION_MAX_COLOURS);
    if (!all) return error_memory(err);
    int n = 0;
    for (int a = 0; a < s->colour_count; a++)
        for (int b = a + 1; b < s->colour_count; b++) {
            const Border *border = &pairs->borders[a + 1][b + 1];
            if (border->px >= LEAST_BORDER_PX) all[n++] = (Alike){a, b, difference(s, a, b), border->x, border->y};
        }
    qsort(all, (size_t)n, sizeof *all, nearest_first);
    *count = n < ALIKE_MOST ? n : ALIKE_MOST;
    memcpy(out, all, (size_t)*count * sizeof *all);
    return true;
}

bool alike_find(const Separation *separation, Work *work, Alike out[ALIKE_MOST], int *count, Error *err)
{
    *count = 0;
    ArenaMark mark = arena_mark(&work->scratch);
    Pairs *pairs = arena_new(&work->scratch, Pairs, 1);
    if (!pairs) return error_memory(err);
    bool good = !find_near(separation, pairs) ||
                (walk(separation, pairs, work, err) && list_pairs(separation, pairs, work, out, count, err));
    arena_rewind(&work->scratch, mark);
    return good;
}
