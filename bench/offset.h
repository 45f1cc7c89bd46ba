// offset.h - how far outlines lie off the drawing: what is painted differently, against the length of the borders.
// Left out: truth areas that the separation gave to another colour as a whole (specks), and 2 px round them.
// Units:   pixels of the picture.
#ifndef PM_BENCH_OFFSET_H
#define PM_BENCH_OFFSET_H

#include "art.h"
#include "outline/outline.h"

#define OFFSET_MOST 80

typedef struct Offsets {
    double differing[OFFSET_MOST], area[OFFSET_MOST], border[OFFSET_MOST]; // a class of colour
    int count;
    int64_t left_out_px;
    double mean_px, worst_px, worst_area_px; // over all borders; of the worst colour
} Offsets;

Offsets offset_measure(const Outlines *outlines, const Separation *separation, const Truth *truth);

#endif
