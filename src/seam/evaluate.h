// evaluate.h - what a layout is worth when it is carried out and its faces are joined.
#ifndef PM_SEAM_EVALUATE_H
#define PM_SEAM_EVALUATE_H

#include "seam/plan.h"

typedef struct Candidate {
    Layout layout;
    JoinWay way;
    Judgement judgement;
    bool within_grid; // no more pieces than the best grid has
    bool necks_known; // ... and part of what it costs
    const Plan *plan; // of a division that was reworked and is no layout any more; else NULL
} Candidate;

// The cheapest of the ways of joining from `first` to `last`, with no more than most_pieces when one of them manages
// that. *usable: the layout can be carried out at all.
MUST_USE bool evaluate_layout(const NetGround *ground, const NetFrame *frame, const Layout *layout, JoinWay first,
                              JoinWay last, int most_pieces, const SeamOptions *options, Work *work, Candidate *out,
                              bool *usable, Error *err);

// The net of a candidate that is a layout, and its faces joined, in scratch memory.
MUST_USE bool candidate_carry_out(const NetGround *ground, const Candidate *candidate, const SeamOptions *options,
                                  Work *work, Net *net, Joined *joined, Error *err);

// True when a is to be preferred: within the grid's pieces first, then by cost.
bool candidate_is_better(const Candidate *a, const Candidate *b);

#endif
