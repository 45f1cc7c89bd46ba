// letters.h - the strokes of single-stroke letters, as data, and words that are placed letter by letter.
// Source:  A. V. Hershey, "Calligraphy for Computers", NWL Report 2101, 1967: Roman simplex.
// Units:   font units, y down: capital letters and digits reach from -12 (top) to 9 (baseline).
#ifndef PM_MARK_LETTERS_H
#define PM_MARK_LETTERS_H

#include "shape/area.h"

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

// A text as mark_text writes it, with what belongs to each letter (those without strokes have none).
typedef struct Word {
    Path path;
    int *first_part; // letter_count + 1 entries: parts of the path
    Box *boxes;      // one a letter
    int letter_count;
    Box box;
} Word;

MUST_USE bool word_make(const char *text, double height_mm, Arena *keep, Word *out, Error *err);

typedef struct Way { // a direction, one long
    double x, y;
} Way;

typedef struct LetterPlace { // where the middle of a letter's box comes to lie, in micrometres, and where its top points
    double x, y;
    Way up;
} LetterPlace;

typedef enum WordForm { WORD_ROW, WORD_STACK } WordForm; // letters side by side, or one below the other

// What a word takes up to the left and right, and above and below its middle, in micrometres.
void word_half_size(const Word *word, WordForm form, double *out_x_um, double *out_y_um);
// The letters' places when the whole word lies straight with its middle at (x, y); `out` has room for all letters.
void word_places(const Word *word, WordForm form, double x_um, double y_um, Way up, LetterPlace *out);
// The strokes of the word; `curves` has room for all.
void word_curves(const Word *word, const LetterPlace *places, Curve *curves);
// The corners of a letter's box, grown by margin_mm, in its place.
void word_corners(const Word *word, int letter, const LetterPlace *place, double margin_mm, Point out[4]);

#endif
