// band.h - thin even bands between two other colours, in compressed pictures.
// A band 2 or 3 px wide has no even patch of 3 x 3 pixels, and where its colour lies between its neighbours' it looks like their blend.
// But a blend is one pixel wide: across it lightness climbs all the way within 2 px. In the middle of a band it stays, and is the
// band's own.
// Source:  lightness and colour differences as in ITU-R BT.601.
// Errors:  ERROR_SYSTEM (memory), ERROR_CANCELLED.
#ifndef PM_SEPARATION_BAND_H
#define PM_SEPARATION_BAND_H

#include "separation/palette.h"

// Labels pixels in the middle of bands of the palette's colours, among the undecided ones of `label`.
MUST_USE bool bands_find(const Picture *picture, const Palette *palette, Work *work, uint8_t *label, Error *err);

#endif
