// placement.h - lines on a layer that show where the next layers go.
#ifndef PM_MARK_PLACEMENT_H
#define PM_MARK_PLACEMENT_H

#include "mark/bounds.h"
#include "mark/clip.h"

// The edge of each higher layer moved inward, where this layer is the topmost below it, cut to the faces of the pieces
// (at least 0.5 mm inside) and to what higher layers hide, less the margin. In order of layer, ring, piece.
MUST_USE bool placement_find(const Stack *stack, const Bounds *bounds, const MarkOptions *options, Arena *keep,
                             Work *work, Strokes *out, Error *err);

#endif
