// kit_read.h - a proven kit's kit.json -> the rooms' own values, as far as its sheets were written from them.
// Shape:   layers, pieces, seams and marks in the order of the file, with the very paths that were written. Areas have
//          their rings in that order too and are not normalised; there is no cover and nothing is fitted. Papers have
//          their pieces, but neither places nor sheets.
// Errors:  ERROR_INPUT for what a proof would have found. Call it on kits that passed one.
#ifndef PM_JOB_KIT_READ_H
#define PM_JOB_KIT_READ_H

#include "kit/kit.h"

#include <jansson.h>

typedef struct KitRead {
    json_t *json;           // what texts live in; freed by kit_read_free
    const char *name;
    Stack stack;            // sizes, colours (one a layer), areas
    LayerPieces *pieces;    // one a layer
    LayerMarks *marks;      // one a layer
    KitPaper *papers;
    int paper_count;
    Cutter cutter;
    bool has_cutter;
    KitOptions options;     // how its files are written
} KitRead;

MUST_USE bool kit_read(const FileSet *kit, Arena *keep, KitRead *out, Error *err);
void kit_read_free(KitRead *kit);

#endif
