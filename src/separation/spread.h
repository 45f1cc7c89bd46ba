// spread.h - the areas of a colour that is left out go, pixel by pixel, to the nearest colour round them.
// Method:  a wave that starts at all borders of an area at once (wave.h), so that the colours on both sides of an old
//          line meet in its middle. Ties: the lower label, then row by row.
// Errors:  ERROR_SYSTEM, ERROR_CANCELLED.
#ifndef PM_SEPARATION_SPREAD_H
#define PM_SEPARATION_SPREAD_H

#include "separation/runs.h"

// Repaints the pixels of one part (a root) in the label map, which must agree with the runs; those change not. Only
// labels that `may_spread` do; one of them at least borders the part.
MUST_USE bool spread_over_part(const Runs *runs, int32_t part, const bool may_spread[256], uint8_t *label, Work *work,
                               Error *err);

#endif
