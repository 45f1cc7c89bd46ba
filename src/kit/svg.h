// svg.h - one file for the cutter: a sheet, or as KitFor says, as an SVG file that cutter software opens at true size.
// Shape:   KIT_FOR_SHEET, KIT_FOR_LAYER: a group and one path for each line kind. KIT_FOR_PIECE: in a line kind's group a
//          group for the corner marks, one for each piece ("A7", "A7-score", "A7-pen") and one for the notes. KIT_FOR_LINE:
//          one group; where it is not `cut`, the corner marks are filled triangles of that line's colour in a group of
//          their own: without a stroke they have the very box of the cut file, however an importer measures.
#ifndef PM_KIT_SVG_H
#define PM_KIT_SVG_H

#include "base/text.h"
#include "kit/draft.h"

#define SVG_SCORE_COLOUR "#b4581a"
#define SVG_PEN_COLOUR "#2f6f5e"

MUST_USE bool svg_file(const Draft *draft, const DraftFile *file, Arena *keep, FileBytes *out, Error *err);

// What all files for the cutter share: the page (`title` needs no escaping), the cut path up to and with its corner
// marks, the start of a line's path, which is left open for more. `corners_mm`: also corner marks for that box.
void svg_add_head(Text *text, double width_mm, double height_mm, const char *title);
void svg_add_cut_group(Text *text, const char *fill, const double box_mm[4]);
void svg_add_line_group(Text *text, MarkLine line, const double *corners_mm);

#endif
