// improve.h - a division made better by small shifts of its lines, a fixed number of tries.
#ifndef PM_SEAM_IMPROVE_H
#define PM_SEAM_IMPROVE_H

#include "seam/evaluate.h"

// Replaces *candidate by something at least as good. Its lines are copied first; others that share them stay as they
// are.
MUST_USE bool improve_candidate(const NetGround *ground, int most_pieces, int tries, const SeamOptions *options,
                                Arena *keep, Work *work, Candidate *candidate, Error *err);

#endif
