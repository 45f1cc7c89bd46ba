// path_read.h - path data of our own files -> a Path, to the micrometre: what is written from it again is the same text.
// Shape:   absolute M, L, C and Z in millimetres. Rings end with Z, and the curve back to their start is written; open strokes
//          have no Z.
#ifndef PM_JOB_PATH_READ_H
#define PM_JOB_PATH_READ_H

#include "shape/area.h"

// *out_is_path tells whether it was such. ERROR_SYSTEM is memory.
MUST_USE bool path_read(const char *text, bool open, Arena *keep, Path *out, bool *out_is_path, Error *err);

#endif
