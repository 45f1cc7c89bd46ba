// turned.h - one item at one angle: its size, its simplified edges, and the cells that it takes up.
// Shape:   coordinates are millimetres from the corner (least x, least y) of the turned item's box. `spans` are runs of
//          cells whose centres lie within half the gap of the material; cell (i, j) covers [i, i+1) x [j, j+1) cells
//          from the same corner, so that the outermost spans start at negative columns and rows.
//          Two items whose cells are disjoint are nearly `gap` apart; `apart` decides.
// Source:  distance by two passes with steps 5 and 7: G. Borgefors, "Distance transformations in digital images",
//          Computer Vision, Graphics, and Image Processing 34 (1986) 344-371 (weights from memory).
#ifndef PM_NEST_TURNED_H
#define PM_NEST_TURNED_H

#include "base/work.h"
#include "nest/nest.h"

#define SIMPLE_MM 0.04      // outlines are simplified this much for the search; both sides of a gap are given it back
#define MOST_TURNED 16      // angles of one item
#define TURNED_POLES 5      // discs of cells inside an item that are asked first: more reject sooner, but cost each time

typedef struct Edge { double ax, ay, bx, by; } Edge;

typedef struct Cells { short first, end; } Cells; // columns first..end-1

typedef struct Pole {       // all cells nearer than `reach` (in steps of 5) to this cell belong to the item
    short column, row;
    unsigned short reach;
} Pole;

typedef struct Turned {
    double cos, sin;
    double shift_x_mm, shift_y_mm;  // turned point + shift = coordinates here
    double width_mm, height_mm;
    double least_sum_mm, most_sum_mm; // of x + y over all points: how near it comes to the corner marks
    Edge *edges;
    int edge_count;
    int first_row, row_count;
    int *row_first;                 // row_count + 1 offsets into spans
    Cells *spans;
    Pole poles[TURNED_POLES];
    int pole_count;
} Turned;

// An item simplified once, with the angles worth trying.
typedef struct Shape {
    Edge *edges;            // simplified, millimetres, not turned
    int edge_count;
    Turned *turned;         // at each angle at which it fits the space alone; empty only when sheets are limited
    int turned_count;
    double area_mm2;        // of the material
    double hull_area_mm2;
    double longest_mm;      // longer side of its least box
} Shape;

// False with ERROR_JOB when the item fits the space at no angle, its own `fit` included, unless it may be left over.
MUST_USE bool shape_make(const NestItem *item, const NestOptions *options, double cell_mm, Arena *keep, Work *work,
                         Shape *out, Error *err);

// The angles that shape_make would try, as far as the item fits the space at them; none is no error.
MUST_USE bool shape_turns(const NestItem *item, const NestOptions *options, Arena *keep, Work *work, Fit **out, int *out_count,
                          Error *err);

// Those of `steps` evenly spread angles at which it fits the space, when it may be turned freely; else none.
MUST_USE bool shape_angles(const NestItem *item, const NestOptions *options, int steps, Arena *keep, Work *work, Fit **out,
                           int *out_count, Error *err);

// Steps (5 to a side neighbour, 7 to a diagonal one) from each cell to the nearest one with `taken` set; the world
// outside the grid is free. A grid without any taken cell is full of CELLS_FAR.
#define CELLS_FAR 60000
void cells_distance(const unsigned char *taken, int columns, int rows, unsigned short *out);

// The same after some cells of `depth` have become 0: lowers what changes within the window (ends included).
typedef struct Window { int x0, y0, x1, y1; } Window;
void cells_lower(unsigned short *depth, int columns, Window window);

#endif
