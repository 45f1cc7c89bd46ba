// lap_order.h - in which order the pieces of a layer are joined: the largest of what seams join, then always the one with the most
// seam to those before it. The guide joins in the same order, within its parts of a few pieces.
#ifndef PM_SEAM_LAP_ORDER_H
#define PM_SEAM_LAP_ORDER_H

#include "base/work.h"
#include "seam/seam.h"

// The rank of each piece, in `keep`: 0 is joined first.
MUST_USE bool lap_order(const LayerPieces *pieces, Arena *keep, Work *work, int **out, Error *err);

#endif
