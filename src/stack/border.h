// border.h - the base grown by a border.
#ifndef PM_STACK_BORDER_H
#define PM_STACK_BORDER_H

#include "shape/overlay.h"

// Grows the outermost edges of `full` by border_mm; holes, and parts that lie inside holes, stay as they are. The new
// edges are curves within 0.02 mm of the true offset, appended to `chains`, and the box of the result is (0, 0) to
// (width_mm, height_mm), a micrometre off at most where rounding hits no nearer; ERROR_JOB when it is farther off. Holes smaller than a blade's worth that appear where two parts grow together are
// closed.
MUST_USE bool border_make(const Area *full, double border_mm, double width_mm, double height_mm, Chains *chains,
                          Arena *keep, Work *work, Area *out, Error *err);

#endif
