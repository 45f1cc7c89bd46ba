// fringe.h - strips of a colour 1 to 2 px wide between two others, as where a fill falls over its outline; of JPEG files alone.
// No pixel shows such a strip's colour, but the means of its blocks hold it (tint.h). Where several cells in a row lack the same
// colour beside the same edge, and no other explains them, there is a strip; as wide as they tell (rim.h). Lightness, which compression
// keeps sharp, tells where: smoothed a little it has one value along each of the strip's two sides.
// Not told: strips whose colour is a blend of those beside them, greys between black and white first of all; and edges with hardly
// any difference in lightness.
// Errors:  ERROR_SYSTEM (memory), ERROR_CANCELLED.
#ifndef PM_SEPARATION_FRINGE_H
#define PM_SEPARATION_FRINGE_H

#include "separation/palette.h"
#include "separation/runs.h"

typedef struct FringePixel { uint32_t at; uint8_t label; } FringePixel;
typedef struct Fringes { FringePixel *pixels; size_t count; } Fringes; // what was given to strips; a later one may have taken some of it

// Writes strips into `label`, which is whole. The list belongs to `keep`.
MUST_USE bool fringes_find(const Picture *picture, const Palette *palette, Arena *keep, Work *work, uint8_t *label, Fringes *out, Error *err);

// Parts that hold some of these pixels, with their label, get PART_TOLD.
void fringes_mark(const Fringes *fringes, Runs *runs);

#endif
