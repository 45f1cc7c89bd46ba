// plan_cells.c - see plan_cells.h.
#include "kit/plan_cells.h"

#include "shape/row.h"

#include <math.h>

static bool cells_make(const Draft *draft, double scale, Work *work, PlanCells *out, Error *err)
{
    const Stack *stack = draft->input->stack;
    out->columns = (int)ceil(stack->width_mm * scale / PLAN_CELL_MM) + 1;
    out->rows = (int)ceil(stack->height_mm * scale / PLAN_CELL_MM) + 1;
    out->x0 = out->columns, out->y0 = out->rows, out->x1 = out->y1 = -1;
    size_t cells = (size_t)out->columns * (size_t)out->rows;
    out->piece = arena_new(&work->scratch, int, cells);
    out->taken = arena_new(&work->scratch, unsigned char, cells);
    out->rim = arena_new(&work->scratch, int, cells);
    if (!out->piece || !out->taken || !out->rim) return error_memory(err);
    for (size_t i = 0; i < cells; i++) out->piece[i] = PLAN_NOBODY;
    return true;
}

int plan_cells_row(const Rings *rings, double cells_a_um, int row, double *out)
{
    RowCrossings found = {.y = row + 0.5, .x = out};
    row_cross_rings(&found, rings, cells_a_um);
    row_sort(&found);
    return found.count;
}

static void paint_run(PlanCells *cells, int row, int from, int to, int piece)
{
    if (from < 0) from = 0;
    if (to >= cells->columns) to = cells->columns - 1;
    if (from > to) return;
    for (int x = from; x <= to; x++) cells->piece[row * cells->columns + x] = piece;
    cells->x0 = from < cells->x0 ? from : cells->x0, cells->x1 = to > cells->x1 ? to : cells->x1;
    cells->y0 = row < cells->y0 ? row : cells->y0, cells->y1 = row > cells->y1 ? row : cells->y1;
}

static bool paint_piece(PlanCells *cells, const Rings *rings, double cells_a_um, int piece, Work *work, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    double *crossings = arena_new(&work->scratch, double, rings_point_count(rings) + 1);
    if (!crossings) return error_memory(err);
    Box box = rings_box(rings);
    int first = (int)floor(box.min.y * cells_a_um), last = (int)ceil(box.max.y * cells_a_um);
    for (int row = first < 0 ? 0 : first; row <= last && row < cells->rows; row++) {
        int found = plan_cells_row(rings, cells_a_um, row, crossings);
        for (int i = 0; i + 1 < found; i += 2)
            paint_run(cells, row, (int)ceil(crossings[i] - 0.5), (int)floor(crossings[i + 1] - 0.5), piece);
    }
    arena_rewind(&work->scratch, mark);
    return true;
}

void plan_cells_take(PlanCells *cells, double x0, double y0, double x1, double y1)
{
    for (int y = (int)floor(y0); y <= (int)floor(y1); y++)
        for (int x = (int)floor(x0); x <= (int)floor(x1); x++)
            if (x >= 0 && y >= 0 && x < cells->columns && y < cells->rows) cells->taken[y * cells->columns + x] = 1;
}

static void take_seam(PlanCells *cells, const Path *path, double cells_a_um)
{
    for (int i = 0; i < path->curve_count; i++) {
        int steps = (int)(point_distance_mm(path->curves[i].p0, path->curves[i].p3) * UM_PER_MM * cells_a_um * 2) + 8;
        for (int k = 0; k <= steps; k++) {
            Point p = curve_point(&path->curves[i], (double)k / steps);
            double x = p.x * cells_a_um, y = p.y * cells_a_um;
            plan_cells_take(cells, x - 0.5, y - 0.5, x + 0.5, y + 0.5);
        }
    }
}

static bool is_rim(const PlanCells *cells, int x, int y)
{
    int w = cells->columns, i = y * w + x, own = cells->piece[i];
    return cells->taken[i] || x == 0 || y == 0 || x + 1 == w || y + 1 == cells->rows || cells->piece[i - 1] != own ||
           cells->piece[i + 1] != own || cells->piece[i - w] != own || cells->piece[i + w] != own;
}

static void lower(int *rim, int i, int from, int step)
{
    if (rim[from] + step < rim[i]) rim[i] = rim[from] + step;
}

// Two rounds over the cells that may have a piece: the way from one of them to its piece's rim never leaves these, so what
// lies beyond is only looked at, one cell far.
static void measure_rim(PlanCells *cells)
{
    int w = cells->columns, h = cells->rows, *rim = cells->rim;
    int x0 = cells->x0 > 1 ? cells->x0 : 1, x1 = cells->x1 < w - 2 ? cells->x1 : w - 2;
    int y0 = cells->y0 > 1 ? cells->y0 : 1, y1 = cells->y1 < h - 2 ? cells->y1 : h - 2;
    for (int y = y0 - 1; y <= y1 + 1 && y < h; y++)
        for (int x = x0 - 1; x <= x1 + 1 && x < w; x++) rim[y * w + x] = is_rim(cells, x, y) ? 0 : 1000000;
    for (int y = y0; y <= y1; y++)
        for (int x = x0; x <= x1; x++) {
            int i = y * w + x;
            lower(rim, i, i - 1, 5), lower(rim, i, i - w, 5), lower(rim, i, i - w - 1, 7), lower(rim, i, i - w + 1, 7);
        }
    for (int y = y1; y >= y0; y--)
        for (int x = x1; x >= x0; x--) {
            int i = y * w + x;
            lower(rim, i, i + 1, 5), lower(rim, i, i + w, 5), lower(rim, i, i + w + 1, 7), lower(rim, i, i + w - 1, 7);
        }
}

// A run of one piece's cells in a row.
static void see_run(const PlanCells *cells, int y, int from, int to, Seen *s)
{
    int count = to - from + 1, row = y * cells->columns;
    s->x0 = from < s->x0 ? from : s->x0, s->x1 = to > s->x1 ? to : s->x1;
    s->y0 = y < s->y0 ? y : s->y0, s->y1 = y > s->y1 ? y : s->y1;
    s->x += (from + to) * (double)count / 2, s->y += y * (double)count, s->count += count;
    for (int x = from; x <= to; x++)
        if (s->deepest < 0 || cells->rim[row + x] > cells->rim[s->deepest]) s->deepest = row + x;
}

bool plan_cells_seen(const PlanCells *cells, int piece_count, Work *work, Seen **out, Error *err)
{
    Seen *seen = arena_new(&work->scratch, Seen, piece_count);
    if (!seen) return error_memory(err);
    for (int p = 0; p < piece_count; p++) seen[p] = (Seen){cells->columns, cells->rows, -1, -1, 0, 0, 0, -1};
    for (int y = cells->y0; y <= cells->y1; y++) {
        const int *row = &cells->piece[y * cells->columns];
        for (int x = cells->x0, end; x <= cells->x1; x = end + 1) {
            for (end = x; end < cells->x1 && row[end + 1] == row[x]; end++) {}
            if (row[x] != PLAN_NOBODY) see_run(cells, y, x, end, &seen[row[x]]);
        }
    }
    for (int p = 0; p < piece_count; p++)
        if (seen[p].count) seen[p].x /= (double)seen[p].count, seen[p].y /= (double)seen[p].count;
    *out = seen;
    return true;
}

bool plan_cells(const Draft *draft, double scale, Work *work, PlanCells *out, Error *err)
{
    if (!cells_make(draft, scale, work, out, err)) return false;
    double cells_a_um = scale / UM_PER_MM / PLAN_CELL_MM;
    for (int p = 0; p < draft->piece_count; p++) // lower layers come first: the topmost piece stays
        if (!work_goes_on(work, err) || !paint_piece(out, &draft->pieces[p].source->rings, cells_a_um, p, work, err))
            return false;
    for (int s = 0; s < draft->seam_count; s++) take_seam(out, &draft->seams[s].path, cells_a_um);
    measure_rim(out);
    return true;
}
