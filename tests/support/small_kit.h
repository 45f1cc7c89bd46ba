// small_kit.h - a kit made by hand: a base of 200 x 300 mm in two pieces with one seam, a ring of another colour on it.
#ifndef PM_TESTS_SMALL_KIT_H
#define PM_TESTS_SMALL_KIT_H

#include "kit/kit.h"

typedef struct SmallKit {
    Stack stack;
    Layer layers[2];
    SeparationColour colours[2];
    LayerPieces pieces[2];
    Piece a[2], b[1];
    Seam seam;
    Link seam_link;
    LayerMarks marks[2];
    Mark a_marks[5];
    const char *a_letters[1];
    KitPaper papers[2];
    int paper_layers[2][2], paper_pieces[2][2];
    NestPlace places[2][2];
    KitInput input;
} SmallKit;

// Fills the kit in place (it points into itself). False when memory ran out.
bool small_kit_make(SmallKit *kit, Arena *keep);

#endif
