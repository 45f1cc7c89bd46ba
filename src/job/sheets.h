// sheets.h - the stage of marks (a task a layer) and sheets (a task a paper): none waits for another.
// Sets run->out->papers and marks; a first answer has no marks.
#ifndef PM_JOB_SHEETS_H
#define PM_JOB_SHEETS_H

#include "job/run.h"

MUST_USE bool sheets_make(Run *run, Error *err);

#endif
