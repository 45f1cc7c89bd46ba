// drawn.h - the outline of a part as closed lines along pixel edges.
#ifndef PM_SEPARATION_DRAWN_H
#define PM_SEPARATION_DRAWN_H

#include "separation/runs.h"
#include "separation/separation.h"

typedef struct PenDetails {
    PenDetail *items;
    size_t count, capacity;
} PenDetails;

// Adds the lines round a part (a root) and round each of its holes, corners only; those of a part whose pixels touch at
// a corner keep apart there. All memory in `keep`. Errors: ERROR_SYSTEM.
MUST_USE bool part_draw(const Runs *runs, int32_t part, Srgb8 colour, Arena *keep, Work *work, PenDetails *out,
                        Error *err);

#endif
