// known.h - which two pieces of an undertaking can lie on one sheet, found out when it is first asked and kept.
// Purpose: most pieces of a kit share with few others. A set with two that cannot share needs no relaxing, and of two that can it is
//          known how they lie.
// Method:  pair.h at every fourth degree. A pair that would come out only between these turns, by less than a share of the sheet,
//          counts as one that can share: "no" is said only when it misses by more.
// Memory:  the undertaking's own arena.
#ifndef PM_NEST_KNOWN_H
#define PM_NEST_KNOWN_H

#include "nest/group.h"

#define KNOWN_MOST 400          // pieces of an undertaking: the table goes with their square

// *out: can both lie on one sheet? True for what is not looked at: pieces by the hundreds, and those too thin for discs.
// The looks are counted as moves of pieces.
MUST_USE bool known_can_share(Improve *im, int item, int other, Work *work, bool *out, Error *err);

// How they would lie, when known_can_share found a place. False when none is known.
bool known_poses(const Improve *im, int item, int other, Pose out[2]);

#endif
