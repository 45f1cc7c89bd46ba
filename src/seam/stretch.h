// stretch.h - stretches of one line, as pairs of positions along it, in millimetres.
#ifndef PM_SEAM_STRETCH_H
#define PM_SEAM_STRETCH_H

#include "base/arena.h"

typedef struct Stretch {
    double lo, hi;
} Stretch; // empty when lo > hi

typedef struct Stretches {
    Stretch *items;
    size_t count, capacity;
} Stretches;

// What the line y = 0 has in common with the capsule round an edge: a convex shape, so that two bounds tell it all.
Stretch capsule_stretch(double x0, double y0, double x1, double y1, double radius);

bool stretches_add(Stretches *list, Stretch s, Arena *arena); // false when memory ran out
size_t stretches_tidy(Stretch *items, size_t count);          // sorts by lo, then hi; joins what overlaps; the new count

#endif
