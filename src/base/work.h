// work.h - what a running room borrows: scratch memory, this thread's overlay handle, the wish to stop, progress.
// One Work a thread, made by `job` (or by a test). Rooms test work_cancelled at least every 10 ms.
#ifndef PM_BASE_WORK_H
#define PM_BASE_WORK_H

#include "base/arena.h"
#include "base/error.h"

#include <stdatomic.h>

struct Overlay; // shape/overlay.h

typedef struct Work {
    Arena scratch;
    struct Overlay *overlay;      // NULL where a room needs none
    const atomic_bool *cancel;    // NULL = never
    atomic_uint *steps_done;      // NULL = nobody looks
} Work;

bool work_cancelled(const Work *work);

// False with ERROR_CANCELLED when the work is to stop, else true: `if (!work_goes_on(work, err)) return false;`
MUST_USE bool work_goes_on(const Work *work, Error *err);

#endif
