// scale.h - from pixels to whole micrometres: the box of all curves becomes exactly the figure's size.
#ifndef PM_OUTLINE_SCALE_H
#define PM_OUTLINE_SCALE_H

#include "outline/trace.h"
#include "shape/chain.h"

typedef struct Scale {
    double origin_px[2];
    double mm_per_px, offset_mm;
    double width_mm, height_mm;
} Scale;

// Finds the scale. The curves that reach farthest are split where they do, so that the flat points reach as far.
MUST_USE bool scale_find(Trace *trace, double height_mm, double offset_mm, Arena *scratch, Scale *out, Error *err);

Point scale_point(const Scale *scale, Vec at);

// One arc's curves rounded to micrometres; curves that vanish are left out. *out_count is 0 when nothing is left.
MUST_USE bool scale_curves(const Scale *scale, const Trace *trace, int arc, Arena *scratch, Curve **out, int *out_count,
                           Error *err);

#endif
