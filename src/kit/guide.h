// guide.h - guide.pdf: how to cut the kit and put it together, for somebody who has never seen it.
// Shape:   cover; what to buy, how to read; sheet map; each layer with its steps; findings and care; envelope labels.
//          Made of the same data as kit.json alone.
#ifndef PM_KIT_GUIDE_H
#define PM_KIT_GUIDE_H

#include "kit/draft.h"

// After draft_total.
MUST_USE bool guide_pdf(const Draft *draft, Arena *keep, Work *work, FileBytes *out, Error *err);

#endif
