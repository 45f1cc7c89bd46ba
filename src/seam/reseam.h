// reseam.h - two neighbouring pieces parted anew, along the cheapest course that leaves each of them under its sheet: it
// follows covered places and bends there, and where a hole or a bay lies on its way it may be several seams.
// How:     a minimum cut of a rough map (overlap.h), traced (rough.h), laid exactly (course.h), judged like any other.
#ifndef PM_SEAM_RESEAM_H
#define PM_SEAM_RESEAM_H

#include "seam/judge.h"

// `ground` is that of the two pieces' part, `old` the seams that part them now, as group_seams gives them; joint_in,
// below_in: see chord.h. *found: false when nothing is cheaper; else each of the net's two faces is a piece.
MUST_USE bool reseam_divide(const NetGround *ground, const Net *old, const double *joint_in, double below_in,
                            const SeamOptions *options, Arena *keep, Work *work, Net *out_net, Joined *out_joined,
                            double *out_cost_in, bool *found, Error *err);

#endif
