// plumb.h - seams in sight that lean a little are laid level or upright, where that costs next to nothing.
// A line that is a few degrees off looks like a slip of the hand; the search leaves such lines where a seam runs from a
// corner of the outline to a joint that another seam has moved.
// A run of seam, straight on through the joints of others, is moved as one: joints slide along the seams that end there,
// ends along the outline or the seam that they end on.
// Source:  common practice; the measures are our own.
#ifndef PM_SEAM_PLUMB_H
#define PM_SEAM_PLUMB_H

#include "seam/plan.h"

// *better: `out` is the plan with fewer leaning seams; else it holds nothing. The same pieces, a little changed, all
// fitting the paper; a fixed number of tries for the same plan.
MUST_USE bool plumb_plan(const NetGround *ground, const Plan *plan, const SeamOptions *options, Arena *keep, Work *work,
                         Plan *out, bool *better, Error *err);

#endif
