// svg.h - one sheet as an SVG file that cutter software opens at true size.
#ifndef PM_KIT_SVG_H
#define PM_KIT_SVG_H

#include "kit/draft.h"

MUST_USE bool svg_sheet(const Draft *draft, const DraftSheet *sheet, Arena *keep, FileBytes *out, Error *err);

#endif
