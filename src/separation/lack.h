// lack.h - which colour the cells of a picture lack, and beside which edge (tint.h).
// Method:  of each cell and each edge in it all colours are tried. One is taken when it explains what that cell and those beside it
//          lack along such an edge, and no other does nearly as well. Colours that are near count for more, since a fill peeks out
//          beside its own outline; so does the one behind everything, which shows between shapes drawn side by side: it explains
//          what would otherwise be taken for a strip.
//          Not where plain cells are not of their label's colour, nor where cells have now too little, now too much of one.
// Source:  thresholds: common practice, no source.
// Errors:  ERROR_SYSTEM (memory), ERROR_CANCELLED.
#ifndef PM_SEPARATION_LACK_H
#define PM_SEPARATION_LACK_H

#include "separation/tint.h"

#define LACK_BESIDE_PX 32 // cells so near tell of the same strip

typedef struct Lack {
    int32_t cell;
    Trio trio;
    uint8_t was; // the label that the strip has so far, when it is another colour's; or 0
} Lack;

typedef struct Lacks { Lack *items; size_t count; } Lacks; // in the order of cells

// The list belongs to the work's scratch memory.
MUST_USE bool lacks_find(const TintCells *cells, int colour_count, Work *work, Lacks *out, Error *err);

#endif
