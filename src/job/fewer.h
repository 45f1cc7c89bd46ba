// fewer.h - pieces against seam in sight: the one parameter of how layers are divided, in the maker's words.
// What it does: a layer is divided as usual and once more, with a piece counting for 8 inches of seam in sight (fewer
// pieces) or for 1 inch (fewer seams) instead of 4. The second division is taken when it is the better one by that
// count and keeps the word: no more pieces, or no more seam in sight. So asking for it never makes worse what was asked for.
#ifndef PM_JOB_FEWER_H
#define PM_JOB_FEWER_H

#include "seam/seam.h"

typedef enum Fewer { FEWER_NEITHER, FEWER_PIECES, FEWER_SEAMS } Fewer;

// "neither", "pieces", "seams"
const char *fewer_word(Fewer fewer);
bool fewer_find(const char *word, Fewer *out);

double fewer_piece_weight(Fewer fewer, double usual);   // see SeamOptions

// Whether the division that was asked for takes the place of the usual one; `options` are the usual one's.
bool fewer_takes(Fewer fewer, const LayerPieces *asked, const LayerPieces *usual, const SeamOptions *options);

double fewer_visible_mm(const LayerPieces *pieces);     // of all seams of a layer

#endif
