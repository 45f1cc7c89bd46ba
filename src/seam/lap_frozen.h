// lap_frozen.h - pieces that are cut already: the laps that they have stay, whatever is asked for now.
#ifndef PM_SEAM_LAP_FROZEN_H
#define PM_SEAM_LAP_FROZEN_H

#include "seam/lap_layer.h"

// Marks frozen pieces and gives their seams the laps that they are cut with. ERROR_JOB when one would lie under other pieces than
// it was cut for, or no longer fits its paper.
MUST_USE bool lap_take_frozen(Lapping *l, Error *err);

#endif
