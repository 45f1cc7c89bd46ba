// guide_foam.h - what the guide says of foam squares: how many a piece lies on, and where they are stuck, seen from behind.
#ifndef PM_KIT_GUIDE_FOAM_H
#define PM_KIT_GUIDE_FOAM_H

#include "kit/guide_part.h"

// A page with the layer from behind and its squares; nothing when none of its pieces has any.
MUST_USE bool guide_foam_page(Guide *guide, int layer, Error *err);

// "Foam squares on their backs first: 14 on E1, 6 on E2. ", of pieces of the draft from `first` on; nothing when there are none.
void guide_foam_say(Text *text, const Draft *draft, int first, const int *pieces, int count);

// "120 foam squares, 12 x 12 mm, ...": what is to be bought; nothing when nothing is raised.
void guide_foam_buy(Text *text, const Draft *draft);

#endif
