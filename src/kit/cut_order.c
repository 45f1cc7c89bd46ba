// cut_order.c - see cut_order.h.
// Method:  nearest neighbour from the top left corner, among pieces whose box holds no piece that is still to be cut.
#include "kit/cut_order.h"

#include <math.h>
#include <string.h>

typedef struct Extent { double x0, y0, x1, y1; } Extent;

static Extent extent_on_sheet(const DraftPiece *piece)
{
    Extent e = {INFINITY, INFINITY, -INFINITY, -INFINITY};
    const Rings *rings = piece_cut(piece->source);
    for (int r = 0; r < rings->count; r++)
        for (int i = 0; i < rings->items[r].count; i++) {
            double at[2];
            draft_on_sheet(piece, rings->items[r].points[i], at);
            e = (Extent){fmin(e.x0, at[0]), fmin(e.y0, at[1]), fmax(e.x1, at[0]), fmax(e.y1, at[1])};
        }
    return e;
}

static bool holds(const Extent *outer, const Extent *inner)
{
    return outer->x0 < inner->x0 && outer->y0 < inner->y0 && outer->x1 > inner->x1 && outer->y1 > inner->y1;
}

// A piece waits while one of the others lies within its box.
static bool must_wait(const Extent *extents, const bool *done, int count, int i)
{
    for (int k = 0; k < count; k++)
        if (k != i && !done[k] && holds(&extents[i], &extents[k])) return true;
    return false;
}

static int nearest(const Extent *extents, const bool *done, int count, double x, double y)
{
    int best = -1;
    double least = INFINITY;
    for (int i = 0; i < count; i++) {
        if (done[i] || must_wait(extents, done, count, i)) continue;
        double dx = (extents[i].x0 + extents[i].x1) / 2 - x, dy = (extents[i].y0 + extents[i].y1) / 2 - y;
        double d = dx * dx + dy * dy;
        if (d < least) {
            least = d;
            best = i;
        }
    }
    return best;
}

bool cut_order_sort(const Draft *draft, DraftSheet *sheet, Work *work, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    int count = sheet->piece_count;
    Extent *extents = arena_new(&work->scratch, Extent, count);
    bool *done = arena_new(&work->scratch, bool, count);
    int *order = arena_new(&work->scratch, int, count);
    if (!extents || !done || !order) return error_memory(err);
    for (int i = 0; i < count; i++) extents[i] = extent_on_sheet(&draft->pieces[sheet->pieces[i]]);
    double x = sheet->box_mm[0], y = sheet->box_mm[1];
    for (int n = 0; n < count; n++) {
        int next = nearest(extents, done, count, x, y); // boxes within boxes end, so that one is always free
        done[next] = true;
        order[n] = sheet->pieces[next];
        x = (extents[next].x0 + extents[next].x1) / 2;
        y = (extents[next].y0 + extents[next].y1) / 2;
    }
    memcpy(sheet->pieces, order, (size_t)count * sizeof *order);
    arena_rewind(&work->scratch, mark);
    return true;
}
