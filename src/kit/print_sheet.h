// print_sheet.h - sheets as a PDF at true size, for scissors and a craft knife: one file for each paper, a page a sheet.
// Shape:   each page is as large as the paper. Cuts are thin black lines, placement lines dashed in the score colour, pen
//          lines in theirs; names as print_places.h says; two check squares where the waste has room for them, and where a
//          sheet has none, on a first page of their own. No fills, no corner marks, nothing else on a piece.
#ifndef PM_KIT_PRINT_SHEET_H
#define PM_KIT_PRINT_SHEET_H

#include "kit/draft.h"

#define PRINT_MOST_MM 5000.0 // of a side: a PDF page is at most 14 400 points (ISO 32000-1, annex C.2), and no printer is wider

// "sheets/NAME-48in-navy-print-letter.pdf"; false for paper that is too long to be a page, and where nobody wants any.
bool print_name(const KitInput *input, int paper, char out[240]);

// Only for paper that has a name.
MUST_USE bool print_paper(const Draft *draft, int paper, Arena *keep, Work *work, FileBytes *out, Error *err);

#endif
