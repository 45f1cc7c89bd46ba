// section.h - where the finished piece parts so that it can be carried: straight lines right through it, common to all layers.
// Shape:   upright lines and level lines from edge to edge. Between two neighbouring lines a section is at most as large as
//          asked, less SECTION_SPARE_MM; the size may be turned by a quarter where that makes fewer sections.
// Method:  as few sections as the size allows; of those the lines where the least is seen: on a raster of about 3 mm each
//          place is charged with the visible length of all layers there, a small share of the hidden length, what small
//          parts it would cut, and edges that run along it; lines of one direction are charged apart from those of the other
//          (shape/parting.h).
// Whole:   a connected part of a higher layer that fits its paper is left whole where a line would cut it in sight, or would
//          make something narrow of it, or where it is small: it goes on when the sections stand side by side.
// Source:  what a place is charged is our own.
// Units:   lines in whole micrometres of the finished piece.
#ifndef PM_SEAM_SECTION_H
#define PM_SEAM_SECTION_H

#include "seam/seam.h"

#define SECTION_SPARE_MM 12.7       // a section stays this much smaller than asked
#define SECTION_OVERHANG_MM 6.0     // paper that reaches no farther across a line stays on its piece
#define SECTION_LEAST_MM 150.0      // smaller sections hold nothing

typedef struct SectionPlan {
    double asked_mm[2];             // width and height of a section, as it was taken (perhaps turned)
    int32_t *at[2];                 // rising: x of upright lines, y of level lines
    int count[2];
    SeamLine *lines;                // the same as lines to cut along: upright ones, then level ones
    int line_count;                 // 0: it fits as it is
    bool **whole;                   // by layer: a flag for each connected part, in the order of its outer rings
    int *part_count;                // by layer
} SectionPlan;

// papers: of each layer. ERROR_JOB when the size is too small.
MUST_USE bool section_plan(const Stack *stack, const Paper *papers, const double asked_mm[2], Arena *keep, Work *work,
                           SectionPlan *out, Error *err);

// Puts the lines before the maker's own fixed seams of a layer.
MUST_USE bool section_wish(const SectionPlan *plan, int layer, Arena *keep, SeamWishes *wishes, Error *err);

#endif
