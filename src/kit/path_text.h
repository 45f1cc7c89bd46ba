// path_text.h - paths as SVG path data: absolute M, L, C, Z, at most 3 decimals.
// Every curve is written, the one back to a ring's start as well, so that Z never draws.
#ifndef PM_KIT_PATH_TEXT_H
#define PM_KIT_PATH_TEXT_H

#include "base/text.h"
#include "shape/area.h"

// `matrix` (SVG order, applied to control points in mm) may be NULL. A blank separates it from what stands before.
void path_add(Text *text, const Path *path, const double matrix[6]);

#endif
