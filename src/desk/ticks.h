// ticks.h - pieces ticked as cut, taped, glued or spoiled.
#ifndef PM_DESK_TICKS_H
#define PM_DESK_TICKS_H

#include "desk/table.h"

MUST_USE bool ticks_keep(Desk *desk, const char *piece, TickMark mark, Error *err);    // in memory alone

#endif
