// size.h - sizes of sheets, boards and mats by name or as WxH.
// Source:  ISO 216:2007 (A and B sizes), ANSI/ASME Y14.1 (A to E: 8.5 x 11 ... 34 x 44 in). Craft sizes: common practice.
#ifndef PM_PAPER_SIZE_H
#define PM_PAPER_SIZE_H

#include "base/error.h"

#define SIZE_NAME_MAX 32

typedef struct SheetSize {
    char name[SIZE_NAME_MAX];       // "letter", "12x12in", "150x210mm": fit for file names
    double width_mm, height_mm;
} SheetSize;

// Reads an item of words.h without blanks; `what` names it in errors ("paper").
// Errors:  ERROR_USAGE for an unknown word (names some that work) and for a side over 20 m.
MUST_USE bool size_parse(const char *item, const char *what, SheetSize *out, Error *err);

bool size_unknown(const char *item, const char *what, Error *err); // sets that error

// "11x12in" where both sides are whole eighths of an inch, else "297x304.8mm".
void size_name(double width_mm, double height_mm, char out[SIZE_NAME_MAX]);

#endif
