// bounds.h - what the marks of a layer must keep to: the faces of its pieces, and what hides them in the end.
#ifndef PM_MARK_BOUNDS_H
#define PM_MARK_BOUNDS_H

#include "mark/mark.h"
#include "shape/cover.h"

typedef struct Bounds {
    int layer;
    Rings hidden;   // what higher layers hide, less the margin
    Cover safe;     // the same, to be asked
    Cover *layers;  // of the whole stack; those up to the marked layer and the top one stay empty
    Cover *faces;   // of the pieces, less a rim of 0.5 mm; those that nothing hides stay empty
    int face_count;
} Bounds;

// Of a layer that nothing covers all are empty.
MUST_USE bool bounds_make(const Stack *stack, const LayerPieces *pieces, int layer, double hide_mm, Arena *keep,
                          Work *work, Bounds *out, Error *err);

#endif
