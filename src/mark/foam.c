// foam.c - see foam.h.
// Method:  a piece as cells that know how far the next place is where no square may be.
#include "mark/foam.h"

#include "shape/row.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define CELL_MM 2.0             // smaller: slower; larger: narrow places are missed
#define MOST_CELLS 90000.0      // of a large piece
#define HALF_MM 8.4853          // from the middle of a square to its corner: 6 mm times the root of 2
#define ROOM_MM (HALF_MM + FOAM_EDGE_MM)
#define LEAST_OVER_MM2 25.0     // of raised paper below: less is no more than an edge that is laid a little off
#define FAR_STEPS 60000
#define SPARE_MM 0.02           // coordinates are written with 3 decimals

enum { CELL_OUT, CELL_FREE, CELL_RAISED };

typedef struct Cells {
    double left_mm, top_mm, cell_mm;
    int columns, rows;
    unsigned char *kind;
    unsigned short *steps;      // to the next cell that is not free, 5 a cell
    int *apart;                 // squared, in cells, to the nearest square so far
    int raised_count, free_count;
} Cells;

typedef struct Raising {
    const Stack *stack;
    const LayerPieces *pieces;
    Foam *out;
    Arena *keep;
    Work *work;
} Raising;

// ---- cells ----

static bool cells_open(const Rings *rings, Arena *scratch, Cells *out, Error *err)
{
    Box box = rings_box(rings);
    double cell = fmax(CELL_MM, sqrt(box_width_mm(box) * box_height_mm(box) / MOST_CELLS));
    *out = (Cells){.left_mm = box.min.x / UM_PER_MM - 1.5 * cell, .top_mm = box.min.y / UM_PER_MM - 1.5 * cell, .cell_mm = cell,
                   .columns = (int)ceil(box_width_mm(box) / cell) + 3, .rows = (int)ceil(box_height_mm(box) / cell) + 3};
    size_t count = (size_t)out->columns * (size_t)out->rows;
    out->kind = arena_new(scratch, unsigned char, count);
    out->steps = arena_new(scratch, unsigned short, count);
    out->apart = arena_new(scratch, int, count);
    return (out->kind && out->steps && out->apart) || error_memory(err);
}

static bool fill(Cells *cells, const Rings *rings, unsigned char from, unsigned char to, Arena *scratch, Error *err)
{
    ArenaMark mark = arena_mark(scratch);
    double *crossings = arena_new(scratch, double, rings_point_count(rings));
    if (!crossings) return error_memory(err);
    for (int row = 0; row < cells->rows; row++) {
        RowCrossings found = {.y = cells->top_mm + (row + 0.5) * cells->cell_mm, .x = crossings};
        row_cross_rings(&found, rings, 1.0 / UM_PER_MM);
        row_sort(&found);
        for (int i = 0; i + 1 < found.count; i += 2) {
            int first = (int)ceil((crossings[i] - cells->left_mm) / cells->cell_mm - 0.5), last = (int)floor((crossings[i + 1] - cells->left_mm) / cells->cell_mm - 0.5);
            for (int column = first < 0 ? 0 : first; column <= last && column < cells->columns; column++) {
                unsigned char *kind = &cells->kind[(size_t)row * (size_t)cells->columns + (size_t)column];
                if (*kind == from) *kind = to;
            }
        }
    }
    arena_rewind(scratch, mark);
    return true;
}

static void lower(Cells *cells, int at, int from, int step)
{
    if (cells->steps[from] + step < cells->steps[at]) cells->steps[at] = (unsigned short)(cells->steps[from] + step);
}

// Two passes with steps 5 and 7; the rim is outside.
static void find_steps(Cells *cells)
{
    int w = cells->columns, count = w * cells->rows;
    for (int i = 0; i < count; i++) cells->steps[i] = cells->kind[i] == CELL_FREE ? FAR_STEPS : 0;
    for (int y = 1; y + 1 < cells->rows; y++)
        for (int x = 1; x + 1 < w; x++) {
            int i = y * w + x;
            lower(cells, i, i - 1, 5), lower(cells, i, i - w, 5), lower(cells, i, i - w - 1, 7), lower(cells, i, i - w + 1, 7);
        }
    for (int y = cells->rows - 2; y > 0; y--)
        for (int x = w - 2; x > 0; x--) {
            int i = y * w + x;
            lower(cells, i, i + 1, 5), lower(cells, i, i + w, 5), lower(cells, i, i + w + 1, 7), lower(cells, i, i + w - 1, 7);
        }
}

static Point middle_of(const Cells *cells, int i)
{
    return point_from_mm(cells->left_mm + (i % cells->columns + 0.5) * cells->cell_mm, cells->top_mm + (i / cells->columns + 0.5) * cells->cell_mm);
}

// ---- what lies below ----

// Calls for each raised piece of a lower layer that may lie below: fills its cells, or measures how near its edge comes.
typedef struct Below { const Raising *raising; int layer; Box box; } Below;

static const Rings *next_below(const Below *below, int *layer, int *piece)
{
    for (; *layer < below->layer; (*layer)++, *piece = 0)
        while (*piece < below->raising->pieces[*layer].piece_count) {
            int index = (*piece)++;
            const Rings *rings = &below->raising->pieces[*layer].pieces[index].rings;
            if (below->raising->out->layers[*layer][index].is_up && box_overlap(below->box, rings_box(rings))) return rings;
        }
    return NULL;
}

static bool keeps_off(const Rings *rings, Point p, double room_mm)
{
    for (int r = 0; r < rings->count; r++)
        for (int i = 0; i < rings->items[r].count; i++)
            if (point_segment_distance_mm(p, rings->items[r].points[i], rings->items[r].points[(i + 1) % rings->items[r].count]) < room_mm) return false;
    return true;
}

// The last word, on the outlines themselves.
static bool may_stand(const Below *below, const Rings *face, Point p)
{
    int layer = 0, piece = 0;
    if (!keeps_off(face, p, ROOM_MM + SPARE_MM) || !rings_contain(face, p)) return false;
    for (const Rings *rings; (rings = next_below(below, &layer, &piece)) != NULL;)
        if (rings_contain(rings, p) || !keeps_off(rings, p, HALF_MM + SPARE_MM)) return false;
    return true;
}

// ---- squares of a piece ----

static void note_square(Cells *cells, int at)
{
    int ax = at % cells->columns, ay = at / cells->columns;
    for (int y = 0; y < cells->rows; y++)
        for (int x = 0; x < cells->columns; x++) {
            int i = y * cells->columns + x, d = (x - ax) * (x - ax) + (y - ay) * (y - ay);
            if (d < cells->apart[i]) cells->apart[i] = d;
        }
}

// Of the cells that take a square the one farthest from those that lie; the first of all goes as far up and left as it may.
static int farthest(const Cells *cells, int least_steps, bool is_first)
{
    int best = -1, count = cells->columns * cells->rows;
    long most = 0;
    for (int i = 0; i < count; i++) {
        if (cells->steps[i] < least_steps) continue;
        long score = is_first ? 2L * count - i % cells->columns - i / cells->columns : cells->apart[i];
        if (score <= most) continue;
        most = score;
        best = i;
    }
    return best;
}

static bool add_square(FoamPiece *piece, size_t *capacity, Point p, Arena *keep, Error *err)
{
    Point *squares = arena_grow(keep, piece->squares, (size_t)piece->count, capacity, sizeof *squares);
    if (!squares) return error_memory(err);
    piece->squares = squares;
    squares[piece->count++] = p;
    return true;
}

static bool lay_squares(const Raising *raising, const Below *below, const Rings *face, Cells *cells, FoamPiece *piece, Error *err)
{
    size_t capacity = 0;
    double cell = cells->cell_mm, reach = FOAM_REACH_MM / cell, least = 2.0 * HALF_MM / cell + 1.0;
    int least_steps = (int)(5.0 * (ROOM_MM / cell - 1.0));
    for (int i = 0; i < cells->columns * cells->rows; i++) cells->apart[i] = 1 << 29;
    while (true) {
        if (!work_goes_on(raising->work, err)) return false;
        int at = farthest(cells, least_steps < 1 ? 1 : least_steps, piece->count == 0);
        double apart = at < 0 ? 0.0 : piece->count == 0 ? 1e9 : cells->apart[at];
        bool more = apart > reach * reach || (piece->count < FOAM_LEAST && apart > least * least);
        if (at < 0 || !more) return true;
        if (may_stand(below, face, middle_of(cells, at))) {
            if (!add_square(piece, &capacity, middle_of(cells, at), raising->keep, err)) return false;
            note_square(cells, at);
        }
        cells->steps[at] = 0; // once is enough
    }
}

// The place of the piece that is farthest from what carries it.
static bool tell_narrow(const Raising *raising, int layer, int index, const Cells *cells, const FoamPiece *piece, Error *err)
{
    const Piece *of = &raising->pieces[layer].pieces[index];
    double far_mm = 0.0;
    int at = -1;
    for (int i = 0; i < cells->columns * cells->rows; i++) {
        double mm = piece->count == 0 ? 1e6 : sqrt(cells->apart[i]) * cells->cell_mm;
        if (cells->kind[i] != CELL_FREE || mm <= far_mm) continue;
        far_mm = mm;
        at = i;
    }
    bool flat = cells->raised_count > cells->free_count; // most of it lies on raised paper, which carries it
    if (at < 0 || flat || (piece->count >= FOAM_LEAST && far_mm <= FOAM_HANGS_MM)) return true;
    char text[240];
    const char *colour = raising->stack->colours[raising->stack->layers[layer].colour].name;
    if (piece->count < FOAM_LEAST)
        snprintf(text, sizeof text, "%s of %.40s stands off, but has room for %s of 12 mm: put smaller ones under its narrow parts", of->id, colour,
                 piece->count == 0 ? "no foam square" : piece->count == 1 ? "1 foam square" : "2 foam squares");
    else
        snprintf(text, sizeof text, "%s of %.40s stands off, and here it is too narrow for foam squares of 12 mm over %.0f mm: put smaller ones there", of->id, colour, far_mm);
    Point p = middle_of(cells, at);
    return findings_add(&raising->out->findings, raising->keep, "raised-narrow", text, p.x / UM_PER_MM, p.y / UM_PER_MM) || error_memory(err);
}

static bool raise_piece(const Raising *raising, int layer, int index, Error *err)
{
    const Rings *face = &raising->pieces[layer].pieces[index].rings;
    FoamPiece *piece = &raising->out->layers[layer][index];
    Below below = {raising, layer, rings_box(face)};
    Cells cells;
    int lower = 0, other = 0;
    Arena *scratch = &raising->work->scratch;
    if (!cells_open(face, scratch, &cells, err) || !fill(&cells, face, CELL_OUT, CELL_FREE, scratch, err)) return false;
    for (const Rings *rings; (rings = next_below(&below, &lower, &other)) != NULL;)
        if (!fill(&cells, rings, CELL_FREE, CELL_RAISED, scratch, err)) return false;
    for (int i = 0; i < cells.columns * cells.rows; i++) {
        cells.raised_count += cells.kind[i] == CELL_RAISED;
        cells.free_count += cells.kind[i] == CELL_FREE;
    }
    piece->is_up = raising->stack->layers[layer].asked_raised || cells.raised_count * cells.cell_mm * cells.cell_mm > LEAST_OVER_MM2;
    if (!piece->is_up) return true;
    find_steps(&cells);
    if (!lay_squares(raising, &below, face, &cells, piece, err)) return false;
    raising->out->square_count += piece->count;
    raising->out->piece_count += piece->count > 0;
    return tell_narrow(raising, layer, index, &cells, piece, err);
}

bool foam_make(const Stack *stack, const LayerPieces *pieces, Arena *keep, Work *work, Foam *out, Error *err)
{
    *out = (Foam){.layers = arena_new(keep, FoamPiece *, stack->layer_count)};
    Raising raising = {stack, pieces, out, keep, work};
    if (!out->layers) return error_memory(err);
    for (int layer = 0; layer < stack->layer_count; layer++) {
        out->layers[layer] = arena_new(keep, FoamPiece, pieces[layer].piece_count);
        if (!out->layers[layer]) return error_memory(err);
        for (int i = 0; i < pieces[layer].piece_count && stack->layers[layer].raised; i++) {
            ArenaMark mark = arena_mark(&work->scratch);
            bool done = work_goes_on(work, err) && raise_piece(&raising, layer, i, err);
            arena_rewind(&work->scratch, mark);
            if (!done) return false;
        }
    }
    return true;
}
