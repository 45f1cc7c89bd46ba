// print_places.h - where the names of pieces and the check squares stand on a sheet that is printed.
// Names:   in the middle of a piece's label, which ends up covered; else in the waste, at the sheet's note or as near to the
//          piece as there is room, with a line to it that crosses no other piece; where nothing of that is possible,
//          small in the piece itself.
// Squares: one of 50 mm with one of 1 in in it, where the waste has room for both, never on a piece or a name.
// Units:   sheet millimetres; sizes of letters as in SVG's font-size.
// Method:  the usable box as cells of 1 mm that know what lies in them, summed for free boxes (F. C. Crow, "Summed-area
//          tables for texture mapping", SIGGRAPH 1984) and walked for distances (G. Borgefors, "Distance transformations
//          in digital images", CVGIP 34 (1986): steps 5 and 7).
#ifndef PM_KIT_PRINT_PLACES_H
#define PM_KIT_PRINT_PLACES_H

#include "kit/draft.h"

#define PRINT_SQUARE_MM 50.0
#define PRINT_INCH_INSET_MM 4.0 // of the small square's corner in the large one
#define PRINT_LETTER_WIDE 0.8   // of a letter or digit, in sizes: bold letters are a little narrower
#define PRINT_LETTER_HIGH 0.73  // of capitals and digits, in sizes

typedef enum PrintNameKind { PRINT_NAME_COVERED, PRINT_NAME_BESIDE, PRINT_NAME_INSIDE } PrintNameKind;

typedef struct PrintName {
    PrintNameKind kind;
    double x_mm, y_mm, size_mm; // its middle
    bool upright;               // reads upwards
    bool has_leader;
    double from_mm[2], to_mm[2]; // of the leader: from the name to the piece's edge
} PrintName;

typedef struct PrintPlaces {
    PrintName *names; // of the sheet's pieces
    bool has_squares;
    double squares_mm[2]; // top left corner of the large one
} PrintPlaces;

MUST_USE bool print_places_find(const Draft *draft, int sheet, Arena *keep, Work *work, PrintPlaces *out, Error *err);

#endif
