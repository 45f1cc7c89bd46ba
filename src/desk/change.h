// change.h - what the maker said and took back, as the docket keeps it.
#ifndef PM_DESK_CHANGE_H
#define PM_DESK_CHANGE_H

#include "desk/table.h"

MUST_USE bool has_job(const Desk *desk, Error *err);                    // ERROR_JOB: no picture yet

// Canonical lines; they are in the file when this returns. `reply` (may be NULL) gets their ids.
MUST_USE bool change_add(Desk *desk, const char *const *lines, size_t count, Text *reply, Error *err);
MUST_USE bool change_strike(Desk *desk, size_t at, bool struck, Error *err);

#endif
