// pieces.h - the stage in which each layer is divided, for itself, into pieces that fit its paper; then seams that run
// along one of a higher layer are shifted, from the top down.
// Thin parts are looked for beside it: they wait for the layers alone as well, and fill the time of the slowest layer.
// Sets run->out->pieces and run->thin_kept; a first answer leaves what is new unrefined, and looks for no thin parts.
#ifndef PM_JOB_PIECES_H
#define PM_JOB_PIECES_H

#include "job/run.h"

MUST_USE bool pieces_make(Run *run, Error *err);

#endif
