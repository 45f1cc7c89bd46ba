// raised.h - foam squares of raised layers, after the pieces. Sets run->out->foam.
#ifndef PM_JOB_RAISED_H
#define PM_JOB_RAISED_H

#include "job/run.h"

MUST_USE bool raised_make(Run *run, Error *err);

#endif
