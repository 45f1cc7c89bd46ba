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

#define GUIDE_STRIP_MM 32.0        // width of a backing strip: 25 to 38 mm (1 to 1 1/2 in), common practice
#define GUIDE_STRIP_SHORTER_MM 12.7 // than its seam, so that it shows at no edge
#define GUIDE_STRIPS_FROM_MM 609.6 // a base taller than 24 in bends at its seams

// Length of all backing strips of the base's butt seams, and of the longest; 0 where none is wanted.
double guide_strips_mm(const Draft *draft, double *longest_mm);

// Of the largest joined part of the base.
MUST_USE bool guide_checks(const Draft *draft, Work *work, GuideChecks *out, Error *err);

// "45 15/16 in (1167 mm)": as a tape measure says it.
void guide_tape_length(Text *text, double mm);

#endif
