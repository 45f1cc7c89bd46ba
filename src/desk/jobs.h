// jobs.h - a job begins with a picture, comes from a file, and goes out as one.
#ifndef PM_DESK_JOBS_H
#define PM_DESK_JOBS_H

#include "desk/table.h"

MUST_USE bool jobs_take_picture(Desk *desk, const char *name, const void *bytes, size_t size_bytes, Error *err);
MUST_USE bool jobs_copy(Desk *desk, Arena *keep, FileBytes *out, Error *err);
MUST_USE bool jobs_open_path(Desk *desk, const char *path, Error *err);

#endif
