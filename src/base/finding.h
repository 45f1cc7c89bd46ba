// finding.h - something a maker should know that does not stop the work; it travels in the result with its place.
#ifndef PM_BASE_FINDING_H
#define PM_BASE_FINDING_H

#include "base/arena.h"

#include <stdbool.h>

typedef struct Finding {
    const char *kind;       // a short fixed word, e.g. "speck-joined", "thin-part"
    const char *text;       // one sentence
    double x_mm, y_mm;      // in finished-piece millimetres (in pixels while inside `separation`)
} Finding;

typedef struct Findings {
    Finding *items;
    size_t count, capacity;
} Findings;

// False when memory ran out.
bool findings_add(Findings *findings, Arena *keep, const char *kind, const char *text, double x_mm, double y_mm);

#endif
