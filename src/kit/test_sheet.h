// test_sheet.h - sheets/00-test-*.svg: what is cut first. It proves the cutter and its software, which the proof cannot.
// Shape:   one for each paper size: a square with two windows and a narrow bridge between them, a disc as large as the
//          smallest loose part, and a line of each tool of this kit just inside the square's edge. Page, corner marks and
//          drawn box are those of the paper's other sheets, so that it is imported the same way: where these have a file for
//          each line kind, so has the test sheet.
#ifndef PM_KIT_TEST_SHEET_H
#define PM_KIT_TEST_SHEET_H

#include "kit/draft.h"

#define TEST_SHEET_INSET_MM 1.5     // of the lines from the square's edge: as placement lines
#define TEST_SHEET_BRIDGE_MM 2.0
#define TEST_SHEET_DISC_MM 8.0      // across

typedef struct TestSheet {
    int paper;              // the first of the kit's papers that has this size
    bool one_line;          // where the sheets have a file for each line kind: this is the one of `line`
    MarkLine line;
    char file[112];         // "sheets/00-test-letter-8x10.5in.svg"
    double box_mm[4];
    double side_mm;         // of the square: 2 in; 1 in on small paper
    double square_mm[2];    // its top left corner
    double disc_mm[2];      // the disc's middle
} TestSheet;

// "top and left": the sides of the square inside which the kit's lines run; NULL where the kit has no lines.
const char *test_sheet_sides(const Draft *draft);

// A paper that has no room for a square of 1 in gets none.
MUST_USE bool test_sheets_make(const Draft *draft, Arena *keep, TestSheet **out, int *out_count, Error *err);
MUST_USE bool test_sheet_svg(const Draft *draft, const TestSheet *sheet, Arena *keep, FileBytes *out, Error *err);

#endif
