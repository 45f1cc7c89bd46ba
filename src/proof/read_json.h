// read_json.h - JSON text -> jansson's values, in an arena, and safe when memory runs out.
// jansson alone cannot be trusted there: where a buffer of its scanner cannot grow it loses bytes of a text without a
// word, or reads on behind its end. Here the first refusal ends the reading.
// Memory:  the values belong to the arena; never give them back to jansson (no json_decref).
// Errors:  ERROR_SYSTEM only; a text that is not JSON is no error here: *out is NULL and `problem` says why and where.
// Threads: each thread may read at the same time.
#ifndef PM_PROOF_READ_JSON_H
#define PM_PROOF_READ_JSON_H

#include "base/arena.h"
#include "base/error.h"

#include <jansson.h>

// A key that stands twice in one object is a problem as well.
MUST_USE bool read_json(const char *bytes, size_t size_bytes, Arena *arena, const json_t **out, json_error_t *problem,
                        Error *err);

#endif
