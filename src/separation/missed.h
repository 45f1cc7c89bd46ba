// missed.h - small areas of a compressed picture that no label explains.
// Compression makes the inside of a small area so uneven that it looks like no flat colour, and what lies between flat colours is
// taken for their blend. But where whole patches of pixels are far from their label's colour, and one other colour alone lies round
// them, of which there is no blend, something was drawn. It gets its colour, the palette's where that has it, and all pixels round it
// that are nearer to it.
// Tried and left: several colours round it, when the area's is no blend of two of them. Corners of three colours look like areas.
// Thresholds: from what compression at qualities 60 to 90 leaves of edges.
// Errors:  ERROR_SYSTEM (memory), ERROR_CANCELLED.
#ifndef PM_SEPARATION_MISSED_H
#define PM_SEPARATION_MISSED_H

#include "separation/palette.h"

// `label` is whole; may add colours to the palette.
MUST_USE bool missed_areas(const Picture *picture, Work *work, Palette *palette, uint8_t *label, Error *err);

#endif
