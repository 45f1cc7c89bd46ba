// grow.h - enlarges a part that is too small, pixel by pixel in the order of their distance, until it is no speck.
// Rules:   into the parts that touch it only; not beyond the box; it keeps a pixel away from other areas of its label,
//          corners included, where the picture's edge counts as ground; never into pixels with the bit GROW_HELD.
// Errors:  ERROR_SYSTEM, ERROR_CANCELLED.
#ifndef PM_SEPARATION_GROW_H
#define PM_SEPARATION_GROW_H

#include "separation/despeckle.h"

#define GROW_HELD 0x80u // in the label map: belongs to a part of the maker's choice

// `runs` are the regions of the label map as it was before other parts grew; the part's pixels have GROW_HELD. The
// pixels that it takes get its label and GROW_HELD. *is_enough tells whether it is no speck now.
MUST_USE bool part_grow(Runs *runs, int32_t part, const SpeckLimits *limits, const double box_px[4], uint8_t *label,
                        Work *work, bool *is_enough, Error *err);

#endif
