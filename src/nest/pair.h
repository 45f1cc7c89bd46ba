// pair.h - do two pieces lie on one sheet together, at any of their turns? All turns of both are looked at, and all places.
// Purpose: pieces of a kit are mostly as large as their sheet. Two of them lie together at one turn of each or at none, and the search
//          that tries places at random hardly ever meets it.
// Method:  each piece is cut by level lines at each of its turns. For two turns and a height of one against the other, each pair of
//          spans on a line forbids an interval of shifts; the shifts at which both lie on the sheet are 64 cells, and a cell is free
//          when no interval covers all of it. Between lines, and within a cell, pieces may still meet: an answer is a start for
//          `relax`, and only "no place" can be made certain (bench/nest_bound.c does, with pieces without their gap).
// Units:   millimetres from the solid's origin, or from the corner of the space.
// Memory:  Lined in `keep`; looking needs none.
// Source:  intervals of shifts on lines instead of no-fit polygons: J. Egeblad, B. K. Nielsen, A. Odgaard, "Fast neighborhood search
//          for two- and three-dimensional nesting problems", EJOR 183 (2007) 1249-1266 (title from memory); cells and turns our own.
#ifndef PM_NEST_PAIR_H
#define PM_NEST_PAIR_H

#include "nest/solid.h"

typedef struct Span {
    float from, to;
} Span;

typedef struct Lines {          // a solid at one turn; line k lies at (k + 0.5) line_mm
    Fit turn;
    bool is_opposite;           // of an earlier one
    double x0, y0, x1, y1;      // of the outline, which has to lie in the space
    int first, count;
    int *span_first;            // count + 1 offsets into spans
    Span *spans;
} Lines;

typedef struct Lined {
    Lines *turns;
    int count;
} Lined;

typedef struct PairAsk {
    double width_mm, height_mm; // where both have to lie
    double line_mm;
    double over_mm;             // that each may reach over the edge: what the turns between those looked at could save
    bool halves_alike;          // the space is the same upside down, and so one of two opposite turns of a piece is enough
    double enough_mm;           // of room: the first spot with so much ends it
    int64_t most_looks;         // turns of one against turns of the other
} PairAsk;

typedef struct PairSpot {
    const Lines *a, *b;
    double ax, ay, bx, by;      // of their origins
    double room_mm;             // length of the free shifts along the line, less what they reach over the edge, and less a line when they are
                                // free at one height alone; it may be negative
} PairSpot;

// The solid at those of the turns at which it fits.
MUST_USE bool pair_lines(const Solid *solid, const Fit *turns, int turn_count, const PairAsk *ask, Arena *keep, Work *work, Lined *out,
                         Error *err);

// The best `most` spots, of different turns, the best first; 0 when there is none. Looks are added to *looks.
MUST_USE bool pair_find(const Lined *a, const Lined *b, const PairAsk *ask, int most, Work *work, PairSpot *out, int *out_count,
                        int64_t *looks, Error *err);

#endif
