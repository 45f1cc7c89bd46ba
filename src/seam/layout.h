// layout.h - a way to cut a part with straight lines: borders right through it, cross cuts between two borders.
// Borders lie at v = borders[i] of the frame; strip s (before border s, after border s - 1) is cut at u = crosses[...].
#ifndef PM_SEAM_LAYOUT_H
#define PM_SEAM_LAYOUT_H

#include "seam/part.h"

#define SEAM_SLACK_MM 1.0 // cells stay this much smaller than the paper, so that a line can dodge a bad place

typedef struct Layout {
    Frame frame;
    bool is_grid;
    double *borders;
    int border_count;
    int *first_cross;   // border_count + 2 entries
    double *crosses;    // rising within a strip
    double estimate_in; // cost before pieces are joined, up to a constant of the part
} Layout;

typedef struct Layouts {
    Layout *items;
    size_t count, capacity;
} Layouts;

// What one cell may measure: along u and across it; together they stay under the limit that the corner marks set.
typedef struct Cell {
    double along_mm, across_mm, corner_mm;
} Cell;

// A copy with lines of its own.
MUST_USE bool layout_copy(const Layout *layout, Arena *keep, Layout *out, Error *err);

Cell cell_for(Space space, bool turned);
double cell_along_limit_mm(const Cell *cell, double across_mm);

#endif
