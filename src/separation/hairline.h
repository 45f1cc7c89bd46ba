// hairline.h - lines one pixel wide hang together where they step over a corner.
// Regions are 4-connected, so a slanted line of single pixels would fall into many short ones, each too small to cut. Where two pixels of
// one label touch over a corner, neither has a two by two block of its label, and one of the two pixels between them has one of
// another, that one joins the line: the one whose colour is nearer to the line's; then the one that touches less of the line.
// What crosses another hairline, and patterns of single pixels, stay as they are.
// Errors:  ERROR_CANCELLED.
#ifndef PM_SEPARATION_HAIRLINE_H
#define PM_SEPARATION_HAIRLINE_H

#include "separation/palette.h"

// For pictures without antialiasing, each pixel of which has a label. With it a pixel less covered than half would join.
MUST_USE bool hairlines_join(const Picture *picture, const Palette *palette, Work *work, uint8_t *label, Error *err);

#endif
