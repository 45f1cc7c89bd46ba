// inlay.h - two colours that lie edge to edge where they meet, while others overlap: the lower one stops at the upper one's edge.
#ifndef PM_STACK_INLAY_H
#define PM_STACK_INLAY_H

#include "stack/stack.h"

// Marks in `with` (a flag a colour) those that shall lie edge to edge with `colour`; false when there are none.
bool inlay_neighbours(const StackOptions *options, int colour, bool *with, int colour_count);

// Takes away what of *reach, as underlap_reach found it, lies under `others` (their visible share, flat). The edge keeps the
// distance of a hidden one from what is seen, so that what the layer shows stays as it is.
MUST_USE bool inlay_keep_out(const Rings *others, Arena *keep, Work *work, Rings *reach, Error *err);

#endif
