// plateau.h - thin areas of one value, which a blend of their neighbours may look like: a grey band two pixels wide on white.
// Evidence: an edge's blend changes across the edge, so that of any two by two pixels in it no three have one value; a band is as even
//          across as it is along, and drops at its sides. So: touching pixels of exactly one value, at least PLATEAU_LEAST_PX of
//          them, with three in one corner at least twice, most of whose border is steep (in soft shading none is).
//          A band that is one pixel wide along a row, a column or a diagonal shows nothing of this and stays a blend.
// Shape:   the label map in the making (palette.h) of a clean picture, after its flat cores. A picture that was enlarged to twice its size
//          pixel by pixel has such pixels wherever it has blends: it is left alone.
// Units:   pixels.
// Errors:  ERROR_SYSTEM, ERROR_CANCELLED.
#ifndef PM_SEPARATION_PLATEAU_H
#define PM_SEPARATION_PLATEAU_H

#include "separation/palette.h"

#define PLATEAU_LEAST_PX 6

// Labels the undecided pixels of plateaus that have a palette colour; adds colours that have large enough plateaus.
MUST_USE bool plateaus_find(const Picture *picture, Work *work, Palette *palette, uint8_t *label, Error *err);

#endif
