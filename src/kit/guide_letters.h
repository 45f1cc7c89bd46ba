// guide_letters.h - the letter that says which edges meet, as it stands on both pieces beside their seam.
#ifndef PM_KIT_GUIDE_LETTERS_H
#define PM_KIT_GUIDE_LETTERS_H

#include "kit/draft.h"

// "" where a seam has none. `seam` is an index into the draft's seams.
const char *guide_seam_letter(const Draft *draft, int seam);

#endif
