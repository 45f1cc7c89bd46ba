// whole.h - the stages that make one value for the whole picture: picture, colours, outlines, layers.
// Each takes over its result where the key is known, and sets the fields of run->out that are its own.
#ifndef PM_JOB_WHOLE_H
#define PM_JOB_WHOLE_H

#include "job/run.h"

MUST_USE bool whole_picture(Run *run, Error *err);
// *out_content: the key of what was found, whatever options found it.
MUST_USE bool whole_colours(Run *run, Key *out_content, Error *err);
// Afterwards the replay knows the colours.
MUST_USE bool whole_outlines(Run *run, Key separation_content, Error *err);
// Afterwards the replay knows the papers of the layers.
MUST_USE bool whole_layers(Run *run, Error *err);

#endif
