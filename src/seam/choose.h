// choose.h - the divisions of one part worth carrying out, best first.
#ifndef PM_SEAM_CHOOSE_H
#define PM_SEAM_CHOOSE_H

#include "seam/evaluate.h"
#include "seam/plan.h"

typedef struct Candidates {
    Candidate *items;
    int count;
} Candidates;

typedef enum ChooseWay {
    CHOOSE_BEST, // grids and strips, joined
    CHOOSE_GRID, // grids as they are
    CHOOSE_JOINED_GRID, // grids, and the same joined, dearest seam first
} ChooseWay;

// At least one candidate, or ERROR_JOB when every fall-back failed.
MUST_USE bool choose_divisions(const NetGround *ground, const SeamOptions *options, ChooseWay choose, Arena *keep,
                               Work *work, Candidates *out, Error *err);

// The best division of a few pieces taken together (group.h) into no more pieces than they were; fewer directions and
// shifts are tried than for a whole part. *found: false when there is none.
MUST_USE bool choose_again(const NetGround *ground, int most_pieces, const SeamOptions *options, Arena *keep, Work *work,
                           Candidate *out, bool *found, Error *err);

MUST_USE bool choose_plan(const NetGround *ground, const Candidate *candidate, const SeamOptions *options, Arena *keep,
                          Work *work, Plan *out, Error *err);

#endif
