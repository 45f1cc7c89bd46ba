// attempt.h - one layer divided once, with the seams that are wanted cut in beforehand.
#ifndef PM_SEAM_ATTEMPT_H
#define PM_SEAM_ATTEMPT_H

#include "seam/choose.h"
#include "seam/seam_draft.h"

typedef struct AttemptInput {
    const Stack *stack;
    int layer;
    const SeamOptions *options;
    ChooseWay choose;
    const Hiding *hiding;
    const Avoid *avoid;
    FitMemo *memo;
    const FixedLoss *losses; // what earlier attempts had to give up
    int loss_count;
    const SeamDraft *draft; // settle this instead of searching; or NULL
    bool *changed;          // set when that makes another division, else out holds nothing
} AttemptInput;

// *out_loss: a stretch of a fixed seam that has to be given up (fault FIXED_KEPT when there is none); then out holds
// nothing of use, and another attempt is due. touches[i]: fixed seam i meets the layer.
MUST_USE bool attempt_layer(const AttemptInput *input, Arena *keep, Work *work, bool *touches, FixedLoss *out_loss,
                            LayerPieces *out, Error *err);

#endif
