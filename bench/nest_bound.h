// nest_bound.h - how many sheets pieces need at least, whatever the search: by area, and by pieces of which no two can share.
#ifndef PM_BENCH_NEST_BOUND_H
#define PM_BENCH_NEST_BOUND_H

#include "base/work.h"
#include "nest/nest.h"

// `work` needs an overlay handle.
MUST_USE bool nest_bound(const NestItem *items, int count, const NestOptions *options, Work *work, int *out, Error *err);

#endif
