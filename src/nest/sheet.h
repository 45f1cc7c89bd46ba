// sheet.h - one open sheet of the search: what lies on it, as cells (a fast filter) and as edges (the truth).
// Units:   millimetres from the corner of the usable box.
#ifndef PM_NEST_SHEET_H
#define PM_NEST_SHEET_H

#include "nest/turned.h"

typedef struct Laid {           // an item that lies on the sheet
    int item;
    const Turned *turned;
    double x_mm, y_mm;          // where the corner of its box lies
} Laid;

typedef struct Placed {         // an edge on the sheet, and the next one in its bucket
    Edge edge;
    int next;
} Placed;

typedef struct OpenSheet {
    Space space;
    double cell_mm, gap_mm;     // the gap that edges keep here
    int columns, rows, rim;     // cells, with a rim of `rim` on all sides for spans that reach over the edge
    unsigned char *taken;
    short *last;                // the last taken column up to this cell, in its row; -1 = none
    unsigned short *depth;      // cells_distance
    unsigned short *row_depth;  // the most in each row
    int most_depth;
    double bucket_mm;
    int bucket_columns, bucket_rows;
    int *bucket;                // first entry in `placed`, -1 = none
    Placed *placed;
    size_t placed_count, placed_capacity;
    Laid *laid;
    size_t laid_count, laid_capacity;
    double laid_area_mm2;
} OpenSheet;

typedef struct Spot {
    double x_mm, y_mm;
} Spot;

MUST_USE bool sheet_open(Space space, double cell_mm, double gap_mm, Arena *keep, OpenSheet *out, Error *err);
MUST_USE bool sheet_open_like(const OpenSheet *blank, Arena *keep, OpenSheet *out, Error *err); // a copy of an empty one

// The place of least y, then least x (on the grid of cells) whose y is not over most_y_mm. False when there is none.
bool sheet_find_spot(const OpenSheet *sheet, const Turned *turned, double most_y_mm, Spot *out);

// The place on an empty sheet. The item fits it (shape_make saw to that).
Spot sheet_first_spot(Space space, const Turned *turned);
// What takes the item there, as a NestPlace has it; `origin_mm` is where the space lies on the sheet.
void sheet_matrix(const Turned *turned, Spot spot, const double origin_mm[2], double out[6]);

// Moves a good spot up and left while it stays good.
void sheet_slide(const OpenSheet *sheet, const Turned *turned, Spot *spot);

MUST_USE bool sheet_lay(OpenSheet *sheet, int item, const Turned *turned, double area_mm2, Spot spot, Arena *keep,
                        Error *err);

// Lowest edge of all that lies on it.
double sheet_extent_mm(const OpenSheet *sheet);

#endif
