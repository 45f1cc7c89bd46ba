// demix.h - the colours of a compressed picture, freed from what compression did to them.
// Compression gives each block of pixels rounded means. Where one colour fills a block the rounding is the same everywhere, so
// the largest plain area is off by up to a code and a half, which shows in dark colours. In blocks that the colour shares
// with others the rounding falls now up, now down: the mean over many of those is nearer. Pixels at an edge are no witnesses,
// since halved colour resolution smears over 2 px. A colour of small parts alone is read from its innermost pixels and, the
// less these agree, its colour differences also from what the means of its blocks leave when all other colours' shares are taken
// away. What was measured so is weighed by how far plain areas and blocks are apart in this picture (rounding.h), and the colour
// that most likely gave it is taken (guess.h); not where a plain area has a colour that compression never gives.
// A JPEG file tells more than its pixels: the means of its blocks themselves, and their rounding (blocks.h). Where the picture has
// them they decide, and nothing of the above is needed but which pixels are innermost.
// Tried and left: all colours at once by least squares from the means of shared blocks. Near black, white and full channels values
// are cut off, which takes those means off by more than the rounding.
// Source:  blocks of 8 pixels, 16 with halved colour resolution: ITU-T T.81; distances: G. Borgefors, "Distance
//          transformations in digital images", Computer Vision, Graphics, and Image Processing 34 (1986) 344-371 (steps 3 and 4).
// Errors:  ERROR_SYSTEM (memory), ERROR_CANCELLED.
#ifndef PM_SEPARATION_DEMIX_H
#define PM_SEPARATION_DEMIX_H

#include "separation/palette.h"

// Moves the palette's colours; `label` is whole. A colour without pixels stays as it is.
MUST_USE bool demix_colours(const Picture *picture, const uint8_t *label, Work *work, Palette *palette, Error *err);

#endif
