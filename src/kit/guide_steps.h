// guide_steps.h - in which order a layer is put together, as sentences with their minutes; what the base is measured by.
#ifndef PM_KIT_GUIDE_STEPS_H
#define PM_KIT_GUIDE_STEPS_H

#include "base/text.h"
#include "kit/draft.h"

typedef struct GuideStep {
    const char *words;
    double minutes;         // by the rates of draft.h; all steps of all layers together take totals.assembly_minutes
    int joins_whole;        // with this step a whole group is joined: the least index of its pieces in the layer; else -1
} GuideStep;

typedef struct GuideSteps {
    GuideStep *items;
    int count;
    size_t capacity;
} GuideSteps;

#define GUIDE_BELOW_MOST 6

typedef struct GuideBelow { // the pieces that a piece is glued to, the one with the largest share first
    int pieces[GUIDE_BELOW_MOST];   // index into the draft's pieces
    int count;
} GuideBelow;

// One entry a piece of the draft; none for those of the base.
MUST_USE bool guide_below(const Draft *draft, Arena *keep, Work *work, GuideBelow **out, Error *err);

// Pieces that seams join come first, one after the other, each to those that are joined already (most seam first); then
// what is joined is placed in one go. Each seam and each piece is in exactly one step.
MUST_USE bool guide_steps(const Draft *draft, int layer, const GuideBelow *below, Arena *keep, Work *work, GuideSteps *out,
                          Error *err);

// Where a tape measure is laid on the joined base: its outermost points, from dot to dot.
typedef struct GuideCheck { const char *name; int dots[2]; double mm; } GuideCheck;

typedef struct GuideChecks {
    int group;              // as in joins_whole
    Point dots[8];
    int dot_count;
    GuideCheck items[4];    // across, from top to bottom, both diagonals
} GuideChecks;

// Of the largest joined part of the base.
MUST_USE bool guide_checks(const Draft *draft, Work *work, GuideChecks *out, Error *err);

// "45 15/16 in (1167 mm)": as a tape measure says it.
void guide_tape_length(Text *text, double mm);

#endif
