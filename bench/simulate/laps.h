// laps.h - lap seams put together with errors: does the lap still cover the joint, and does it look out anywhere?
// Model:   the neighbour is laid on the lap by hand, with an error of its own against the piece that has the lap; nobody pushes
//          it against the bare ends of the seam, which a maker would do: so this is the worse case. The blade took half a kerf of
//          each cut edge.
// Errors:  ERROR_SYSTEM, ERROR_CANCELLED.
#ifndef PM_BENCH_SIMULATE_LAPS_H
#define PM_BENCH_SIMULATE_LAPS_H

#include "simulate/tally.h"
#include "simulate/tries.h"

typedef struct LapTallies { // units are seams
    Tally uncovered; // places of seams above a lap that open farther than the lap reaches; need: how far it had to reach
    Tally bare;      // places beside the lap, or where it begins, at the ends of seams, that open by more than TRIES_GAP_MM
    Tally looks_out; // places of a lap's edge that its neighbour does not cover; need: how far from its edges they had to stay
} LapTallies;

MUST_USE bool laps_run(const ReadKit *kit, const MakerErrors *errors, int tries, uint64_t seed, Arena *keep, Work *work,
                       LapTallies *out, Error *err);

#endif
