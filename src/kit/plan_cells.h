// plan_cells.h - a drawing of the finished piece as cells that know the topmost piece: where names find a place.
// Units:   cells of PLAN_CELL_MM plan millimetres from the picture's top left corner.
// Memory:  in the work's scratch.
#ifndef PM_KIT_PLAN_CELLS_H
#define PM_KIT_PLAN_CELLS_H

#include "kit/draft.h"

#define PLAN_CELL_MM 0.4
#define PLAN_NOBODY (-1)

typedef struct PlanCells {  // the plan as cells
    int columns, rows;
    int x0, y0, x1, y1;     // no piece lies beyond these cells; a small piece leaves most of the plan empty
    int *piece;             // topmost piece or PLAN_NOBODY
    unsigned char *taken;   // by seams and numbers
    int *rim;               // steps (5 a cell) to the nearest cell of another piece or one that is taken
} PlanCells;

typedef struct Seen {       // what is seen of one piece
    int x0, y0, x1, y1;     // its cells' box; empty when x0 > x1
    double x, y;            // their middle
    long count;
    int deepest;            // the cell farthest from the rim, -1 = none
} Seen;

// The cells of a draft at `scale` plan mm a finished mm; its seams take theirs.
MUST_USE bool plan_cells(const Draft *draft, double scale, Work *work, PlanCells *out, Error *err);

// One entry a piece.
MUST_USE bool plan_cells_seen(const PlanCells *cells, int piece_count, Work *work, Seen **out, Error *err);

void plan_cells_take(PlanCells *cells, double x0, double y0, double x1, double y1);

// Crossings of the rings with the middle line of a row, sorted; in cells. `out` has room for all points and one.
int plan_cells_row(const Rings *rings, double cells_a_um, int row, double *out);

#endif
