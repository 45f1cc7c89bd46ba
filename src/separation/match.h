// match.h - which paper in hand each colour of the picture is cut from.
// Rule:    the nearest by dE00. But two colours of the picture that would land on one paper stay apart when one of them finds
//          an unused paper that is not much farther: a maker would rather see the wrong blue than no edge. Where several could
//          move, the one that loses least does.
// Source:  colour differences: G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference formula", Color Research and
//          Application 30 (2005) 21-30. How much farther is not much: our own choice.
// Errors:  none.
#ifndef PM_SEPARATION_MATCH_H
#define PM_SEPARATION_MATCH_H

#include "separation/palette.h"

#define MATCH_FAR_DE00 20.0 // from here on a maker would call it another colour

// Index of the paper for each palette colour with an area; -1 for the others, and for all when there is no paper.
void match_colours(const Palette *palette, const int64_t area_px[SEPARATION_MAX_COLOURS], const NamedColour *papers, int paper_count,
                   int8_t paper_of[SEPARATION_MAX_COLOURS]);

#endif
