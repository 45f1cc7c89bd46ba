// fixed.h - the seams that the maker drew: ends taken to the outline, then cut into the layer before all others.
// An end inside the paper is led on straight when the edge is near, else by the shortest way when that is short, else
// straight as far as it takes. What lies outside the paper is left out. Where a line runs along an edge or a seam that
// is there already it asks for nothing.
#ifndef PM_SEAM_FIXED_H
#define PM_SEAM_FIXED_H

#include "seam/cuts.h"

typedef enum FixedFault {
    FIXED_KEPT,
    FIXED_UNSOUND,   // touches the edge in passing, or crosses itself
    FIXED_HAIRLINE,  // leaves a piece that is too narrow to handle
    FIXED_FROZEN,    // runs through a piece that is cut already
    FIXED_LOCKED,    // ends in the middle of an edge of a piece that is cut already
    FIXED_ONE_SIDED, // one piece would lie on both of its sides
    FIXED_UNDIVIDED, // what it leaves cannot be divided for the paper
} FixedFault;

typedef struct FixedLoss { // a stretch of a fixed seam that is given up
    int line;
    Point at; // a point of it
    FixedFault fault;
    int frozen; // the piece that is cut already
} FixedLoss;

// Cuts all lines but the stretches in `losses`. *out_loss: the first stretch that could not be cut (fault FIXED_KEPT
// when all could); then `cuts` is of no use any more. touches[i]: line i meets the layer at all.
MUST_USE bool fixed_cut(const SeamWishes *wishes, const FixedLoss *losses, int loss_count, Cuts *cuts, Work *work,
                        bool *touches, FixedLoss *out_loss, Error *err);

#endif
