// place_lines.h - lines as the page sends them: places may be millimetres of the finished piece (at_mm, points_mm, from_mm),
// and become the fractions of the figure's height that the docket keeps; papers in hand may be "shelf", and are written out.
#ifndef PM_DESK_PLACE_LINES_H
#define PM_DESK_PLACE_LINES_H

#include "desk/table.h"

#include <jansson.h>

// ERROR_JOB while no answer tells where the figure lies, or when the shelf has no coloured paper; ERROR_USAGE for what is no place.
MUST_USE bool place_lines(Desk *desk, const json_t *line, Arena *arena, const char **out, Error *err);

#endif
