// offcuts.h - what of a paper's pieces is cut from the maker's offcuts of the same colour: part of the stage of sheets (sheets.h).
// A paper with offcuts is laid with nest_mixed; then each size becomes a KitPaper of its own behind it. A paper of which nothing is
// left to be cut goes away.
#ifndef PM_JOB_OFFCUTS_H
#define PM_JOB_OFFCUTS_H

#include "job/run.h"

// Before the tasks: run->offcuts, by the edits.
MUST_USE bool offcuts_find(Run *run, Error *err);
bool offcuts_has(const Run *run, int paper);
// Instead of a nest of one kind. The unit's items and options are set.
MUST_USE bool offcuts_prepare(Run *run, int paper, double weight, Error *err);
MUST_USE bool offcuts_task(Run *run, const Task *task, Work *work, Error *err);
// After the tasks: run->out->papers and run->nest_kept by size.
MUST_USE bool offcuts_part(Run *run, Error *err);

#endif
