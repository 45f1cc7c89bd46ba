// thicken.h - thin parts of a colour grow to a width that can be cut.
// Method:  a part is thin where no disc of that width fits inside its colour (opening by a disc, on exact distances); tips,
//          which every corner leaves, are not meant. Round the middle line of what is thin a disc of the width is painted.
// Source:  opening: J. Serra, "Image Analysis and Mathematical Morphology" (1982); exact distances in two passes:
//          P. F. Felzenszwalb, D. P. Huttenlocher, "Distance transforms of sampled functions", Theory of Computing 8
//          (2012) 415-428.
// Rules:   colours in the palette's order; what is thin of one colour is never taken by another, nor is anything outside
//          the box, nor what a colour before has taken.
// Errors:  ERROR_SYSTEM, ERROR_CANCELLED.
#ifndef PM_SEPARATION_THICKEN_H
#define PM_SEPARATION_THICKEN_H

#include "separation/palette.h"

typedef struct Thickened {
    int parts;          // thin stretches that grew
    double x_px, y_px;  // the largest one's first pixel
} Thickened;

// Changes labels LABEL_FIRST .. LABEL_FIRST + colour_count - 1 in the map; counts[i] for colour i; repainted[i] = 1 where a
// pixel's label changed.
MUST_USE bool thicken(uint8_t *label, int width_px, int height_px, int colour_count, double least_px, const double box_px[4],
                      Work *work, uint8_t *repainted, Thickened *counts, Error *err);

#endif
