// clip.c - spans of edges, and the strokes they make up; see clip.h.
#include "mark/clip.h"

#include "shape/overlay.h"

#include <math.h>

#define FACE_INSIDE_MM 0.5 // a mark nearer to a cut may meet it when the sheet slips
#define CORNER_MM 0.02     // facets cut round corners by as much: added to the distance that is to be kept

static bool spans_common(SpanList a, SpanList b, Arena *arena, SpanList *out)
{
    *out = (SpanList){arena_new(arena, Span, a.count + b.count + 1), 0};
    if (!out->items) return false;
    for (int i = 0, k = 0; i < a.count && k < b.count;) {
        double t0 = fmax(a.items[i].t0, b.items[k].t0), t1 = fmin(a.items[i].t1, b.items[k].t1);
        if (t0 < t1) out->items[out->count++] = (Span){t0, t1};
        if (a.items[i].t1 < b.items[k].t1)
            i++;
        else
            k++;
    }
    return true;
}

bool spans_without(SpanList a, SpanList b, Arena *arena, SpanList *out)
{
    SpanList rest = {arena_new(arena, Span, b.count + 1), 0};
    if (!rest.items) return false;
    double from = 0.0;
    for (int i = 0; i < b.count; i++) {
        if (b.items[i].t0 > from) rest.items[rest.count++] = (Span){from, b.items[i].t0};
        from = b.items[i].t1;
    }
    if (from < 1.0) rest.items[rest.count++] = (Span){from, 1.0};
    return spans_common(a, rest, arena, out);
}

bool spans_in(const Cover *cover, Point a, Point b, Arena *arena, SpanList *out)
{
    *out = (SpanList){0};
    Box box = box_empty();
    box_add(&box, a);
    box_add(&box, b);
    if (cover->edge_count == 0 || !box_overlap(box, cover->box)) return true;
    out->items = cover_spans(cover, a, b, arena, &out->count);
    return out->items; // NULL is missing memory, also where nothing is covered
}

static Point point_along(Point a, Point b, double t)
{
    if (t <= 0.0) return a;
    if (t >= 1.0) return b;
    return (Point){(int32_t)llround(a.x + t * ((double)b.x - a.x)), (int32_t)llround(a.y + t * ((double)b.y - a.y))};
}

// A stroke that grows point by point along a ring.
typedef struct Tip {
    Point *points;
    size_t count, capacity;
    bool from_ring_start; // begins at the ring's first point
} Tip;

typedef struct Tips {
    Tip *items;
    size_t count, capacity;
} Tips;

static bool tip_add(Tip *tip, Point p, Arena *arena)
{
    if (tip->count > 0 && point_equal(tip->points[tip->count - 1], p)) return true;
    Point *room = arena_grow(arena, tip->points, tip->count, &tip->capacity, sizeof *room);
    if (!room) return false;
    tip->points = room;
    tip->points[tip->count++] = p;
    return true;
}

// The index of a new stroke, or -1 when memory ran out.
static int tip_new(Tips *tips, Arena *arena)
{
    Tip *room = arena_grow(arena, tips->items, tips->count, &tips->capacity, sizeof *room);
    if (!room) return -1;
    tips->items = room;
    tips->items[tips->count] = (Tip){0};
    return (int)tips->count++;
}

// Adds the part of edge a-b in `span` to stroke `tip`, which ended at a; or to a new one when tip is -1. Gives its
// index.
static int add_span(Tips *tips, int tip, Point a, Point b, Span span, Arena *arena)
{
    int of = span.t0 <= 0.0 && tip >= 0 ? tip : tip_new(tips, arena);
    if (of < 0 || !tip_add(&tips->items[of], point_along(a, b, span.t0), arena) ||
        !tip_add(&tips->items[of], point_along(a, b, span.t1), arena))
        return -1;
    return of;
}

// The last stroke ends where the ring starts: when the first one starts there they are one.
static bool join_at_ring_start(Tips *tips, int last, Arena *arena)
{
    if (last <= 0 || !tips->items[0].from_ring_start) return true;
    Tip *first = &tips->items[0];
    for (size_t i = 0; i < first->count; i++)
        if (!tip_add(&tips->items[last], first->points[i], arena)) return false;
    first->count = 0;
    return true;
}

// All strokes of one ring on one face. `open` has the open spans of each edge of the ring.
static bool ring_on_face(const Ring *ring, const SpanList *open, const Cover *face, Arena *arena, Tips *tips)
{
    *tips = (Tips){0};
    int tip = -1; // the stroke that reaches the end of the edge before
    for (int i = 0; i < ring->count; i++) {
        Point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
        SpanList in_face = {0}, spans = {0};
        if (open[i].count > 0 &&
            (!spans_in(face, a, b, arena, &in_face) || !spans_common(open[i], in_face, arena, &spans)))
            return false;
        int reaches = -1;
        for (int k = 0; k < spans.count; k++) {
            int of = add_span(tips, k == 0 ? tip : -1, a, b, spans.items[k], arena);
            if (of < 0) return false;
            if (i == 0 && spans.items[k].t0 <= 0.0) tips->items[of].from_ring_start = true;
            reaches = spans.items[k].t1 >= 1.0 ? of : -1;
        }
        tip = reaches;
    }
    return join_at_ring_start(tips, tip, arena);
}

static double tip_length_mm(const Tip *tip)
{
    double length = 0.0;
    for (size_t i = 1; i < tip->count; i++) length += point_distance_mm(tip->points[i - 1], tip->points[i]);
    return length;
}

static bool keep_tips(const Tips *tips, int piece, double shortest_mm, Arena *keep, Strokes *out)
{
    for (size_t i = 0; i < tips->count; i++) {
        const Tip *tip = &tips->items[i];
        if (tip_length_mm(tip) < shortest_mm) continue;
        Stroke *room = arena_grow(keep, out->items, out->count, &out->capacity, sizeof *room);
        Point *points = arena_copy(keep, tip->points, tip->count, sizeof *points);
        if (!room || !points) return false;
        out->items = room;
        out->items[out->count++] = (Stroke){piece, points, (int)tip->count};
    }
    return true;
}

bool clip_face(const Piece *piece, Arena *keep, Work *work, Cover *out, Error *err)
{
    Rings face;
    *out = (Cover){0};
    if (!overlay_offset(&piece->rings, -FACE_INSIDE_MM - CORNER_MM, CORNER_MM, keep, work, &face, err)) return false;
    return face.count == 0 || cover_make(&face, keep, out, err);
}

bool clip_to_face(const Ring *ring, const SpanList *open, const Cover *face, int piece, double shortest_mm, Arena *keep,
                  Arena *scratch, Strokes *out)
{
    Tips tips;
    return ring_on_face(ring, open, face, scratch, &tips) && keep_tips(&tips, piece, shortest_mm, keep, out);
}

// ---- gaps ----

bool gaps_add(Gaps *gaps, const Gap *gap, Arena *keep)
{
    Gap *room = arena_grow(keep, gaps->items, gaps->count, &gaps->capacity, sizeof *room);
    if (!room) return false;
    gaps->items = room;
    gaps->items[gaps->count++] = *gap;
    return true;
}

// The part of a-b inside the convex polygon: it is cut by each of its sides in turn.
static bool span_in_gap(const Gap *gap, Point a, Point b, Span *out)
{
    double t0 = 0.0, t1 = 1.0, turn = 0.0;
    for (int i = 1; i < 3; i++) turn += (double)point_cross(gap->corners[0], gap->corners[i], gap->corners[i + 1]);
    for (int i = 0; i < 4; i++) {
        Point c = gap->corners[i], d = gap->corners[(i + 1) % 4];
        double from = (double)point_cross(c, d, a), to = (double)point_cross(c, d, b);
        if (turn < 0.0) from = -from, to = -to;
        if (from < 0.0 && to < 0.0) return false;
        if (from < 0.0) t0 = fmax(t0, from / (from - to));
        if (to < 0.0) t1 = fmin(t1, from / (from - to));
    }
    *out = (Span){t0, t1};
    return t0 < t1;
}

// What of an edge lies in no gap of the piece.
static bool spans_off_gaps(int piece, Point a, Point b, const Gaps *gaps, Arena *arena, SpanList *out)
{
    *out = (SpanList){arena_new(arena, Span, 1), 1};
    if (!out->items) return false;
    out->items[0] = (Span){0.0, 1.0};
    for (size_t i = 0; i < gaps->count; i++) {
        Span span;
        if (gaps->items[i].piece != piece || !span_in_gap(&gaps->items[i], a, b, &span)) continue;
        if (!spans_without(*out, (SpanList){&span, 1}, arena, out)) return false;
    }
    return true;
}

static bool cut_stroke(const Stroke *stroke, const Gaps *gaps, Arena *arena, Tips *tips)
{
    *tips = (Tips){0};
    int tip = -1; // the stroke that reaches the end of the edge before
    for (int i = 1; i < stroke->count; i++) {
        Point a = stroke->points[i - 1], b = stroke->points[i];
        SpanList spans;
        if (!spans_off_gaps(stroke->piece, a, b, gaps, arena, &spans)) return false;
        int reaches = -1;
        for (int k = 0; k < spans.count; k++) {
            int of = add_span(tips, k == 0 ? tip : -1, a, b, spans.items[k], arena);
            if (of < 0) return false;
            reaches = spans.items[k].t1 >= 1.0 ? of : -1;
        }
        tip = reaches;
    }
    return true;
}

bool clip_gaps(const Stroke *strokes, int count, const Gaps *gaps, double shortest_mm, Arena *keep, Arena *scratch,
               Strokes *out)
{
    *out = (Strokes){0};
    for (int i = 0; i < count; i++) {
        ArenaMark mark = arena_mark(scratch);
        Tips tips;
        if (!cut_stroke(&strokes[i], gaps, scratch, &tips) ||
            !keep_tips(&tips, strokes[i].piece, shortest_mm, keep, out))
            return false;
        arena_rewind(scratch, mark);
    }
    return true;
}
