// in_hand.h - the papers on the shelf as papers in hand: what `--have shelf` and the edit "match" with "shelf" stand for.
// Rule:    papers and offcuts with a colour, unless none are left of them; a colour that lies there in several sizes counts once.
//          Names are those of the shelf, as far as a colour's name may be one; where a name is missing, the plain word for the colour;
//          where two have one name, the second is its "b".
// Errors:  ERROR_JOB when the shelf has no paper, none with a colour, none left, or too many colours: each says what to do.
#ifndef PM_STORE_IN_HAND_H
#define PM_STORE_IN_HAND_H

#include "job/edit.h"
#include "store/shelf.h"

MUST_USE bool shelf_in_hand(const ShelfList *shelf, NamedColour out[EDIT_MOST_PAPERS], int *count, Error *err);

#endif
