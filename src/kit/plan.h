// plan.h - key-plan.svg: the finished picture in its papers' colours, with all seams and the number of each piece.
#ifndef PM_KIT_PLAN_H
#define PM_KIT_PLAN_H

#include "kit/draft.h"

MUST_USE bool plan_svg(const Draft *draft, Arena *keep, Work *work, FileBytes *out, Error *err);

#endif
