// pictures_tally.h - what bench/pictures counts, a group of drawings a row, and how it prints it.
#ifndef PM_BENCH_PICTURES_TALLY_H
#define PM_BENCH_PICTURES_TALLY_H

#include "corners.h"

#include <stdint.h>

#define AREA_LIMIT_PX 0.05  // the most that was asked

typedef enum Kind { KIND_WHITE, KIND_ALPHA, KIND_JPEG, KIND_VARIANT, KIND_SURVEY, KIND_COUNT } Kind;

typedef struct Tally {
    char group[32];
    int64_t shaded[KIND_COUNT]; // said to have soft shading, which none of the drawings has
    int64_t pictures[KIND_COUNT], colours[KIND_COUNT], regions[KIND_COUNT], strict[KIND_COUNT], bare[KIND_COUNT];
    int64_t lawful[KIND_COUNT]; // regions right, or as many of each colour as in the picture that it is a variant of
    double worst_de00[KIND_COUNT];
    int64_t offsets[KIND_COUNT];
    double offset[KIND_COUNT], worst_offset[KIND_COUNT], area[KIND_COUNT];
    int64_t over[KIND_COUNT], told_over[KIND_COUNT], beyond_over[KIND_COUNT]; // area errors over the limit; of the picture; beyond it
    char worst_name[KIND_COUNT][192], area_name[KIND_COUNT][192];
    CornerScore corners;
    int64_t curves, shortest;
} Tally;

void tally_add_corners(CornerScore *sum, const CornerScore *one);
Tally tally_sum(const Tally *groups, int count);
void tally_print(const Tally *tally);

#endif
