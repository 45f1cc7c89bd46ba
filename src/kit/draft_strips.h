// draft_strips.h - the backing strips of a kit: their names, the letters on those that are cut, and their pieces.
// A strip is called by the letter of its seam: A-K behind seam K of layer A, A-K1 and A-K2 when there are two; by the seam's own
// name (A-s3) where a layer has no letters. All strips have a name, those that are cut by hand as well.
#ifndef PM_KIT_DRAFT_STRIPS_H
#define PM_KIT_DRAFT_STRIPS_H

#include "kit/draft.h"

// Before the sheets: fills draft->strips, and the pieces behind the faces, for which there is room.
MUST_USE bool draft_strips_make(Draft *draft, Arena *keep, Error *err);

// How many strips are cut.
int draft_strips_cut(const KitInput *input);

#endif
