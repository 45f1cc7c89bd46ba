// nest_bound.h - how many sheets pieces need at least, whatever the search: by area, and by pieces of which no two can share.
#ifndef PM_BENCH_NEST_BOUND_H
#define PM_BENCH_NEST_BOUND_H

#include "base/work.h"
#include "nest/nest.h"

typedef struct NestBound {
    int by_area;        // all pieces' area over a sheet's, rounded up
    int by_size;        // the larger of that and of pieces of which no two can share by their areas and largest discs
    int by_pairs;       // the same with all turns and places of each two looked at, and for each set of pieces that share with one another
    int alone;          // pieces that share with no other
    double alone_share; // of a sheet, that they fill on average: what nothing can be laid beside
    const bool *can;    // count * count: which two can share; NULL when pairs were not looked at
} NestBound;

// In `keep`: can. `work` needs an overlay handle. by_pairs (and alone) are taken when pairs_too; they need a gap and free turns, else they are as by_size.
MUST_USE bool nest_bound(const NestItem *items, int count, const NestOptions *options, bool pairs_too, Arena *keep, Work *work,
                          NestBound *out, Error *err);

#endif
