// shelf_talk.h - what the desk asks of the shelf.
#ifndef PM_DESK_SHELF_TALK_H
#define PM_DESK_SHELF_TALK_H

#include "desk/table.h"

// Reads the shelf again; one that cannot be opened is told where it is asked for.
MUST_USE bool shelf_refresh(Desk *desk, Error *err);
// Why a docket line's paper or cutter is not to be had from this shelf; NULL: it is, or the shelf says nothing of such.
MUST_USE bool shelf_lacks(const Desk *desk, const LineInfo *line, Arena *keep, const char **out, Error *err);

#endif
