// biarc.h - a cubic as a run of circular arcs that go over into one another without a corner.
// Shape:   two arcs for each part of the cubic, which is halved until they lie near enough; tangents at their ends are
//          the cubic's own.
// Source:  K. M. Bolton, "Biarc curves", Computer-Aided Design 7 (1975) 89-92 (from memory; of the family of pairs the one
//          with both control lengths alike).
#ifndef PM_KIT_BIARC_H
#define PM_KIT_BIARC_H

#include "kit/sheet_lines.h"

typedef struct Bow {         // an arc of a circle, or a line
    double from[2], to[2];
    double bulge;           // tangent of a quarter of the angle, > 0 where it turns from x to y; 0 = a line
} Bow;

typedef struct BowList {
    Bow *items;
    size_t count, capacity;
} BowList;

// Adds arcs that lie within `allowed_mm` of the curve.
MUST_USE bool biarc_add(const SheetCurve *curve, double allowed_mm, Arena *keep, BowList *out, Error *err);

#endif
