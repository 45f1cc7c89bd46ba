// seam_case.h - one picture at one height: its stack, divided for one paper after another, against the best grids.
// Grid:    axis-parallel, of usable sheets, a connected part at a time, the offset of least J of 10 x 10 and both ways of
//          the sheet; joined grid: the same with neighbours joined that fit together, dearest seam first.
#ifndef PM_BENCH_SEAM_CASE_H
#define PM_BENCH_SEAM_CASE_H

#include "art.h"
#include "seam_bound.h"
#include "seam_measure.h"

typedef struct SeamWays {   // how it is divided, where not as the program does by itself
    double piece_weight;    // 0: as by itself
    double detail_weight;   // < 0: as by itself
    bool only_first;        // first answers, unrefined
    bool only_ours;         // neither grids nor the bound
} SeamWays;

typedef struct SeamPicture {
    Stack stack;
    InSight seen;
    Rings details;      // small things in sight
    Arena keep, turn;   // turn: of one case
    Work work;
} SeamPicture;

typedef struct SeamCase {
    SeamScore ours, grid, joined;
    double bound_mm;
    int layers_over;    // layers with more pieces than the grid has
} SeamCase;

#define SEAM_PICTURE_PX 2048 // the longest side, on white

// By the program's own defaults. seam_picture_free is due also after a failure.
MUST_USE bool seam_picture_make(const Art *art, double height_in, SeamPicture *out, Error *err);
void seam_picture_free(SeamPicture *picture);

// `draw_folder` may be NULL.
MUST_USE bool seam_case_run(SeamPicture *picture, const char *name, const char *paper, const SeamWays *ways,
                            const char *draw_folder, SeamCase *out, Error *err);

// Processor time of dividing all layers, the layers' own makings apart.
MUST_USE bool seam_case_time(SeamPicture *picture, const char *paper, double *out_s, int *out_pieces, Error *err);

#endif
