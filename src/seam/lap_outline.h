// lap_outline.h - what is cut of a piece: its face, with the edges of its laps in place of its seams.
#ifndef PM_SEAM_LAP_OUTLINE_H
#define PM_SEAM_LAP_OUTLINE_H

#include "base/work.h"
#include "seam/lap_shape.h"
#include "seam/seam.h"

typedef struct PieceLap {
    const Seam *seam;
    const LapShape *shape;
} PieceLap;

// Sets the piece's outline and cut; the edges become chains of the layer's pool.
MUST_USE bool lap_outline(LayerPieces *pieces, int piece, const PieceLap *laps, int lap_count, Arena *keep, Work *work, Error *err);

// The same of a frozen piece, as it was written.
MUST_USE bool lap_outline_as_written(LayerPieces *pieces, int piece, const Path *outline, Arena *keep, Work *work, Error *err);

#endif
