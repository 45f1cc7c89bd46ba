// tiny.h - the specks join their neighbours, but for those of which the maker said otherwise: keep, enlarge, pen.
// Method:  a wish means the speck that joined at or nearest to its place. As a part that is kept changes what else
// joins, specks
//          are judged anew after each round of wishes that found one; as many rounds as there are wishes at most.
// Errors:  ERROR_SYSTEM, ERROR_CANCELLED. A wish itself never fails: see WishNotes.
#ifndef PM_SEPARATION_TINY_H
#define PM_SEPARATION_TINY_H

#include "separation/despeckle.h"
#include "separation/drawn.h"
#include "separation/wish.h"

typedef struct TinyTable {
    const SeparationWishes *wishes;
    const Palette *palette;
    const SpeckLimits *limits;
    double wish_box_px[4]; // what places refer to
    double box_px[4];      // no part grows beyond it
    Srgb8 ground_colour;   // of a hole that is drawn
    uint8_t *label;        // scratch: working labels
    Runs runs;             // in: all regions; out: after all joins
    Specks specks;         // out
    PenDetails drawn;      // out, in the notes' arena
} TinyTable;

MUST_USE bool tiny_clean_up(TinyTable *table, const WishNotes *notes, Work *work, Error *err);

#endif
