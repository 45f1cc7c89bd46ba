// nest_table.h - pieces on a table, a paper for them, and what the nest makes of it.
#ifndef PM_TESTS_SUPPORT_NEST_TABLE_H
#define PM_TESTS_SUPPORT_NEST_TABLE_H

#include "nest/nest.h"
#include "shape/overlay.h"

#define NEST_TABLE_MOST 80

typedef struct NestTable {
    Arena keep;
    Work work;
    NestItem items[NEST_TABLE_MOST];
    int count;
    NestOptions options;
    NestResult result;
    Error err;
} NestTable;

static inline NestTable nest_table_make(const char *paper_word)
{
    NestTable c = {.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    Paper paper;
    assert_true(paper_parse(paper_word, &paper, &c.err));
    assert_true(overlay_create(NULL, &c.work.overlay, &c.err));
    c.options = nest_defaults(&paper);
    return c;
}

static inline void nest_table_free(NestTable *c)
{
    arena_free(&c->keep);
    arena_free(&c->work.scratch);
    overlay_destroy(c->work.overlay);
}

// An item of some rings, given as points in mm, each ring ended by -1, -1; turned by (cos, sin).
static inline void nest_table_rings(NestTable *c, const double *xy, int ring_count, double cos, double sin)
{
    Rings *rings = arena_new(&c->keep, Rings, 1);
    rings->items = arena_new(&c->keep, Ring, ring_count);
    for (; rings->count < ring_count; rings->count++, xy += 2) {
        Ring *ring = &rings->items[rings->count];
        ring->points = arena_new(&c->keep, Point, 64);
        for (; xy[0] != -1 || xy[1] != -1; xy += 2)
            ring->points[ring->count++] = point_from_mm(1000 + xy[0] * cos - xy[1] * sin, 1000 + xy[0] * sin + xy[1] * cos);
    }
    c->items[c->count++] = (NestItem){rings, {1, 0}};
}

static inline void nest_table_box(NestTable *c, double w, double h)
{
    const double xy[] = {0, 0, w, 0, w, h, 0, h, -1, -1};
    nest_table_rings(c, xy, 1, 1, 0);
}

#endif
