// sample_kit.h - a small kit made by hand for tests of the proof: three layers, five pieces, two seams, marks, two
// papers. Its numbers come from the construction (circles, straight lines) and from fine sums, not from the code that
// is tested.
//   A  300 x 240 mm with round corners and a hole; divided by a seam from top to bottom, 86 mm of it in sight
//   B  a disc of 160 mm, divided by a straight seam whose ends lie on curves; C, a disc of 50 mm, covers its middle
#ifndef PM_SUPPORT_SAMPLE_KIT_H
#define PM_SUPPORT_SAMPLE_KIT_H

#include "base/files.h"

// All files but proof.txt, sorted by name, in `keep`. False when memory ran out.
bool sample_kit(Arena *keep, FileSet *out);

// The same with its sheets parted into files in another way: "sheet", "piece", "layer" or "line"; or, as "lap", with a lap seam in
// layer A.
bool sample_kit_for(const char *form, Arena *keep, FileSet *out);

#endif
