// rework.h - a division made better a few pieces at a time: two to five neighbours are taken together and divided anew,
// and what is cheaper stays. What comes out need not be strips any more. At the end each two neighbours are parted by one
// chord (chord.h) or along a minimum cut (reseam.h) wherever that makes the whole division cheaper.
// Source:  large neighbourhood search: P. Shaw, "Using constraint programming and local search methods to solve vehicle
//          routing problems", CP 1998 (from memory); which neighbours are taken, and how they are divided, is our own.
#ifndef PM_SEAM_REWORK_H
#define PM_SEAM_REWORK_H

#include "seam/plan.h"

typedef struct Reworked {
    Net net;       // with pieces as faces
    Joined joined; // every face a piece
    Judgement judgement;
    int necks;
    int kept; // tries that made it better
} Reworked;

// `net` and `joined` are a division that holds. A fixed number of tries, always the same for the same division.
MUST_USE bool rework_division(const NetGround *ground, const Net *net, const Joined *joined, int tries,
                              const SeamOptions *options, Arena *keep, Work *work, Reworked *out, Error *err);

// A division that is there already: only pairs whose seam runs along one of a higher layer are looked at. out->kept is
// 0 when nothing became better; then the rest holds nothing.
MUST_USE bool rework_settle(const NetGround *ground, const Plan *plan, const SeamOptions *options, Arena *keep, Work *work,
                            Reworked *out, Error *err);

#endif
