// offset.h - how far outlines lie off the drawing: what is painted differently, against the length of the borders.
// Sampled: by several truths of one drawing, each moved by a part of a sample, so that an edge along rows or columns lies
//          between no two samples only. One truth rounds such an edge to a quarter of a pixel as a whole.
// Told:    what the picture itself says, right or wrong: the same area error of the shares in those of its pixels that hold two true
//          colours. A drawing that paints an edge twice has one, and so has a curve that was flattened when it was painted.
// Left out: truth areas that the separation gave to another colour as a whole (specks), and 2 px round them.
// Units:   pixels of the picture.
#ifndef PM_BENCH_OFFSET_H
#define PM_BENCH_OFFSET_H

#include "art.h"
#include "outline/outline.h"

#define OFFSET_MOST 80

typedef struct Offsets {
    double differing[OFFSET_MOST], area[OFFSET_MOST], border[OFFSET_MOST]; // a class of colour
    double told[OFFSET_MOST];   // area error of the picture
    int count;
    int64_t left_out_px;
    double mean_px, worst_px, worst_area_px; // over all borders; of the worst colour
    double worst_told_px, worst_beyond_px;   // of the picture; area error less the picture's
} Offsets;

// picture may be NULL: nothing is told then. All truths have one size and number of samples.
Offsets offset_measure(const Outlines *outlines, const Separation *separation, const Picture *picture, const Truth *truths,
                       int truth_count);

#endif
