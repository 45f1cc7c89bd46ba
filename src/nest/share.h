// share.h - which pieces share a sheet: one piece at a time goes to a fuller sheet, or changes place with a smaller one there; one that
// lies alone also takes the place of one that finds a third sheet.
// Purpose: pieces of a kit are large, few of them share, and one sheet asked by itself is answered far sooner than many at once.
// Method:  a step is taken when it raises the sum of the sheets' squared areas: sheets get fuller and emptier until one is empty.
//          Two that cannot share (known.h) are not asked for. "Do these fit on one sheet?" is asked by relaxing them from how they
//          lie; sets that did not come out are remembered with the moves that were spent, and asked again with twice as many when
//          nothing else is left.
// Source:  moves of pieces between sheets, each answered by minimising overlap, with a budget that doubles: Zhang et al., iteratively
//          doubling local search for irregular bin packing (2022; read in part); sum of squares: Lopez-Camacho et al. 2013 (from memory).
#ifndef PM_NEST_SHARE_H
#define PM_NEST_SHARE_H

#include "nest/group.h"

// Steps until im->moves_left is not over moves_kept, or no step is left to try.
MUST_USE bool share_sheets(Improve *im, int64_t moves_kept, Work *work, Error *err);

#endif
