// chord.h - one straight seam for two neighbouring pieces that are taken together: from corner to corner, square to the
// outline, or along x or y, whichever is cheapest and leaves two pieces that fit. So seams go to necks and notches, and
// end square where they can.
#ifndef PM_SEAM_CHORD_H
#define PM_SEAM_CHORD_H

#include "seam/judge.h"

// `ground` is that of the two pieces' part (group.h). *found: false when nothing is cheaper than below_in; else `net`
// has one segment, and each of its two faces is a piece. joint_in[i] > 0: at point i a seam may end on another one's
// bend, and then costs so much less.
MUST_USE bool chord_divide(const NetGround *ground, const double *joint_in, double below_in, const SeamOptions *options, Arena *keep, Work *work,
                           Net *out_net, Joined *out_joined, double *out_cost_in, bool *found, Error *err);

#endif
