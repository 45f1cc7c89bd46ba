// rough.c - see rough.h.
#include "seam/rough.h"

#define HIDDEN_SHARE 0.1 // of a cell that may be in sight beside a hidden corner

typedef struct Tracing {
    const Overlap *o;
    bool *used; // by corner and way: of the edge that leaves it to the right (0) or down (1)
} Tracing;

static const int step[4][2] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}};

static CellSide cell_at(const Overlap *o, int column, int row)
{
    bool inside = column >= 0 && column < o->columns && row >= 0 && row < o->rows;
    return inside ? o->cells[row * o->columns + column] : CELL_OUTSIDE;
}

// The edge that leaves a corner one way parts a cell of one piece from one of the other.
static bool parts_cells(const Overlap *o, int column, int row, int way)
{
    if (way == 2) return parts_cells(o, column - 1, row, 0);
    if (way == 3) return parts_cells(o, column, row - 1, 1);
    CellSide a = cell_at(o, way ? column - 1 : column, way ? row : row - 1), b = cell_at(o, column, row);
    return a != CELL_OUTSIDE && b != CELL_OUTSIDE && a != b;
}

static int ways_from(const Overlap *o, int column, int row)
{
    int count = 0;
    for (int way = 0; way < 4; way++) count += parts_cells(o, column, row, way);
    return count;
}

static bool *used_edge(const Tracing *t, int column, int row, int way)
{
    if (way == 2) return used_edge(t, column - 1, row, 0);
    if (way == 3) return used_edge(t, column, row - 1, 1);
    return &t->used[2 * (row * (t->o->columns + 1) + column) + way];
}

static bool is_hidden(const Overlap *o, int column, int row)
{
    for (int k = 0; k < 4; k++) {
        int c = column - k % 2, r = row - k / 2;
        if (cell_at(o, c, r) == CELL_OUTSIDE || o->seen[r * o->columns + c] > HIDDEN_SHARE) return false;
    }
    return true;
}

// From an end on; false when memory ran out. *ends: at another end, not where courses touch.
static bool walk(const Tracing *t, int column, int row, Arena *keep, Rough *out, bool *ends)
{
    const Overlap *o = t->o;
    size_t room = 2 * (size_t)(o->columns + 1) * (size_t)(o->rows + 1);
    Point *points = arena_new(keep, Point, room);
    bool *hidden = arena_new(keep, bool, room);
    if (!points || !hidden) return false;
    *out = (Rough){points, hidden, 0};
    for (int way = 0;;) {
        points[out->count] = point_from_mm(o->x_mm + column * o->side_mm, o->y_mm + row * o->side_mm);
        hidden[out->count++] = is_hidden(o, column, row);
        for (way = 0; way < 4; way++)
            if (parts_cells(o, column, row, way) && !*used_edge(t, column, row, way)) break;
        if (way == 4 || (out->count > 1 && ways_from(o, column, row) != 2)) break;
        *used_edge(t, column, row, way) = true;
        column += step[way][0];
        row += step[way][1];
    }
    *ends = ways_from(o, column, row) == 1;
    return true;
}

bool rough_trace(const Overlap *o, Arena *keep, Rough out[ROUGH_MOST], int *out_count, bool *clear, Error *err)
{
    Tracing t = {o, arena_new(keep, bool, 2 * (size_t)(o->columns + 1) * (size_t)(o->rows + 1))};
    *out_count = 0;
    *clear = true;
    if (!t.used) return error_memory(err);
    for (int row = 0; row <= o->rows && *clear; row++) {
        for (int column = 0; column <= o->columns && *clear; column++) {
            if (ways_from(o, column, row) != 1) continue;
            bool done = true;
            for (int way = 0; way < 4; way++)
                if (parts_cells(o, column, row, way)) done = *used_edge(&t, column, row, way);
            if (done) continue;
            *clear = *out_count < ROUGH_MOST;
            if (*clear && !walk(&t, column, row, keep, &out[*out_count], clear)) return error_memory(err);
            *out_count += *clear;
        }
    }
    *clear = *clear && *out_count > 0;
    return true;
}
