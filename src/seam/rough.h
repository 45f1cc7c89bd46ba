// rough.h - the rough courses of seams: the borders between the cells of one piece and those of the other.
// Shape:   a course runs along the cells' edges from one place where the part ends to another.
#ifndef PM_SEAM_ROUGH_H
#define PM_SEAM_ROUGH_H

#include "seam/overlap.h"

typedef struct Rough {
    const Point *points; // corners of cells
    const bool *hidden;  // by point: no seam is in sight in the cells around it
    int count;
} Rough;

#define ROUGH_MOST 4 // courses between two pieces; more would be a puzzle of its own

// *clear: false when there is none, there are too many, or two of them touch.
MUST_USE bool rough_trace(const Overlap *overlap, Arena *keep, Rough out[ROUGH_MOST], int *out_count, bool *clear,
                          Error *err);

#endif
