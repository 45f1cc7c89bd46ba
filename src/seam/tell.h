// tell.h - what became of the maker's wishes: each one that was not kept, or had nothing to do, is told in words.
#ifndef PM_SEAM_TELL_H
#define PM_SEAM_TELL_H

#include "seam/attempt.h"

// Adds findings "edit-without-target" and "edit-not-kept".
MUST_USE bool tell_wishes(const AttemptInput *input, const bool *touches, Arena *keep, Work *work, LayerPieces *out,
                          Error *err);

#endif
