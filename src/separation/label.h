// label.h - which colour an edge pixel belongs to.
// Method:  an edge pixel is a blend of colours that are pure close by, never simply the palette's nearest colour, which
//          would put slivers of a third colour between two. Shares are taken in encoded sRGB, in which drawing programs
//          blend. In this order: a blend of colours pure within the window; exactly a palette colour (thin lines); the
//          same with wider windows; a blend of one pure colour nearby with any palette colour; a colour that exists in
//          thin lines alone becomes a new palette colour; what is left grows from its neighbours.
// Errors:  ERROR_SYSTEM, ERROR_CANCELLED.
#ifndef PM_SEPARATION_LABEL_H
#define PM_SEPARATION_LABEL_H

#include "separation/palette.h"

typedef struct LabelStats {
    int64_t blend_px; // pixels whose colour is no palette colour; in noisy pictures, whose lightness is not their own colour's
    int thin_colours; // palette colours that were found in thin lines alone
    bool is_hard;     // of a clean picture: without antialiasing
    bool is_rough;    // of a clean picture: its edges are no blends of its colours, so that it is none; nothing was labelled
    bool is_shaded;   // too many pixels are neither flat nor blends of flat colours: nothing was labelled
} LabelStats;

// Gives every LABEL_UNDECIDED pixel a label, unless the picture turns out to be shaded. May add colours to the palette when the picture is not noisy.
MUST_USE bool label_edges(const Picture *picture, bool is_noisy, Palette *palette, Work *work, uint8_t *label,
                          LabelStats *stats, Error *err);

#endif
