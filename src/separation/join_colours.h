// join_colours.h - no more colours than the maker asked for.
// Method:  two colours at a time become one, the larger one's: those whose joining changes the picture least, by squared
//          colour difference times a b / (a + b) of their areas.
// Source:  J. H. Ward, "Hierarchical grouping to optimize an objective function", Journal of the American Statistical
//          Association 58 (1963) 236-244; colour difference: CIEDE2000.
// Errors:  none.
#ifndef PM_SEPARATION_JOIN_COLOURS_H
#define PM_SEPARATION_JOIN_COLOURS_H

#include "separation/palette.h"

// area_px[i] of palette colour i, 0 = not used. into[i] becomes the colour that colour i counts as (i itself when it
// stays). Returns how many colours are left: `most`, or as many as there are.
int join_colours(const Palette *palette, const int64_t area_px[SEPARATION_MAX_COLOURS], int most,
                  uint8_t into[SEPARATION_MAX_COLOURS]);

#endif
