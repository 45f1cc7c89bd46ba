// rest.h - what is left of a paper's last sheet, worth keeping: one rectangle along the sheet's edge.
// Shape:   whole millimetres, but where it ends at the sheet's edge; the paper's gap clear of pieces and corner marks, and clear of notes.
//          Measured on the whole sheet, margins included: they can be used once the rest is a sheet of its own.
#ifndef PM_KIT_REST_H
#define PM_KIT_REST_H

#include "kit/draft.h"

#define REST_LEAST_MM 63.5 // each side: 2 in can be used of it

// After the notes. Touches nothing but this sheet's rest; a sheet that is not its paper's last has none, nor paper that is at hand.
MUST_USE bool rest_find(Draft *draft, int sheet, Work *work, Error *err);

#endif
