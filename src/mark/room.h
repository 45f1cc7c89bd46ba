// room.h - where on one piece something may be written: on its face, hidden in the end, apart from what is there already.
// Units:   whole micrometres; places between as doubles, in micrometres too.
// Errors:  a Room remembers that memory ran out (`failed`); the caller looks at it once, after many questions.
#ifndef PM_MARK_ROOM_H
#define PM_MARK_ROOM_H

#include "mark/clip.h"
#include "mark/letters.h"

#define ROOM_APART_MM 1.5 // between a stroke and another mark: nearer, and a hand-held eye takes them for one

typedef struct Taken { // strokes that are there already
    CoverEdge *edges;
    size_t count, capacity;
} Taken;

typedef struct LineIndex { // of the lines on each piece, made when somebody first asks for it
    const Strokes *lines;
    Cover **known;
    Arena *arena;
} LineIndex;

MUST_USE bool line_index_make(const Strokes *lines, int piece_count, Arena *keep, LineIndex *out, Error *err);
MUST_USE bool line_index_of(LineIndex *index, int piece, const Cover **out, Error *err);

typedef struct Room {
    const Cover *face;  // less its rim
    const Cover *safe;  // what is hidden, less the margin
    const Cover *lines; // an index of placement lines
    bool over_lines;    // they may be crossed
    const Taken *taken; // ROOM_APART_MM from these
    Arena *scratch;
    bool failed;
} Room;

bool taken_add(Taken *taken, const Curve *curves, int count, Arena *keep); // false when memory ran out
bool room_holds(Room *room, Point a, Point b);                             // a-b lies on the face and is hidden
bool room_hides(Room *room, Point a, Point b);                             // it is hidden, wherever it lies
bool room_is_apart(Room *room, Point a, Point b);                          // it keeps away from lines and strokes
bool room_takes(Room *room, const Curve *curves, int count);               // all of these hold and are apart

// How far one can go from a place to either side, along `way` and against it, at most reach_um each, without leaving
// the face, what is hidden, or the distance from lines. False when the place itself is outside.
bool room_reach(Room *room, double x_um, double y_um, Way way, double reach_um, double *out_back_um,
                double *out_ahead_um);

#endif
