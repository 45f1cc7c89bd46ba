// faint.h - colours of small parts in compressed pictures, which have no calm area.
// Compression keeps lightness sharp and smears colour over a block of 16 pixels. So a small part shows itself by a patch of
// even lightness that no colour nearby has; its own colour is what its pixels are farthest away in. The halo that a strong
// colour casts on its neighbour has the neighbour's lightness, when both are within such a block, and a blend along an edge
// is nowhere even: neither counts.
// Source:  lightness and colour difference as in ITU-R BT.601; halved colour resolution: ITU-T T.81.
// Errors:  ERROR_SYSTEM (memory), ERROR_CANCELLED.
#ifndef PM_SEPARATION_FAINT_H
#define PM_SEPARATION_FAINT_H

#include "separation/palette.h"

// Adds colours to the palette and labels what is surely theirs, among the undecided pixels of `label`.
MUST_USE bool faint_colours(const Picture *picture, Work *work, Palette *palette, uint8_t *label, Error *err);

#endif
