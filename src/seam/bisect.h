// bisect.h - the last resort for a plot that no family of lines divides, most often one beside pieces that are cut
// already, on whose edges seams end at corners only: one straight cut from a corner, short for what it cuts off.
#ifndef PM_SEAM_BISECT_H
#define PM_SEAM_BISECT_H

#include "seam/hiding.h"

// Divides the plot that `part` was made of (or makes a node that the next try can use). *done: false when no cut was
// found, and nothing has changed.
MUST_USE bool bisect_plot(Cuts *cuts, int plot, const Part *part, const Hiding *hiding, const SeamOptions *options,
                          Work *work, bool *done, Error *err);

#endif
