// guide_html_part.h - the parts of guide.html that are made from the kit.
#ifndef PM_KIT_GUIDE_HTML_PART_H
#define PM_KIT_GUIDE_HTML_PART_H

#include "kit/guide_say.h"

// The finished picture: a group a layer with a path a piece, the seams, the dots that the base is measured by.
void html_picture(Text *text, const Draft *draft, const GuideChecks *checks);

// Every layer with its steps.
MUST_USE bool html_steps(Text *text, const Draft *draft, const GuideChecks *checks, Arena *keep, Work *work, Error *err);

// Every sheet with its pieces in cutting order.
void html_sheets(Text *text, const Draft *draft);

#endif
