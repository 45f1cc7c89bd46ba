// leftover.h - narrow rectangles in what the pieces of a nest leave of their sheets: nothing that lies already moves, and no
// sheet is added. What finds no place is told.
// Method:  a sheet as free cells, seen at several angles; the longest rectangle first, each in the shortest free run that
//          takes it. nest_check has the last word.
// Shape:   a rectangle is its four corners in finished-piece coordinates, clockwise on screen, the first side its length. It may
//          lie at any angle, whatever the paper's direction: it ends up unseen.
// Memory:  the result is the caller's array.
// Errors:  memory.
#ifndef PM_NEST_LEFTOVER_H
#define PM_NEST_LEFTOVER_H

#include "nest/nest.h"

typedef struct Leftover {
    const Point *corners;
} Leftover;

// out has an entry a rectangle; sheet -1 = no place.
MUST_USE bool leftover_lay(const NestItem *items, int item_count, const NestOptions *options, const NestResult *nest,
                           const Leftover *rectangles, int count, Work *work, NestPlace *out, Error *err);

#endif
