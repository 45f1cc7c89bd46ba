// pieces.h - the stage in which each layer is divided, for itself, into pieces that fit its paper.
// Sets run->out->pieces; a first answer leaves what is new unrefined.
#ifndef PM_JOB_PIECES_H
#define PM_JOB_PIECES_H

#include "job/run.h"

MUST_USE bool pieces_make(Run *run, Error *err);

#endif
