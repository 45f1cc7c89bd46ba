// label.h - the place where a piece's name can be written unseen.
#ifndef PM_MARK_LABEL_H
#define PM_MARK_LABEL_H

#include "mark/mark.h"
#include "mark/room.h"

#define LABEL_SIZES 3         // of letters: as asked, between, the least
#define LABEL_LETTERS_MAX 16
#define LABEL_APART_MM 1.0    // between letters and lines that give way

typedef struct LabelPlace { // where a name may go
    const Rings *face, *safe;   // the piece; what higher layers hide, less the margin
    const Stroke *lines;        // of this piece: kept clear of if possible, else they give way
    int line_count;
    Room room;                  // the same once more, for narrow places
} LabelPlace;

typedef struct Label {
    bool found;
    Path path;
    bool across;                    // lines give way:
    Gap letters[LABEL_LETTERS_MAX]; // in these boxes (their `piece` is not set)
    int letter_count;
} Label;

// Looks for a place for `text` whose box, 1 mm wider all round, lies in the face and in `safe`: first clear of the
// lines, then across them; first large and level, then smaller or turned by a quarter; each time the roomiest place, in
// the middle of places equally roomy. Where that finds nothing, a narrow place along which the letters can go
// (label_strip.h).
MUST_USE bool label_find(const char *text, const LabelPlace *place, const MarkOptions *options, Arena *keep, Work *work,
                         Label *out, Error *err);

// The label that these letters make up.
MUST_USE bool label_set(const Word *word, const LetterPlace *letters, bool across, Arena *keep, Label *out, Error *err);

#endif
