// needle.h - rings that no blade can follow: where the two sides of a narrow place meet, a boundary that was fitted once for both may close
// into a ring a few hundredths of a millimetre wide. It would be a piece, or a slit, of its own.
#ifndef PM_STACK_NEEDLE_H
#define PM_STACK_NEEDLE_H

#include "base/work.h"
#include "shape/area.h"

#define NEEDLE_MM 0.1 // mean width: the width of a cut

// Leaves out needles among outer rings and holes; what is nothing else stays as it is.
MUST_USE bool needles_drop(const Chains *chains, Area *area, Arena *keep, Work *work, Error *err);

#endif
