// tries.h - many kits put together with errors, and what could then be seen that should not.
// Model:   a body lands where its carrier lies, with an error of its own; a sheet's score and pen lines have moved against
//          its cuts; the blade took half a kerf of each edge. A place that has to stay covered fails when it lies inside no
//          higher body's paper; a seam in sight, or two layers edge to edge, when the sides are farther apart than TRIES_GAP_MM.
//          Placing is judged against where a part should lie, not against the moved line: a maker who goes by the line
//          alone does better by up to tool_mm.
//          A joined seam has no error of its own: its sides were pushed together, and the blade's kerf is what is left.
// Errors:  ERROR_SYSTEM, ERROR_CANCELLED.
#ifndef PM_BENCH_SIMULATE_TRIES_H
#define PM_BENCH_SIMULATE_TRIES_H

#include "simulate/tally.h"
#include "simulate/watch.h"

#define TRIES_GAP_MM 0.3 // a wider gap between two papers of one colour is seen at arm's length; as asked, no source

typedef struct Placed { // one try
    Motion *bodies;
    double *moved_mm; // by body: no point of it or near it moves farther
    Spot *tools;      // by sheet: how its score and pen lines moved, in the sheet's directions
} Placed;

MUST_USE bool placed_make(const Bodies *bodies, Arena *keep, Placed *out, Error *err);
// Draws a try. Tests may set the fields themselves, and then call placed_measure.
void placed_draw(const Bodies *bodies, const MakerErrors *errors, Rng *rng, Placed *placed);
void placed_measure(const Bodies *bodies, Placed *placed);
// How the score and pen lines of a piece moved, in the directions of the finished piece; nothing for piece -1.
Spot placed_tool(const ReadKit *kit, const Placed *placed, int piece);

// Does the place fail in this try? *shown: how far outside the nearest cover it lies (at most a reach), or how wide it is.
// *needed: how deep below its cover it would have had to lie; tells only of a place that is_told. What may open: its width.
bool place_fails(const Bodies *bodies, const Watch *watch, WatchClass class, const WatchPoint *point,
                 const Placed *placed, double kerf_mm, double *shown, double *needed);

MUST_USE bool tries_run(const Bodies *bodies, const Watch *watch, const MakerErrors *errors, int count, uint64_t seed,
                        Work *work, Tally out[WATCH_CLASSES], Error *err);

#endif
