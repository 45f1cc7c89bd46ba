// stroke.h - places where a part can be cut square across: chords between two edges that run along one another.
// How:     from places along the boundary a line is shot square to the inside; it is a cut when the boundary that it meets
//          runs the other way, when both ends lie clear of corners (of which every junction and every end of a stroke
//          has some), and when it is narrow. Its direction is square to the mean of both edges: the stroke's axis.
// Exact:   ends are nodes on the curve, as net.h wants them; each cut lies inside the part.
// Source:  chords at right angles to both sides are those of the medial axis: H. Blum, "A transformation for extracting
//          new descriptors of shape", 1967 (from memory); asking for them without the axis is our own.
#ifndef PM_SEAM_STROKE_H
#define PM_SEAM_STROKE_H

#include "base/work.h"
#include "seam/net.h"

typedef struct StrokeCut {
    NetNode ends[2];
    double width_mm;
} StrokeCut;

typedef struct StrokeCuts {
    StrokeCut *items;
    size_t count, room;
} StrokeCuts;

typedef struct StrokeOptions {
    double clear_mm;  // from the ends of a cut to the next corner, along the boundary
    double apart_mm;  // between two cuts
    double widest_mm; // longer cuts are none
} StrokeOptions;

// Adds to *cuts, which may hold some already, what keeps apart from them.
MUST_USE bool strokes_find(const NetGround *ground, const StrokeOptions *options, Arena *keep, Work *work,
                           StrokeCuts *cuts, Error *err);

#endif
