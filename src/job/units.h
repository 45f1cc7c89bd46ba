// units.h - independent units of one stage, run on a few threads.
// Each thread has a Work of its own; what a unit makes goes where its context says, so that the number of threads never
// shows in what is written. A unit may share parts of itself (base/work.h): whoever has no unit left takes of them.
#ifndef PM_JOB_UNITS_H
#define PM_JOB_UNITS_H

#include "base/work.h"

typedef struct Units {
    int count;
    bool (*run)(void *context, int unit, Work *work, Error *err);
    void (*done)(void *context, int done_count);    // on the caller's thread, now and then; may be NULL
    void *context;
    bool may_share;     // units share parts: threads beyond their number are of use
} Units;

// Runs units 0..count-1, lower ones first; unit 0 on the caller's thread. When several fail, the one with the least index is reported.
MUST_USE bool units_run(const Units *units, int threads, const atomic_bool *cancel, Error *err);

#endif
