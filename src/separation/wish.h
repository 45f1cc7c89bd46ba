// wish.h - the maker's word on areas and colours: is ground, is paper, same as, left out; before specks are judged.
// Method:  on the graph of areas: an area changes its colour or its side and unites with its neighbours of the same.
//          What is left out is shared out pixel by pixel (spread.h), and the areas are found anew. All of it is replayed
//          by turn, and each wish sees what the earlier ones left.
// Rules:   a wish that holds already is kept silently. One that would leave nothing to cut is not kept.
// Errors:  ERROR_SYSTEM, ERROR_CANCELLED. Wishes themselves never fail: see WishNotes.
#ifndef PM_SEPARATION_WISH_H
#define PM_SEPARATION_WISH_H

#include "separation/palette.h"
#include "separation/runs.h"

#define WISH_SAME_DE00 3.0 // a wish's colour means the nearest one of the picture within this

// What could not be done, as findings in pixels.
typedef struct WishNotes {
    Findings *findings;
    Arena *keep;
    double middle_px[2]; // the place of a note on a colour
} WishNotes;

typedef struct WishTable {
    uint8_t *label;       // working labels: in, the ground has its own paint; out, LABEL_CLEAR
    Runs runs;            // in, with the ground marked; out, made anew
    Palette *palette;     // white may be added at its end
    uint8_t ground_paint; // of the ground's areas that are told by colour; LABEL_UNDECIDED when there is none
    double box_px[4];     // what places refer to
    bool is_gone[256];    // out: labels that the maker wished away
} WishTable;

bool wishes_any(const SeparationWishes *wishes); // but for tiny parts

MUST_USE bool wish_apply(const SeparationWishes *wishes, const WishNotes *notes, Work *work, WishTable *table,
                         Error *err);

// The pixel of a place; false when it lies outside the picture.
bool wish_pixel(const double box_px[4], const Runs *runs, double x, double y, int32_t *out_x, int32_t *out_y);

#define WISH_WORDS_MAX 96
// "31 %, 48 %"
void wish_place_words(double x, double y, char out[WISH_WORDS_MAX]);

// A finding "WORDS: what" of this kind. x and y are in pixels, taken into the box of the picture.
#define WISH_WITHOUT_TARGET "edit-without-target"
#define WISH_NOT_KEPT "edit-not-kept"
MUST_USE bool wish_note(const WishNotes *notes, const char *kind, const char *words, const char *what, double x_px,
                        double y_px, Error *err);

#endif
