// match.h - match marks: ticks across the seams of a layer, with a letter on both sides, that say which edges meet.
// A tick runs straight across its seam, half on each piece, so that the halves line up when the pieces are joined; each
// begins half a line's width off the cut, so that no line is drawn beyond the piece; the letters of both sides have the same size and turn, and stand upright in the finished picture
// where there is room. All of it ends up hidden, and at least ROOM_APART_MM from lines and other marks.
// Source:  common practice of joining sheets by marks across the joint; no source.
#ifndef PM_MARK_MATCH_H
#define PM_MARK_MATCH_H

#include "mark/bounds.h"
#include "mark/clip.h"
#include "mark/room.h"

#define MATCH_OFF_MM 0.1   // of a half tick from its seam: half the width that lines are drawn with in sheets
#define MATCH_LONG_MM 80.0 // a longer edge with one tick can still be turned about it

typedef struct MatchMark {
    int seam;       // index into the layer's seams
    Path sides[2];  // on seam.pieces[0] and [1]: the half tick from the seam on, then the letters' strokes
} MatchMark;

typedef struct MatchMarks {
    MatchMark *items;       // by seam; two on a long one
    size_t count, capacity;
    int unmarked_count;     // seams with no covered place large enough
    Gaps gaps;              // where lines give way
} MatchMarks;

// `letters` has one a seam; `taken`, one a piece, what is written there already: marks are added to it. One mark a
// seam with room, two on seams longer than MATCH_LONG_MM, near the ends of what is covered. Where the place is narrow,
// letters are smaller, turned, one below the other, then lines give way to them; at last the tick stands alone.
MUST_USE bool match_find(const LayerPieces *pieces, const char *const *letters, const Bounds *bounds,
                         LineIndex *lines, Taken *taken, const MarkOptions *options, Arena *keep,
                         Work *work, MatchMarks *out, Error *err);

#endif
