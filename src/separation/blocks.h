// blocks.h - what the means of a JPEG's blocks say of each colour.
// Plain:   where one colour fills blocks, their mean is its own, rounded: of whole numbers (guess.h) few come back as that one.
// Shared:  the mean of a block that colours share is theirs, by their shares. Of two colours lightness tells the shares to a part
//          in a thousand, and so the colour differences; of more, or of two as light, labels tell them roughly. All colours of the
//          picture by least squares, each equation by how sure it is. Nothing is cut off in means and nothing smeared, so many of
//          them leave no bias. Where a colour's blocks are all rounded towards one side, as beside another grey, the whole numbers
//          that explain each of them bound it.
// Units:   lightness and colour differences about 0, codes; lightness less 128.
// Source:  picture.h, BlockMeans. Thresholds: common practice, no source.
// Errors:  ERROR_SYSTEM (memory), ERROR_CANCELLED.
#ifndef PM_SEPARATION_BLOCKS_H
#define PM_SEPARATION_BLOCKS_H

#include "separation/palette.h"

#define BLOCKS_DEPTH_UNITS 3 // a pixel of the distance map

typedef struct BlockView {
    const Picture *picture;
    const uint8_t *label;
    const uint8_t *depth;                // to the nearest pixel of another label, in thirds of a pixel
    int count;                           // colours
    double (*start)[3];                  // their red, green and blue as pixels show them
} BlockView;

typedef struct BlockTold {
    bool is_plain[3], is_bounded[3];     // by plain blocks, by shared ones
    int least[3], most[3];               // whole numbers that those allow
    double value[3], variance[3];        // within those
} BlockTold;

// Is there anything that pixels do not show as well? Not where nothing was rounded, nor where resolution was reduced oddly.
bool blocks_can_tell(const Picture *picture);

MUST_USE bool blocks_tell(const BlockView *view, Work *work, BlockTold told[SEPARATION_MAX_COLOURS], Error *err);

#endif
