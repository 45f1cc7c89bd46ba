// overlap.h - two neighbouring pieces, a sheet laid round each, and which of the two could take what lies under both: a rough
// map of cells, and the cheapest way to share them out.
// How:     each sheet is slid towards the other piece as far as its own piece lets it. What only one sheet covers is that
//          piece's; what both cover is free. The cheapest border between the two is a minimum cut.
// Units:   millimetres; cells are squares along x and y. The map only proposes: nothing of it is an outline.
// Source:  a seam in the overlap of two patches as a minimum cut: V. Kwatra and others, "Graphcut textures", SIGGRAPH 2003;
//          weights that make a cut cost its length: Y. Boykov, V. Kolmogorov, "Computing geodesics and minimal surfaces via
//          graph cuts", ICCV 2003 (both from memory); here with eight neighbours.
#ifndef PM_SEAM_OVERLAP_H
#define PM_SEAM_OVERLAP_H

#include "seam/net.h"

typedef struct SheetPlace { // u = x cos - y sin, v = x sin + y cos, as in Fit
    Fit fit;
    double u_mm, v_mm, width_mm, height_mm;
} SheetPlace;

typedef enum CellSide { CELL_OUTSIDE, CELL_ONE, CELL_OTHER, CELL_FREE } CellSide;

typedef struct Overlap {
    SheetPlace sheet[2];
    double x_mm, y_mm, side_mm;
    int columns, rows;
    CellSide *cells;    // after overlap_share no cell is free
    double *seen;       // share of the cell in which a seam is in sight
    double *shun;       // what an inch there costs on top: beside the outline, and where no seam may end
    int free_count;
} Overlap;

// `pieces` are the two; joint_in: see chord.h. *found: false when the sheets overlap too little to be worth a look.
MUST_USE bool overlap_make(const NetGround *ground, const NetFace pieces[2], const double *joint_in,
                           double least_neck_mm, Arena *keep, Overlap *out, bool *found, Error *err);

// Gives each free cell to one piece or the other; *found: false when the border would cost more than most_in.
MUST_USE bool overlap_share(Overlap *overlap, double hidden_weight, double most_in, Work *work, bool *found, Error *err);

bool sheet_covers(const SheetPlace *sheet, double x_mm, double y_mm);

#endif
