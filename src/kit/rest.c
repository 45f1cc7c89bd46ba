// rest.c - see rest.h.
// Method:  a raster of 1 mm: outlines close off their insides, what the sheet's edge reaches is free; then the gap; the largest
//          rectangle of free cells by rows of heights.
// Source:  largest rectangle: common practice (a stack of rising heights a row), no source.
#include "kit/rest.h"

#include <math.h>
#include <string.h>

#define CELL_MM 1.0
#define STEP_MM 0.4 // of samples along a line: less than half a cell, so that no cell is jumped

typedef struct Raster {
    unsigned char *taken; // 1 = a line runs through, 2 = the edge reaches it
    int columns, rows;
} Raster;

typedef struct Rect {
    int x0, y0, x1, y1; // cells, the last ones excluded
} Rect;

static void take_spot(Raster *r, double x, double y)
{
    int column = (int)floor(x / CELL_MM), row = (int)floor(y / CELL_MM);
    if (column >= 0 && row >= 0 && column < r->columns && row < r->rows) r->taken[(size_t)row * (size_t)r->columns + (size_t)column] = 1;
}

static void take_line(Raster *r, const double a[2], const double b[2])
{
    double dx = b[0] - a[0], dy = b[1] - a[1];
    int steps = (int)(sqrt(dx * dx + dy * dy) / STEP_MM) + 1;
    for (int i = 0; i <= steps; i++) take_spot(r, a[0] + dx * i / steps, a[1] + dy * i / steps);
}

static void place(const DraftPiece *piece, Point p, double out[2])
{
    if (piece) {
        draft_on_sheet(piece, p, out);
        return;
    }
    out[0] = p.x / UM_PER_MM;
    out[1] = p.y / UM_PER_MM;
}

// `piece` NULL: the path lies in the sheet's own millimetres.
static void take_path(Raster *r, const Path *path, const DraftPiece *piece)
{
    for (int i = 0; i < path->curve_count; i++) {
        const Curve *curve = &path->curves[i];
        int steps = curve_steps(curve);
        for (int k = 0; k < steps; k++) {
            double a[2], b[2];
            place(piece, curve_point(curve, (double)k / steps), a);
            place(piece, curve_point(curve, (double)(k + 1) / steps), b);
            take_line(r, a, b);
        }
    }
}

static void take_box(Raster *r, double x, double y, double size)
{
    for (double v = 0.0; v <= size; v += STEP_MM)
        for (double u = 0.0; u <= size; u += STEP_MM) take_spot(r, x + u, y + v);
}

static void take_corners(Raster *r, const double box[4])
{
    take_box(r, box[0], box[1], PAPER_CORNER_MARK_MM);
    take_box(r, box[0] + box[2] - PAPER_CORNER_MARK_MM, box[1] + box[3] - PAPER_CORNER_MARK_MM, PAPER_CORNER_MARK_MM);
}

// Marks with 2 what the sheet's edge reaches over sides of cells.
static bool flood(Raster *r, Arena *scratch, Error *err)
{
    int count = r->columns * r->rows, top = 0;
    int *stack = arena_new(scratch, int, count);
    if (!stack) return error_memory(err);
    for (int i = 0; i < count; i++) {
        int x = i % r->columns, y = i / r->columns;
        bool at_edge = x == 0 || y == 0 || x == r->columns - 1 || y == r->rows - 1;
        if (at_edge && r->taken[i] == 0) r->taken[stack[top++] = i] = 2;
    }
    while (top > 0) {
        int i = stack[--top], x = i % r->columns, y = i / r->columns;
        const int next[4] = {x > 0 ? i - 1 : i, x + 1 < r->columns ? i + 1 : i, y > 0 ? i - r->columns : i, y + 1 < r->rows ? i + r->columns : i};
        for (int k = 0; k < 4; k++)
            if (r->taken[next[k]] == 0) r->taken[stack[top++] = next[k]] = 2;
    }
    return true;
}

// Nothing is taken, nor closed off, within `reach` cells. taken_sum[y][x] counts what is above and left of a cell.
static bool is_clear(const Raster *r, const int *taken_sum, int x, int y, int reach)
{
    int x0 = x > reach ? x - reach : 0, y0 = y > reach ? y - reach : 0;
    int x1 = x + reach + 1 < r->columns ? x + reach + 1 : r->columns, y1 = y + reach + 1 < r->rows ? y + reach + 1 : r->rows;
    int wide = r->columns + 1;
    return taken_sum[y1 * wide + x1] - taken_sum[y0 * wide + x1] - taken_sum[y1 * wide + x0] + taken_sum[y0 * wide + x0] == 0;
}

static bool touches_edge(const Raster *r, const Rect *at)
{
    return at->x0 == 0 || at->y0 == 0 || at->x1 == r->columns || at->y1 == r->rows;
}

static void keep_larger(const Raster *r, Rect at, Rect *best)
{
    int wide = at.x1 - at.x0, high = at.y1 - at.y0, least = (int)ceil(REST_LEAST_MM / CELL_MM);
    if (wide < least || high < least || !touches_edge(r, &at)) return;
    if (wide * high > (best->x1 - best->x0) * (best->y1 - best->y0)) *best = at;
}

// All rectangles whose last row is `row` and that cannot grow upwards or sideways.
static void scan_row(const Raster *r, int row, const int *heights, int *starts, Rect *best)
{
    int top = 0;
    for (int x = 0; x <= r->columns; x++) {
        int height = x < r->columns ? heights[x] : 0;
        while (top > 0 && heights[starts[top - 1]] >= height) {
            int h = heights[starts[--top]], from = top > 0 ? starts[top - 1] + 1 : 0;
            keep_larger(r, (Rect){from, row + 1 - h, x, row + 1}, best);
        }
        if (x < r->columns) starts[top++] = x;
    }
}

static bool largest(const Raster *r, int reach, Arena *scratch, Rect *best, Error *err)
{
    int wide = r->columns + 1;
    int *sum = arena_new(scratch, int, wide * (r->rows + 1)), *heights = arena_new(scratch, int, r->columns), *starts = arena_new(scratch, int, wide);
    if (!sum || !heights || !starts) return error_memory(err);
    for (int y = 0; y < r->rows; y++)
        for (int x = 0; x < r->columns; x++)
            sum[(y + 1) * wide + x + 1] = (r->taken[y * r->columns + x] != 2) + sum[y * wide + x + 1] + sum[(y + 1) * wide + x] - sum[y * wide + x];
    for (int y = 0; y < r->rows; y++) {
        for (int x = 0; x < r->columns; x++) heights[x] = is_clear(r, sum, x, y, reach) ? heights[x] + 1 : 0;
        scan_row(r, y, heights, starts, best);
    }
    return true;
}

static void write_rest(const Raster *r, const Rect *at, const Paper *paper, DraftSheet *sheet)
{
    double x1 = at->x1 == r->columns ? paper->width_mm : at->x1 * CELL_MM, y1 = at->y1 == r->rows ? paper->height_mm : at->y1 * CELL_MM;
    sheet->has_rest = at->x1 > at->x0;
    sheet->rest_mm[0] = at->x0 * CELL_MM;
    sheet->rest_mm[1] = at->y0 * CELL_MM;
    sheet->rest_mm[2] = x1 - sheet->rest_mm[0];
    sheet->rest_mm[3] = y1 - sheet->rest_mm[1];
}

static bool find(const Draft *draft, DraftSheet *sheet, Work *work, Error *err)
{
    const KitPaper *paper = &draft->input->papers[sheet->paper];
    Raster r = {.columns = (int)(paper->paper.width_mm / CELL_MM), .rows = (int)(paper->paper.height_mm / CELL_MM)};
    r.taken = arena_new(&work->scratch, unsigned char, (size_t)r.columns * (size_t)r.rows);
    if (!r.taken) return error_memory(err);
    for (int i = 0; i < sheet->piece_count; i++) take_path(&r, &draft->pieces[sheet->pieces[i]].outline, &draft->pieces[sheet->pieces[i]]);
    for (int i = 0; i < sheet->note_count; i++) take_path(&r, &sheet->notes[i].path, NULL);
    take_corners(&r, sheet->box_mm);
    Rect best = {0, 0, 0, 0};
    if (!work_goes_on(work, err) || !flood(&r, &work->scratch, err) ||
        !largest(&r, (int)ceil(paper->gap_mm / CELL_MM), &work->scratch, &best, err))
        return false;
    write_rest(&r, &best, &paper->paper, sheet);
    return true;
}

bool rest_find(Draft *draft, int index, Work *work, Error *err)
{
    DraftSheet *sheet = &draft->sheets[index];
    const Paper *paper = &draft->input->papers[sheet->paper].paper;
    bool fits_raster = paper->width_mm < 3000.0 && paper->height_mm < 3000.0; // more is a roll, which is simply cut off
    if (sheet->number != sheet->of || draft->input->papers[sheet->paper].at_hand || !fits_raster) return true;
    ArenaMark mark = arena_mark(&work->scratch);
    bool done = find(draft, sheet, work, err);
    arena_rewind(&work->scratch, mark);
    return done;
}
