// guide_join.h - the steps in which seams are joined: single pieces to a part, and two parts to a larger one.
#ifndef PM_KIT_GUIDE_JOIN_H
#define PM_KIT_GUIDE_JOIN_H

#include "kit/guide_story.h"

// Tells how a part is joined: from its largest piece outwards, or of two parts along their long seam. A part that is not
// whole gets a number to be called by. One of a single piece comes along when it is united.
MUST_USE bool guide_join_part(GuideStory *story, int part, Error *err);

#endif
