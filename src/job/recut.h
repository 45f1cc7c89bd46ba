// recut.h - some pieces of a kit once more: one that was spoiled, all of a sheet, the rest of a colour that ran out; on the same
// paper, another, or an offcut, also in another colour. From the kit's files alone.
// Shape:   what comes out is a kit of its own (docs/kit-format.md, "recut_of") in which the other pieces lie on no sheet.
//          The pieces' outlines, faces and marks are those of the kit, byte for byte; the kit itself is not touched.
// Errors:  ERROR_USAGE for a name that the kit does not have; ERROR_JOB for a piece that does not fit the paper, and a paper
//          that does not take its lines; ERROR_INPUT for a kit that cannot be read (prove it first).
#ifndef PM_JOB_RECUT_H
#define PM_JOB_RECUT_H

#include "kit/kit.h"

typedef struct RecutWish {
    const char *const *names;   // of pieces ("A7"), layers ("A": all its pieces) and sheets ("navy-1": all that lies on it)
    int name_count;
    const char *const *but;     // likewise: these not
    int but_count;
    const Paper *paper;         // NULL = the paper that each piece had
    const Srgb8 *colour;        // NULL = the colour that it had
    const char *colour_name;    // of that colour; NULL = our word for it
    const KitOptions *options;  // how files are written; NULL = as the kit's are
} RecutWish;

typedef struct Recut {
    FileSet files;
    int piece_count, sheet_count;
    const char *name;           // the new kit's
} Recut;

MUST_USE bool recut_make(const FileSet *kit, const RecutWish *wish, const atomic_bool *cancel, Arena *keep, Recut *out, Error *err);

#endif
