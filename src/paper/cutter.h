// cutter.h - the maker's cutter: how large a sheet it takes, what is lost at the sheet's edges, its tools.
// Shape:   a blade is always there. A mat of 0 x 0 is a roll cutter: it takes sheets up to its width, of any length.
// Source:  a quarter inch lost at each edge when nothing is said: common practice, no source.
#ifndef PM_PAPER_CUTTER_H
#define PM_PAPER_CUTTER_H

#include "paper/paper.h"

typedef struct Cutter {
    char name[40];              // "12x24in", "roll of 12in": the mat, for texts
    bool is_roll;
    double mat_mm[2];           // width, height; of a roll width and 0
    double loss_mm[4];          // left, top, right, bottom of a sheet that lies upright on the mat
    bool score, pen;            // tools besides the blade
} Cutter;

// A mat or a roll, then tools and loss in any order, separated by commas: "12x24, score, pen", "roll 12in, pen, loss 6mm",
// "a3, loss 5mm 5mm 10mm 20mm" (left, top, right, bottom; 0 is allowed), "12x12" (the blade alone).
// Errors:  ERROR_USAGE for what is not known, comes twice or is out of range.
MUST_USE bool cutter_parse(const char *word, Cutter *out, Error *err);

// Sets what the cutter leaves of the paper. A sheet that lies on the mat only when turned by a quarter loses at each edge
// what either way of turning it would lose there.
// Errors:  ERROR_JOB when the paper does not lie on the mat in either way, or nothing is left of it; names what would.
MUST_USE bool cutter_take_paper(const Cutter *cutter, Paper *paper, Error *err);

#endif
