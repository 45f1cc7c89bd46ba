// strips.h - backing strips of the base, after the sheets: where they lie behind its seams, and which of them find a place in
// what the sheets of its paper leave. Sets run->out->strips.
#ifndef PM_JOB_STRIPS_H
#define PM_JOB_STRIPS_H

#include "job/run.h"

MUST_USE bool strips_make(Run *run, Error *err);

#endif
