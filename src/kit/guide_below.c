// guide_below.c - which pieces lie right below a piece; see guide_steps.h.
// Method:  the piece on top so far, in cells, layer by layer from the base.
#include "kit/guide_steps.h"

#include "shape/row.h"

#include <math.h>
#include <string.h>

#define CELLS_A_SIDE 500 // of the longer side: fine enough for a share of a piece
#define LEAST_SHARE 0.04 // of the piece's cells: less is a rim that happens to touch

typedef struct Cells {
    int columns, rows;
    double cells_a_um;
    int *top; // piece on top so far, or -1
} Cells;

typedef void (*CellRun)(Cells *cells, int from, int end, int piece, int *counts);

static bool each_run(Cells *cells, const Draft *draft, int piece, CellRun run, int *counts, Work *work, Error *err)
{
    const Rings *rings = &draft->pieces[piece].source->rings;
    ArenaMark mark = arena_mark(&work->scratch);
    double *crossings = arena_new(&work->scratch, double, rings_point_count(rings) + 1);
    if (!crossings) return error_memory(err);
    Box box = rings_box(rings);
    int first = (int)fmax(0, floor(box.min.y * cells->cells_a_um)),
        last = (int)fmin(cells->rows - 1, ceil(box.max.y * cells->cells_a_um));
    for (int row = first; row <= last; row++) {
        RowCrossings found = {.y = (row + 0.5) / cells->cells_a_um, .x = crossings};
        row_cross_rings(&found, rings, 1.0);
        row_sort(&found);
        for (int i = 0; i + 1 < found.count; i += 2) {
            int from = (int)fmax(0, ceil(crossings[i] * cells->cells_a_um - 0.5));
            int end = (int)fmin(cells->columns, floor(crossings[i + 1] * cells->cells_a_um - 0.5) + 1);
            if (from < end) run(cells, row * cells->columns + from, row * cells->columns + end, piece, counts);
        }
    }
    arena_rewind(&work->scratch, mark);
    return true;
}

static void count_run(Cells *cells, int from, int end, int piece, int *counts)
{
    (void)piece;
    for (int i = from; i < end; i++)
        if (cells->top[i] >= 0) counts[cells->top[i]]++;
}

static void paint_run(Cells *cells, int from, int end, int piece, int *counts)
{
    (void)counts;
    for (int i = from; i < end; i++) cells->top[i] = piece;
}

// The largest counts, the lower piece first among equals.
static void take_largest(int *counts, int piece_count, GuideBelow *out)
{
    int sum = 0;
    for (int i = 0; i < piece_count; i++) sum += counts[i];
    while (out->count < GUIDE_BELOW_MOST) {
        int best = 0;
        for (int i = 1; i < piece_count; i++)
            if (counts[i] > counts[best]) best = i;
        if (counts[best] == 0 || (out->count > 0 && counts[best] < LEAST_SHARE * sum)) return;
        out->pieces[out->count++] = best;
        counts[best] = 0;
    }
}

bool guide_below(const Draft *draft, Arena *keep, Work *work, GuideBelow **out, Error *err)
{
    const Stack *stack = draft->input->stack;
    ArenaMark mark = arena_mark(&work->scratch);
    double longer_um = fmax(stack->width_mm, stack->height_mm) * UM_PER_MM;
    Cells cells = {.cells_a_um = CELLS_A_SIDE / longer_um};
    cells.columns = (int)ceil(stack->width_mm * UM_PER_MM * cells.cells_a_um) + 1;
    cells.rows = (int)ceil(stack->height_mm * UM_PER_MM * cells.cells_a_um) + 1;
    size_t size = (size_t)cells.columns * (size_t)cells.rows;
    *out = arena_new(keep, GuideBelow, draft->piece_count);
    cells.top = arena_new(&work->scratch, int, size);
    int *counts = arena_new(&work->scratch, int, draft->piece_count);
    if (!*out || !cells.top || !counts) return error_memory(err);
    for (size_t i = 0; i < size; i++) cells.top[i] = -1;
    for (int l = 0; l < stack->layer_count; l++) {
        int first = draft->layers[l].first_piece, end = first + draft->layers[l].piece_count;
        for (int p = first; p < end; p++) {
            memset(counts, 0, (size_t)draft->piece_count * sizeof *counts);
            if (!work_goes_on(work, err) || !each_run(&cells, draft, p, count_run, counts, work, err)) return false;
            take_largest(counts, draft->piece_count, &(*out)[p]);
        }
        for (int p = first; p < end; p++)
            if (!each_run(&cells, draft, p, paint_run, counts, work, err)) return false;
    }
    arena_rewind(&work->scratch, mark);
    return true;
}
