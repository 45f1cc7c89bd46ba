// finish.h - plans carried out for good: nodes inserted in the layer's chains, seams as chains, pieces as areas,
// checked.
#ifndef PM_SEAM_FINISH_H
#define PM_SEAM_FINISH_H

#include "seam/cuts.h"
#include "seam/plan.h"

typedef struct PartPlan {
    const Part *part;
    const Plan *plan; // NULL: the part stays whole
    Fit fit;          // when it does
    const char *id;   // of a frozen piece; NULL for others
} PartPlan;

typedef struct FinishFault { // -1: no fault
    int part;                // its plan did not stand the exact checks
    int cut;                 // this seam has not a piece of its own on either side
} FinishFault;

// out->layer, chains, pieces and seams (ids too). With a fault out holds nothing of use, and another plan is due.
MUST_USE bool finish_layer(const Cuts *cuts, int layer, const PartPlan *plans, int part_count,
                           const SeamOptions *options, const Hiding *hiding, Arena *keep, Work *work, LayerPieces *out,
                           FinishFault *out_fault, Error *err);

#endif
