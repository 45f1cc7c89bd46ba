// guide_checks.h - what the joined base is measured by, and lengths as a tape measure says them.
#ifndef PM_KIT_GUIDE_CHECKS_H
#define PM_KIT_GUIDE_CHECKS_H

#include "base/text.h"
#include "kit/draft.h"

// Where a tape measure is laid on the joined base: its outermost points, from dot to dot.
typedef struct GuideCheck { const char *name; int dots[2]; double mm; } GuideCheck;

typedef struct GuideChecks {
    int group;              // as in guide_groups.h
    Point dots[8];
    int dot_count;
    GuideCheck items[4];    // across, from top to bottom, both diagonals
} GuideChecks;

// Of the largest joined part of the base.
MUST_USE bool guide_checks(const Draft *draft, Work *work, GuideChecks *out, Error *err);

// "45 15/16 in (1167 mm)": as a tape measure says it.
void guide_tape_length(Text *text, double mm);

#endif
