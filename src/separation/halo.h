// halo.h - what nobody drew: what compression leaves along edges (slivers one pixel thin, and scraps), and fills that peek out.
// Slivers: thinner than 1.5 px on average, a tiny share of their colour's area, and no neighbour takes most of their border. So a
//          thin line on a plain field is none, nor are lines of a colour that has no larger areas. Thresholds from pictures
//          saved at quality 60 and 75: slivers had 0.9 to 1.4 px, true thin parts 1.9 px and more. A strip that a file's blocks tell
//          of (fringe.h) is none, however thin. Up to 2.4 px when their colour is what the edge between their sides shows near
//          one of them.
// Scraps:  small areas of a colour that has large ones, whose pixels come no nearer to it than half-way from the neighbour's
//          colour, or from one beside it that is much like it, as an edge's ringing does. A true part reaches its colour
//          somewhere, as lightness stays sharp.
// Errors:  ERROR_SYSTEM, ERROR_CANCELLED.
#ifndef PM_SEPARATION_HALO_H
#define PM_SEPARATION_HALO_H

#include "separation/palette.h"
#include "separation/runs.h"

// Gives PART_HALO to slivers and scraps of a noisy picture, and PART_SCRAP to scraps: they join a neighbour, however long they are. ground_paint: the
// palette's label of the ground's colour, LABEL_UNDECIDED when it is transparent.
MUST_USE bool halos_find(const Picture *picture, const Palette *palette, uint8_t ground_paint, Runs *runs, Work *work,
                         Error *err);

typedef struct PeekLimits {
    double width_px;    // on average; what is narrower cannot be cut
    double scrap_px;    // longest side of a part that may be all that there is of its colour
} PeekLimits;

// The same mark for narrow strips between the ground and an outline: a fill that shows beside the outline which was to end it, of a
// colour that has large areas; or of one that is nothing but short scraps of that kind, a fill's blend with the outline.
MUST_USE bool peeks_find(const PeekLimits *limits, Runs *runs, Work *work, Error *err);

#endif
