// notes.h - the ids of pieces without a label, written in the waste beside them.
// Shape:   letters of 6 mm, inside the usable box, at least 1 mm clear of all pieces, corner marks and other notes, and nearer to
//          its own piece than to any other. A piece without such a place gets no note.
#ifndef PM_KIT_NOTES_H
#define PM_KIT_NOTES_H

#include "kit/draft.h"

// Adds the notes of one sheet, and touches nothing but that sheet.
MUST_USE bool notes_add(Draft *draft, int sheet, Arena *keep, Work *work, Error *err);

#endif
