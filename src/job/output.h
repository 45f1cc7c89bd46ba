// output.h - the last stage: what the maker should know, and the bytes of the kit.
#ifndef PM_JOB_OUTPUT_H
#define PM_JOB_OUTPUT_H

#include "job/run.h"

// Joins the findings of edits, layers and thin parts into the stack's.
MUST_USE bool output_findings(Run *run, Error *err);
// Sets run->out->kit; fails when a piece that is cut already would change.
MUST_USE bool output_kit(Run *run, Error *err);

#endif
