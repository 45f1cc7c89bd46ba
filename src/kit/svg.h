// svg.h - one sheet as an SVG file that cutter software opens at true size.
#ifndef PM_KIT_SVG_H
#define PM_KIT_SVG_H

#include "base/text.h"
#include "kit/draft.h"

#define SVG_SCORE_COLOUR "#b4581a"
#define SVG_PEN_COLOUR "#2f6f5e"

MUST_USE bool svg_sheet(const Draft *draft, const DraftSheet *sheet, Arena *keep, FileBytes *out, Error *err);

// What all files for the cutter share: the page (`title` needs no escaping), the cut path up to and with its corner
// marks, the start of a line's path. Paths are left open for more.
void svg_add_head(Text *text, const Paper *paper, const char *title);
void svg_add_cut_group(Text *text, const char *fill, const double box_mm[4]);
void svg_add_line_group(Text *text, MarkLine line);

#endif
