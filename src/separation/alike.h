// alike.h - neighbours whose colours would hardly be told apart once they are paper.
// Shape:   pairs of labels that share a border, nearest colours first; each with a place on their border.
// Source:  a difference of dE00 10 as the least between neighbours seen from some metres: common practice, no source.
// Errors:  ERROR_CANCELLED.
#ifndef PM_SEPARATION_ALIKE_H
#define PM_SEPARATION_ALIKE_H

#include "base/work.h"
#include "separation/separation.h"

#define ALIKE_DE00 10.0
#define ALIKE_MOST 8 // pairs; a photograph might have many

typedef struct Alike { int a, b; double de00, x_px, y_px; } Alike; // a, b: colours, a < b

// Pairs of the separation's colours nearer than ALIKE_DE00 that touch along more than a few pixels.
MUST_USE bool alike_find(const Separation *separation, Work *work, Alike out[ALIKE_MOST], int *count, Error *err);

#endif
