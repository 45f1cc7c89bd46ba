// parting.h - a length parted in as few stretches as a limit allows, at the places where that is charged least.
// Method:  places on an even raster, on which even stretches lie; the cheapest choice by dynamic programming. Of places that are
//          charged alike those that make the stretches even are taken.
// Source:  R. Bellman, "Dynamic Programming" (1957), from memory.
#ifndef PM_SHAPE_PARTING_H
#define PM_SHAPE_PARTING_H

#include "base/work.h"

#define PARTING_MOST 41 // stretches

typedef struct Parting {
    double *at_mm;      // rising, the ends not among them
    int count;
    double charge_in;
} Parting;

// Of each place, in inches of visible seam or what is worth as much.
typedef bool PartingCharge(void *data, const double *at_mm, int count, Work *work, double *out_in, Error *err);

// ERROR_JOB when it would take more than PARTING_MOST stretches.
MUST_USE bool parting_choose(double length_mm, double limit_mm, PartingCharge *charge, void *data, Arena *keep, Work *work,
                             Parting *out, Error *err);

#endif
