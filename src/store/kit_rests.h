// kit_rests.h - what a kit leaves of its sheets that is worth keeping, as things for the shelf.
// Shape:   one offcut a rest, its size across first, of its paper's kind, colour and name.
// Errors:  ERROR_INPUT when kit.json cannot be read, memory.
#ifndef PM_STORE_KIT_RESTS_H
#define PM_STORE_KIT_RESTS_H

#include "base/files.h"
#include "store/shelf.h"

// `shown`: what the kit is called in an error.
MUST_USE bool kit_rests(const FileBytes *kit_json, const char *shown, Arena *keep, ShelfList *out, Error *err);

#endif
