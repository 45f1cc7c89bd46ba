// kit.h - the door: everything decided -> the bytes of the kit's files (no proof.txt; `proof` makes that).
// Shape:   design of the kit on disk: docs/kit-format.md. Names are relative to the kit's folder.
#ifndef PM_KIT_KIT_H
#define PM_KIT_KIT_H

#include "base/files.h"
#include "mark/mark.h"
#include "nest/nest.h"
#include "seam/seam.h"

#define KIT_VERSION 1

// One kind of paper in one colour, with the pieces that lie on its sheets.
typedef struct KitPaper {
    char id[80];            // "letter-navy"
    char colour_name[32];   // "navy", as in sheet ids "navy-1" and file names; two papers of one colour are told apart there by their size
    Paper paper;
    Srgb8 colour;
    double gap_mm;
    int *layers;            // of each piece below
    int *pieces;            // index into that layer's pieces
    int piece_count;
    NestResult nest;        // places[i] belongs to pieces[i]
} KitPaper;

typedef struct KitInput {
    const char *name;       // safe for file names
    const Stack *stack;
    const LayerPieces *layer_pieces;    // layer_count entries
    const LayerMarks *layer_marks;      // layer_count entries
    const KitPaper *papers;
    int paper_count;
} KitInput;

MUST_USE bool kit_make(const KitInput *input, Arena *keep, Work *work, FileSet *out, Error *err);

#endif
