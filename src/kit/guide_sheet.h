// guide_sheet.h - one sheet as a draft of its own, in sheet coordinates, and what of it the guide tells in words.
#ifndef PM_KIT_GUIDE_SHEET_H
#define PM_KIT_GUIDE_SHEET_H

#include "kit/draft.h"

typedef struct SheetDraft {
    Stack stack;            // as large as the sheet, without layers
    KitInput input;
    Draft draft;            // pieces in cutting order; their rings lie on the sheet, their paths are empty
} SheetDraft;

// The draft points into *out, which must not move.
MUST_USE bool sheet_draft(const Draft *draft, int sheet, Arena *keep, SheetDraft *out, Error *err);

// host[i] = the piece (index on the sheet) in a hole of which piece i lies, or -1.
MUST_USE bool sheet_hosts(const SheetDraft *sheet, Arena *keep, int **host, Error *err);

// By the rates of draft.h; all sheets together take totals.cutting_minutes.
double sheet_minutes(const Draft *draft, int sheet);

#endif
