// photo.h - flat colours for pictures that are not flat: photographs, gradients, noise.
// Method:  a small smoothing, k-means in OKLab from far-apart seeds on a sample, near twins joined, nearest colour
//          for each pixel, then majority votes: over a hundredth of the picture, which takes texture away, and over
//          3x3 neighbourhoods, which smooths the borders.
// Source:  k-means: S. P. Lloyd, "Least squares quantization in PCM", IEEE Trans. Information Theory 28(2) (1982).
//          Seeds: farthest-first, T. F. Gonzalez, "Clustering to minimize the maximum intercluster distance",
//          Theoretical Computer Science 38 (1985) 293-306, with lonely outliers left out.
// Shape:   OKLab in whole ten-thousandths and integer sums, so that no decision hangs on a last bit.
// Errors:  ERROR_SYSTEM, ERROR_CANCELLED.
#ifndef PM_SEPARATION_PHOTO_H
#define PM_SEPARATION_PHOTO_H

#include "separation/palette.h"

#define PHOTO_MOST_COLOURS 12

// Labels every pixel.
MUST_USE bool photo_quantise(const Picture *picture, Work *work, uint8_t *label, Palette *palette, Error *err);

#endif
