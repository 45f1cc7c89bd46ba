// memo.h - remembers which hulls fit the paper: a search meets the same pieces hundreds of times.
// A hull is known by a 64-bit hash. Two hulls with one hash would share an answer; the final check of a division asks
// hull_fits itself, so that this can cost a better division, never a wrong one.
#ifndef PM_SEAM_MEMO_H
#define PM_SEAM_MEMO_H

#include "shape/hull.h"

typedef struct FitMemo {
    Space space;
    uint64_t *keys; // 0 = free
    bool *fits;
    int count;
} FitMemo;

MUST_USE bool memo_make(Space space, Arena *keep, FitMemo *out, Error *err);
// One that knows what `memo` knows, and learns for itself.
MUST_USE bool memo_copy(const FitMemo *memo, Arena *keep, FitMemo *out, Error *err);
bool memo_fits(FitMemo *memo, const Point *hull, int count);

#endif
