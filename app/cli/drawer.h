// drawer.h - whether what lies on the shelf is enough for a kit.
// Which paper of the shelf a kit's is: store/shelf_match.h. Spare sheets are not counted.
#ifndef PM_APP_DRAWER_H
#define PM_APP_DRAWER_H

#include "store/shelf.h"

#include <jansson.h>

// What lies on the shelf in its usual place. Errors: ERROR_SYSTEM when it has no place or cannot be read.
MUST_USE bool drawer_read(Arena *keep, ShelfList *out, Error *err);

// `kit` is a parsed kit.json. The first paper that is lacking is told in `lacks` (may be NULL).
MUST_USE bool drawer_is_enough(const ShelfList *shelf, const json_t *kit, Arena *keep, bool *out, Text *lacks, Error *err);

#endif
