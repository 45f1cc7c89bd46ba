// grid.h - the axis-parallel grid at its best offsets: what a careful maker with a ruler would do.
// 10 x 10 offsets, the sheet upright and (unless the space is upright) lying; costs as for strips, crossings counted exactly.
#ifndef PM_SEAM_GRID_H
#define PM_SEAM_GRID_H

#include "base/work.h"
#include "seam/avoid.h"
#include "seam/layout.h"

#define GRID_OFFSETS 10

typedef struct GridOptions {
    Space space;
    double hidden_weight, piece_weight;
    int best_count; // layouts wanted a way of the sheet
    const Avoid *avoid;
} GridOptions;

MUST_USE bool grid_find(const Part *part, const Hiding *hiding, const GridOptions *options, Arena *keep, Work *work,
                        Layouts *out, Error *err);

#endif
