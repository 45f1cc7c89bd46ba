// letters.h - the strokes of single-stroke letters, as data.
// Source:  A. V. Hershey, "Calligraphy for Computers", NWL Report 2101, 1967: Roman simplex.
// Units:   font units, y down: capital letters and digits reach from -12 (top) to 9 (baseline).
#ifndef PM_MARK_LETTERS_H
#define PM_MARK_LETTERS_H

#include <stdint.h>

#define LETTERS_FIRST 32 // the blank; then ASCII in order
#define LETTERS_COUNT 95
#define LETTERS_LIFT (-128) // as x: the pen is lifted
#define LETTERS_TOP (-12)
#define LETTERS_BASE 9

typedef struct LettersGlyph {
    int16_t first, count; // pairs in letters_points
    int8_t left, right;   // what the letter takes on its line
} LettersGlyph;

extern const int8_t letters_points[];
extern const LettersGlyph letters_glyphs[LETTERS_COUNT];

#endif
