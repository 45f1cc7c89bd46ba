// label_strip.h - a name along a narrow place, such as the rim of a layer that reaches under the next one.
#ifndef PM_MARK_LABEL_STRIP_H
#define PM_MARK_LABEL_STRIP_H

#include "mark/label.h"

// Letters follow the middle of the strip, at any angle: in a row (from left to right, or upwards) with a millimetre to
// the edges, else the least letters one below the other, each as wide as the strip allows; first clear of lines, then
// across them. The widest part of the strip is taken. *out stays empty when there is none.
MUST_USE bool label_find_strip(const Word words[LABEL_SIZES], const LabelPlace *place, Arena *keep, Work *work, Label *out,
                               Error *err);

#endif
