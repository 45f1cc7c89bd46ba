// finish.h - plans carried out for good: nodes inserted in the layer's chains, seams as chains, pieces as areas,
// checked.
#ifndef PM_SEAM_FINISH_H
#define PM_SEAM_FINISH_H

#include "seam/plan.h"

typedef struct PartPlan {
    const Part *part;
    const Plan *plan; // NULL: the part stays whole
    Fit fit;          // when it does
} PartPlan;

// out->layer, chains, pieces and seams (ids too). *out_failed: the part whose plan did not stand the exact checks, -1
// when all did; then out holds nothing of use, and another plan is due.
MUST_USE bool finish_layer(const Stack *stack, int layer, const PartPlan *plans, int part_count,
                           const SeamOptions *options, const Hiding *hiding, Arena *keep, Work *work, LayerPieces *out,
                           int *out_failed, Error *err);

#endif
