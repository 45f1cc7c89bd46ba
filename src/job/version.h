// version.h - one whole answer: stage results, each with the memory it lives in, shared by the versions that use it.
// A new version takes over from older ones what has the same key, and computes the rest; the older ones stay as they
// are until they are let go. Nothing of a version changes once it is whole.
// Memory:  a result lives as long as a version holds it.
// Threads: a version belongs to one thread; units may fill the results that were made for them, and several threads may take
//          over from a version that none of them changes.
#ifndef PM_JOB_VERSION_H
#define PM_JOB_VERSION_H

#include "base/arena.h"
#include "base/error.h"
#include "job/key.h"

#include <stdatomic.h>

typedef struct Kept {
    Key key;
    Arena arena;        // the value, and all it points to
    void *value;
    atomic_int users;   // versions that hold it
} Kept;

typedef struct Version {
    Arena arena;        // of the lists here and of what is put together from results
    Kept **kept;
    size_t count, capacity;
} Version;

MUST_USE bool version_create(Version **out, Error *err);
void version_destroy(Version *version); // NULL is fine; results that no other version holds are freed

// The result with this key, held by the version from now on; taken over from `others` (NULL entries are fine) when one
// has it, else a new one with a zeroed value. *out_is_new tells: who asked computes it.
MUST_USE bool version_take(Version *version, Version *const *others, int other_count, Key key, size_t value_size_bytes,
                           Kept **out, bool *out_is_new, Error *err);

// The result with this key, or NULL.
Kept *version_find(const Version *version, Key key);

// What `counted` (may be NULL) holds as well is left out.
size_t version_held_bytes(const Version *version, const Version *counted);

#endif
