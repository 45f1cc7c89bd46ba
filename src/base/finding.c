// finding.c - see finding.h.
#include "base/finding.h"

bool findings_add(Findings *findings, Arena *keep, const char *kind, const char *text, double x_mm, double y_mm)
{
    Finding *items = arena_grow(keep, findings->items, findings->count, &findings->capacity, sizeof *items);
    char *own_text = arena_text(keep, text);
    char *own_kind = arena_text(keep, kind);
    if (!items || !own_text || !own_kind) return false;
    findings->items = items;
    items[findings->count++] = (Finding){own_kind, own_text, x_mm, y_mm};
    return true;
}
