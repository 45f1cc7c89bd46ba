// units.h - independent units of one stage, run on a few threads.
// Each unit has a keep arena of its own, each thread a Work of its own; results are read in index order, so that the
// number of threads never shows in what is written.
#ifndef PM_JOB_UNITS_H
#define PM_JOB_UNITS_H

#include "base/work.h"

typedef bool (*UnitRun)(void *context, int unit, Arena *keep, Work *work, Error *err);

// Runs units 0..count-1; keeps has count arenas, made by the caller. When several fail, the one with the least index
// is reported.
MUST_USE bool units_run(int count, int threads, UnitRun run, void *context, Arena *keeps, const atomic_bool *cancel,
                        Error *err);

#endif
