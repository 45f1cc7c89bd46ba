// row.h - where closed outlines cross one horizontal line: between each two neighbours, from the first on, is inside.
// Units:   any, the caller's: places are doubles.
// Memory:  one row: the caller's array, with room for as many crossings as there are edges; many rows: the arena.
// Errors:  out of memory, of many rows at once.
#ifndef PM_SHAPE_ROW_H
#define PM_SHAPE_ROW_H

#include "base/error.h"
#include "shape/ring.h"

typedef struct RowCrossings {
    double y;
    double *x;
    int count;
} RowCrossings;

// Adds the place where the edge from a to b crosses the line, if it does. An end on the line counts as above it, so that
// a corner is crossed once, or twice, or not at all, and a level edge never.
void row_cross_edge(RowCrossings *row, double ax, double ay, double bx, double by);

// All edges of the rings, each point times `scale`.
void row_cross_rings(RowCrossings *row, const Rings *rings, double scale);

void row_sort(RowCrossings *row);

// Many rows at once, at top + (row + 0.5) * step: each edge is looked at only where rows are that it may cross.
typedef struct RowPlaces {
    double top, step;
    int count;
} RowPlaces;

typedef struct RowTable {
    int *first; // row i has the crossings x[first[i]] .. x[first[i + 1] - 1], sorted
    double *x;
} RowTable;

// Ring r has the points first[r] .. first[r + 1] - 1, as x and y.
MUST_USE bool rows_cross(const double (*points)[2], const int *first, int ring_count, RowPlaces places, Arena *keep, RowTable *out,
                         Error *err);

#endif
