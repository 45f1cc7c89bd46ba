// strand.h - strands of a colour thinner than a pixel or two go through where a pixel alone would say that they break.
// Each edge pixel goes to the colour that has most of it. A strand whose width lies over two rows of pixels, or beside which a third
// colour shines in, may have most of none of them, though together they hold it.
// Method:  where two pixels of one label stand 1 to 3 pixels apart along a row or a column, in the same line or the next one, and nothing
//          near links them, the strand's width is measured across each pixel between: the shares of its label, summed as far as it
//          reaches. It goes through when that is half a pixel and more, and at least half of what it is at the gap's narrower end:
//          otherwise the gap is a slit, and the wider of the two. Where two pixels touch over a corner alone, the width is that
//          of a strand that runs anyhow: w = x y / sqrt(x x + y y) of its widths along a row and along a column, which holds for any
//          straight one; of two that cross there the one with more of the four pixels goes through.
//          A share counts only where the other colours nearby explain the pixel neither alone nor as a blend of two. Colours are
//          premultiplied, encoded sRGB, so that transparency is a colour like others.
//          A strand that leads to nothing thicker on one side stays as it is: closing gaps would make slivers of its crumbs.
// Errors:  ERROR_SYSTEM, ERROR_CANCELLED.
// Without antialiasing see hairline.h.
#ifndef PM_SEPARATION_STRAND_H
#define PM_SEPARATION_STRAND_H

#include "separation/palette.h"

typedef struct StrandView {
    const Picture *picture;
    const Palette *palette;
    const uint32_t *edge;   // pixels that may be blends, in raster order
    size_t edge_count;
    double tolerance_codes; // of a blend
} StrandView;

// Every pixel of `label` has one.
MUST_USE bool strands_join(const StrandView *view, Work *work, uint8_t *label, Error *err);

#endif
