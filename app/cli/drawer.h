// drawer.h - the maker's shelf, read; whether what lies there is enough for a kit.
// A kit's paper is there when the shelf has sheets of its size, spares not counted, in a colour within DRAWER_NEAR_DE00; one of
// no known colour serves where none is near. Each sheet is given out once. Sheets that nobody counted never run out.
#ifndef PM_APP_DRAWER_H
#define PM_APP_DRAWER_H

#include "store/shelf.h"

#include <jansson.h>

#define DRAWER_NEAR_DE00 10.0   // as near as neighbours that are hard to tell apart: a maker would take it for the colour

// What lies on the shelf in its usual place. Errors: ERROR_SYSTEM when it has no place or cannot be read.
MUST_USE bool drawer_read(Arena *keep, ShelfList *out, Error *err);

// `kit` is a parsed kit.json. The first paper that is lacking is told in `lacks` (may be NULL).
MUST_USE bool drawer_is_enough(const ShelfList *shelf, const json_t *kit, Arena *keep, bool *out, Text *lacks, Error *err);

#endif
