// backing_line.h - the lines that backing strips follow: rows of seams that go straight on, in straight stretches.
#ifndef PM_SEAM_BACKING_LINE_H
#define PM_SEAM_BACKING_LINE_H

#include "base/work.h"
#include "seam/seam.h"

typedef struct Stretch {    // of one line: from a to b, which no seam of it leaves by more than was allowed
    Point a, b;
} Stretch;

typedef struct Stretches {
    Stretch *items;         // the longest line first; those of a line one after another
    int count;
    size_t capacity;
} Stretches;

// Of the butt seams that are joined on the table.
MUST_USE bool backing_stretches(const LayerPieces *base, double stray_mm, Arena *keep, Work *work, Stretches *out, Error *err);

bool backing_asks(const Seam *seam); // for a strip

// The flat points of a seam.
MUST_USE bool backing_seam_points(const LayerPieces *base, const Seam *seam, Arena *keep, Point **points, int *count, Error *err);

#endif
