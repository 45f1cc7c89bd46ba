// freeze.h - pieces that are cut already: taken down from a kit, and looked for in the next.
// What counts is the outline as it is written in kit.json, byte for byte, and the piece's name, which stands on it.
#ifndef PM_JOB_FREEZE_H
#define PM_JOB_FREEZE_H

#include "base/files.h"
#include "job/edit.h"

// Adds an edit "frozen" for each of these pieces. ERROR_JOB names a piece that the kit does not have.
MUST_USE bool freeze_capture(const FileSet *kit, double height_mm, const char *const *piece_ids, int count, Arena *keep,
                             EditList *edits, Error *err);

// The list without its frozen pieces; the edits themselves are shared.
MUST_USE bool edits_without_frozen(const EditList *edits, Arena *keep, EditList *out, Error *err);

// ERROR_JOB naming the pieces when a frozen piece of the edits is not in the kit as it was; `kit` may be NULL as long as
// none is known: then only the height is judged.
MUST_USE bool freeze_check(const EditList *edits, double height_mm, const FileSet *kit, Error *err);

#endif
