// hidden.h - pieces of the base that higher layers cover wholly, and by 3 mm beyond their edge: nobody sees what paper they are cut from.
#ifndef PM_JOB_HIDDEN_H
#define PM_JOB_HIDDEN_H

#include "job/run.h"

#define HIDDEN_COLOUR_NAME "any card"   // of the paper that they are cut from

// A flag a piece of the base; all false unless the settings ask for it.
MUST_USE bool hidden_find(Run *run, bool **out, Error *err);

#endif
