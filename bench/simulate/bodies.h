// bodies.h - what a maker moves in one go: pieces of a layer that seams joined, or each piece alone.
// Shape:   sorted by the height of their layer; edges that two joined pieces share are left out, so that a seam inside a
//          body is no edge of it.
// Memory:  everything lies in `keep`; the kit is borrowed.
// Errors:  ERROR_SYSTEM; ERROR_INPUT when a kit is larger than can be looked at.
#ifndef PM_BENCH_SIMULATE_BODIES_H
#define PM_BENCH_SIMULATE_BODIES_H

#include "proof/readback.h"
#include "simulate/maker.h"

typedef enum Joining { PIECES_JOINED, PIECES_LOOSE } Joining;

typedef struct Body {
    int order;       // height of its layer, 0 = base
    Edges edges;     // owner = piece
    Field field;
    Spot centre;     // middle of its box
    double reach_mm; // from there to its farthest point
    double area_mm2, length_mm;
    int carrier;     // the body that it is placed on by; -1 = none (see bodies_set_carriers)
} Body;

typedef struct Bodies {
    const ReadKit *kit;
    Body *items;
    int count;
    int *of_piece;   // by piece; -1 = a strip
} Bodies;

MUST_USE bool bodies_make(const ReadKit *kit, Joining joining, Arena *keep, Work *work, Bodies *out, Error *err);

// Height of p inside the body: distance to its edge, negative outside; cut off at limit_mm either way.
double body_depth(const Body *body, Spot p, double limit_mm);
// The topmost body at p below a height, as everything is meant to lie; -1 = the wall.
int bodies_topmost(const Bodies *bodies, Spot p, int below_order);

// Moves of one try: each body by its own placing, after that of its carrier. The largest body of the base is the table.
// `out` has room for all bodies.
void bodies_place(const Bodies *bodies, const MakerErrors *errors, Rng *rng, Motion *out);

#endif
