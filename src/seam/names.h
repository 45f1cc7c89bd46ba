// names.h - pieces and seams in the order of their names, and the names.
#ifndef PM_SEAM_NAMES_H
#define PM_SEAM_NAMES_H

#include "seam/seam.h"

// Sorts pieces by row, then x, and seams by their pieces. Pieces that have a name (frozen ones) keep it; the others take
// the free numbers in order.
MUST_USE bool name_pieces(LayerPieces *out, const SeamOptions *options, Arena *keep, Arena *scratch, Error *err);

#endif
