// drawn.h - details too small to cut, drawn by pen where they will be seen.
#ifndef PM_MARK_DRAWN_H
#define PM_MARK_DRAWN_H

#include "mark/clip.h"

// The pen strokes of this layer where it is the topmost one, cut to the faces of its pieces (0.5 mm inside). In
// order of pen stroke, piece.
MUST_USE bool drawn_find(const Stack *stack, const LayerPieces *pieces, int layer, Arena *keep, Work *work,
                         Strokes *out, Error *err);

#endif
