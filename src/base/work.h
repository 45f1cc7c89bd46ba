// work.h - what a running room borrows: scratch memory, this thread's overlay handle, the wish to stop, progress.
// One Work a thread, made by `job` (or by a test). Rooms test work_cancelled at least every 10 ms.
#ifndef PM_BASE_WORK_H
#define PM_BASE_WORK_H

#include "base/arena.h"
#include "base/error.h"

#include <stdatomic.h>

struct Overlay; // shape/overlay.h
typedef struct Work Work;

// Parts of one piece of work, none of which looks at what another makes.
typedef struct WorkParts {
    int count;
    bool (*run)(void *context, int part, Work *work, Error *err);   // leaves the scratch memory as it found it
    void *context;
} WorkParts;

struct Work {
    Arena scratch;
    struct Overlay *overlay;      // NULL where a room needs none
    const atomic_bool *cancel;    // NULL = never
    atomic_uint *steps_done;      // NULL = nobody looks
    struct WorkCrew *crew;        // whose idle members may take parts (job/units.h); NULL = nobody
    bool (*share)(struct WorkCrew *crew, Work *work, const WorkParts *parts, Error *err);
};

bool work_cancelled(const Work *work);

// False with ERROR_CANCELLED when the work is to stop, else true: `if (!work_goes_on(work, err)) return false;`
MUST_USE bool work_goes_on(const Work *work, Error *err);

// Runs all parts, here or on whoever is idle: what each makes must go where its context says, so that nobody can tell.
// When several fail, the one with the least index is reported.
MUST_USE bool work_share(Work *work, const WorkParts *parts, Error *err);

#endif
