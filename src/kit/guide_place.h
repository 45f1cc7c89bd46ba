// guide_place.h - the steps in which pieces come to their place: what is joined in one go, and single pieces.
#ifndef PM_KIT_GUIDE_PLACE_H
#define PM_KIT_GUIDE_PLACE_H

#include "kit/guide_story.h"

// The strips behind a joined group of the base; nothing where it has none.
MUST_USE bool guide_place_strips(const GuideStory *story, const GuidePart *whole, Error *err);

// A joined group: the base is turned face up, what is higher is glued on what lies below.
MUST_USE bool guide_place_group(const GuideStory *story, const GuidePart *whole, Error *err);

// Pieces that no seam joins: those of the base are laid by measure, a step a section; higher ones are glued, a few that are
// near one another at a time.
MUST_USE bool guide_place_singles(const GuideStory *story, Error *err);

#endif
