// seam_measure.h - what is counted about a picture's division into pieces; nothing of it is taken from the search that made it.
// In sight: not under 3 mm of cover. Lengths are exact, on the chains.
// Along:   the part of the seams above the base that runs within half an inch of a seam of the layer right below
//          and within 20 degrees of its direction: there two papers bend together.
// Meeting: a joint is a point in sight where three seams or more meet; `fours` where four do, `near_joints` are pairs of
//          joints of one layer less than an inch apart.
// Corners: a stretch is a part of a seam in sight, from end or cover to end or cover; it is bent with more than one corner.
// Tilted:  straight stretches in sight a little off level or upright (seam_tilt.h).
// Detail:  seams in sight in an eye, a mouth, a letter and close beside it (seam_detail.h).
// Thin:    pieces with a seam that are less than 2 in long, or less than 3/4 in wide and cut lengthways; necks are where a
//          piece shrunk by a quarter inch falls in two and the layer, shrunk likewise, does not.
#ifndef PM_BENCH_SEAM_MEASURE_H
#define PM_BENCH_SEAM_MEASURE_H

#include "seam/seam.h"

typedef struct SeamScore {
    double visible_mm, total_mm;
    double above_mm, along_mm;      // of the layers above the base; of that along a seam of the layer right below
    int pieces, seams, short_seams; // under an inch
    int joints, fours, near_joints;
    int stretches, bent, corners, most_corners;
    int thin, necks;
    int tilted;
    double tilted_mm;
    int details;                    // seams in sight in small detail, and how much of them
    double detail_mm;
    double seconds;
} SeamScore;

void seam_score_add(SeamScore *to, const SeamScore *from);

// `pieces` has one entry a layer. Necks take the longest and are left out (0) unless asked for.
MUST_USE bool seam_measure(const Stack *stack, const LayerPieces *pieces, bool with_necks, Work *work, SeamScore *out,
                           Error *err);

#endif
