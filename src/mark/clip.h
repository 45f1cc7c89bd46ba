// clip.h - closed lines cut to where they may be drawn: spans of their edges, and strokes on the faces of pieces.
#ifndef PM_MARK_CLIP_H
#define PM_MARK_CLIP_H

#include "base/work.h"
#include "seam/seam.h"
#include "shape/cover.h"

typedef struct Stroke {
    int piece; // on whose face it lies
    Point *points;
    int count;
} Stroke;

typedef struct Strokes {
    Stroke *items;
    size_t count, capacity;
} Strokes;

typedef struct SpanList { // of one edge, in order, apart
    Span *items;
    int count;
} SpanList;

// Each gives false when memory ran out.
bool spans_in(const Cover *cover, Point a, Point b, Arena *arena, SpanList *out);     // of edge a-b, inside the cover
bool spans_without(SpanList a, SpanList b, Arena *arena, SpanList *out);

// The face of a piece without a rim of 0.5 mm, to ask what lies in it; empty when nothing is left.
MUST_USE bool clip_face(const Piece *piece, Arena *keep, Work *work, Cover *out, Error *err);

// The strokes of a ring on one face, at least shortest_mm long; `open` has the open spans of each edge of the ring.
// False when memory ran out.
bool clip_to_face(const Ring *ring, const SpanList *open, const Cover *face, int piece, double shortest_mm, Arena *keep,
                  Arena *scratch, Strokes *out);

typedef struct Gap { // a convex area that lines leave free for what is written there
    int piece;
    Point corners[4];
} Gap;

typedef struct Gaps {
    Gap *items;
    size_t count, capacity;
} Gaps;

bool gaps_add(Gaps *gaps, const Gap *gap, Arena *keep); // false when memory ran out

// The strokes of one piece without what lies in its gaps; what is left of one and shorter than shortest_mm goes too.
// False when memory ran out.
bool clip_gaps(const Stroke *strokes, int count, const Gaps *gaps, double shortest_mm, Arena *keep, Arena *scratch,
               Strokes *out);

#endif
