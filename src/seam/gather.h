// gather.h - atoms of a network gathered to pieces: each piece hangs together, fits the paper at some angle, and is cut off
// where it costs little.
// How:     first answer: from the free atom farthest from the middle a sheet is laid over the network in many ways, what
//          hangs together under it becomes a piece where it is longest for its cuts, and so on. Then, a fixed number of
//          times, a few neighbours are taken apart and gathered anew at random, pieces that fit together are joined, and
//          what costs no more stays.
// Source:  large neighbourhood search: P. Shaw, "Using constraint programming and local search methods to solve vehicle
//          routing problems", CP 1998 (from memory); the moves are our own.
#ifndef PM_SEAM_GATHER_H
#define PM_SEAM_GATHER_H

#include "base/work.h"
#include "shape/hull.h"

typedef struct GatherAtom {
    const Point *hull;
    int hull_count;
    double area_mm2;
} GatherAtom;

typedef struct GatherCut {
    int atoms[2];
    double cost_in; // when its two atoms come into different pieces
} GatherCut;

typedef struct GatherTask {
    const GatherAtom *atoms;
    int atom_count;
    const GatherCut *cuts;
    int cut_count;
    Space space;
    double piece_in;      // what a piece costs
    double least_long_mm; // a piece that can be longer is to be
    int tries;            // of the second part
} GatherTask;

// out_piece_of[atom]: pieces are numbered from 0 in the order of their first atoms; *out_count: how many. Every atom must
// fit alone.
MUST_USE bool gather_pieces(const GatherTask *task, Arena *keep, Work *work, int *out_piece_of, int *out_count,
                            Error *err);

#endif
