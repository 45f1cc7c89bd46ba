// sheets.h - the stage of marks (a task a layer), sheets (a task a paper) and thin parts: none waits for another.
// Sets run->out->papers and marks; a first answer has neither marks nor thin parts.
#ifndef PM_JOB_SHEETS_H
#define PM_JOB_SHEETS_H

#include "job/run.h"

MUST_USE bool sheets_make(Run *run, Error *err);

#endif
