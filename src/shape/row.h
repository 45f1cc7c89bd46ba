// row.h - where closed outlines cross one horizontal line: between each two neighbours, from the first on, is inside.
// Units:   any, the caller's: places are doubles.
// Memory:  the caller's array, with room for as many crossings as there are edges.
// Errors:  none.
#ifndef PM_SHAPE_ROW_H
#define PM_SHAPE_ROW_H

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

#endif
