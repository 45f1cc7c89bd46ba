// match_place.h - one match mark at one place of a seam: does it fit?
#ifndef PM_MARK_MATCH_PLACE_H
#define PM_MARK_MATCH_PLACE_H

#include "mark/match_name.h"
#include "mark/room.h"

#define MATCH_SIZES 3

// Turned: letters stand along or across the seam, side by side or one below the other.
typedef enum MatchTurn { MATCH_UPRIGHT, MATCH_TURNED } MatchTurn;

typedef struct MatchKind { // what is asked of a place
    double half_mm;        // of the tick, on each side
    int size;              // of the letters: index into `words`; -1 = the tick alone
    MatchTurn turn;
    bool over_lines;       // lines give way: to the letters, or to a tick that stands alone
} MatchKind;

typedef struct MatchSides { // what a seam lies between
    Room rooms[2];
    const Word *words;      // the seam's letters, MATCH_SIZES of them, the largest first
    Curve *curves;          // room for the strokes of any of them
} MatchSides;

typedef struct MatchPlace {
    Point p;    // on the seam: a point of both pieces' outlines, or between two by less than a micrometre
    Way across; // from the first side to the second
} MatchPlace;

typedef struct MatchFit {
    Point ends[2];                          // of the half ticks
    const Word *word;                       // NULL for a tick alone
    LetterPlace letters[2][MATCH_NAME_MAX]; // on each side
} MatchFit;

// Half ticks and letters lie on the faces of their pieces, hidden, and apart from lines and other marks (but for
// kind->over_lines). The rooms remember lack of memory.
bool match_fits(MatchSides *sides, const MatchKind *kind, const MatchPlace *place, MatchFit *out);

#endif
