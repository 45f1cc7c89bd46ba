// plan_seams.h - the seams as the key plan draws them: what is in sight apart from what a higher layer hides.
#ifndef PM_KIT_PLAN_SEAMS_H
#define PM_KIT_PLAN_SEAMS_H

#include "kit/draft.h"

typedef struct PlanSeams {      // SVG path data; "" when there is nothing of the kind
    const char *seen, *ticks, *hidden;
} PlanSeams;

// `matrix` takes finished millimetres to plan millimetres (a scale and a shift).
MUST_USE bool plan_seams(const Draft *draft, const double matrix[6], Arena *keep, Work *work, PlanSeams *out, Error *err);

#endif
