// guide_strips.h - what the guide says of backing strips: where each lies, seen from behind, and those that are cut by hand.
#ifndef PM_KIT_GUIDE_STRIPS_H
#define PM_KIT_GUIDE_STRIPS_H

#include "kit/guide_part.h"

#define GUIDE_STRIPS_PAGE "Strips behind the base" // steps name this page

// A page with the base from behind, its strips on it, and their list; nothing when there are none.
MUST_USE bool guide_strips_page(Guide *guide, Error *err);

// "11 on the sheets of layer A, 4 by hand": how many there are of both.
void guide_strips_say(Text *text, const Draft *draft);

// Length of all strips, and of the longest.
double guide_strips_mm(const Draft *draft, double *longest_mm);

#endif
