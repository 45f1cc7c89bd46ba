// seam_draft.h - how the search left the parts of a layer, so that its seams can be settled later without a new search.
// Parts are found again from the same layer and wishes: nodes name edges of their boundaries.
#ifndef PM_SEAM_SEAM_DRAFT_H
#define PM_SEAM_SEAM_DRAFT_H

#include "seam/finish.h"
#include "seam/fixed.h"

struct SeamDraft {
    Plan *plans; // by part; without seams where it stays whole
    int part_count;
    FixedLoss *losses; // what of fixed seams had been given up
    int loss_count;
};

// Copies all of it into keep.
MUST_USE bool seam_draft_make(const PartPlan *plans, int part_count, const FixedLoss *losses, int loss_count, Arena *keep,
                         const SeamDraft **out, Error *err);

#endif
