// recut.h - pieces of the kit on the table once more: what was spoiled, as sheets of their own.
#ifndef PM_DESK_RECUT_H
#define PM_DESK_RECUT_H

#include "desk/table.h"
#include "job/job.h"

// Of the whole answer that the job holds; *out belongs to the caller.
MUST_USE bool recut_work(const Job *job, const RecutOrder *order, const Wish *wish, int threads, const JobWatch *watch, Kit **out, Error *err);

#endif
