// label.h - the place where a piece's name can be written unseen.
#ifndef PM_MARK_LABEL_H
#define PM_MARK_LABEL_H

#include "mark/placement.h"

// Looks for a place for `text` whose box, 1 mm wider all round, lies in the face and in `safe` (what higher layers
// hide, less the margin): first clear of the strokes (those of this piece), then across them; first large and level,
// then smaller or turned by a quarter; where that finds nothing, aslant in steps of 15 degrees. In each case the
// roomiest place, in the middle of places equally roomy. *out_found is false when there is none.
MUST_USE bool label_find(const char *text, const Rings *face, const Rings *safe, const Stroke *strokes,
                         int stroke_count, const MarkOptions *options, Arena *keep, Work *work, Path *out,
                         bool *out_found, Error *err);

#endif
