// check_sheet.h - the parts of check_sheets: one sheet of the kit with the pieces that kit.json puts on it.
#ifndef PM_PROOF_CHECK_SHEET_H
#define PM_PROOF_CHECK_SHEET_H

#include "proof/check.h"

typedef struct SheetView {
    Check *check;
    const ReadSheet *sheet;
    const ReadPaper *paper;
    const int *pieces; // indices of the pieces on it
    int piece_count;
    unsigned char *inside; // by piece of the kit, all 0: for scan lines
} SheetView;

// The drawing's paths are the corner marks, outlines, marks and notes of this sheet, each once, and nothing else.
MUST_USE bool check_drawing(const SheetView *view, const ReadDrawing *drawing, Error *err);

// Pieces lie in the usable box, clear of its corner marks, apart from one another; notes lie in the waste.
MUST_USE bool check_places(const SheetView *view, Error *err);

#endif
