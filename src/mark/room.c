// room.c - see room.h.
#include "mark/room.h"

#include <math.h>

#define SAMPLE_MM 1.0     // along a stroke, where its distance from lines is looked at
#define LINE_APART_MM 1.6 // at these places: between two of them it is then at least ROOM_APART_MM
#define LEAST_STEP_UM 200.0

bool taken_add(Taken *taken, const Curve *curves, int count, Arena *keep)
{
    for (int i = 0; i < count; i++) {
        CoverEdge *room = arena_grow(keep, taken->edges, taken->count, &taken->capacity, sizeof *room);
        if (!room) return false;
        taken->edges = room;
        taken->edges[taken->count++] = (CoverEdge){curves[i].p0, curves[i].p3};
    }
    return true;
}

bool line_index_make(const Strokes *lines, int piece_count, Arena *keep, LineIndex *out, Error *err)
{
    *out = (LineIndex){lines, arena_new(keep, Cover *, piece_count), keep};
    return out->known || error_memory(err);
}

bool line_index_of(LineIndex *index, int piece, const Cover **out, Error *err)
{
    const Strokes *lines = index->lines;
    size_t count = 0;
    *out = index->known[piece];
    if (*out) return true;
    for (size_t i = 0; i < lines->count; i++)
        if (lines->items[i].piece == piece) count += (size_t)lines->items[i].count - 1;
    CoverEdge *edges = arena_new(index->arena, CoverEdge, count);
    Cover *cover = arena_new(index->arena, Cover, 1);
    if (!edges || !cover) return error_memory(err);
    count = 0;
    for (size_t i = 0; i < lines->count; i++)
        for (int k = 1; lines->items[i].piece == piece && k < lines->items[i].count; k++)
            edges[count++] = (CoverEdge){lines->items[i].points[k - 1], lines->items[i].points[k]};
    if (!cover_index(edges, (int)count, index->arena, cover, err)) return false;
    *out = index->known[piece] = cover;
    return true;
}

// The span of a-b inside that holds t; false when t is outside.
static bool span_at(Room *room, const Cover *cover, Point a, Point b, double t, Span *out)
{
    int count;
    ArenaMark mark = arena_mark(room->scratch);
    Span *spans = cover_spans(cover, a, b, room->scratch, &count);
    bool found = false;
    if (!spans) room->failed = true;
    for (int i = 0; spans && i < count && !found; i++) {
        found = spans[i].t0 <= t && t <= spans[i].t1;
        if (found) *out = spans[i];
    }
    arena_rewind(room->scratch, mark);
    return found;
}

static bool holds_whole(Room *room, const Cover *cover, Point a, Point b)
{
    Span span;
    if (point_equal(a, b)) return cover_contains(cover, a);
    return cover_contains(cover, a) && cover_contains(cover, b) && span_at(room, cover, a, b, 0.0, &span) &&
           span.t1 >= 1.0;
}

bool room_hides(Room *room, Point a, Point b)
{
    return holds_whole(room, room->safe, a, b);
}

bool room_holds(Room *room, Point a, Point b)
{
    return holds_whole(room, room->safe, a, b) && holds_whole(room, room->face, a, b);
}

static bool is_off_lines(const Room *room, Point a, Point b)
{
    if (room->over_lines) return true;
    int steps = (int)ceil(point_distance_mm(a, b) / SAMPLE_MM);
    for (int i = 0; i <= steps; i++) {
        double t = steps > 0 ? (double)i / steps : 0.0;
        Point p = {(int32_t)llround(a.x + t * ((double)b.x - a.x)), (int32_t)llround(a.y + t * ((double)b.y - a.y))};
        if (cover_distance_mm(room->lines, p, LINE_APART_MM) < LINE_APART_MM) return false;
    }
    return true;
}

static bool is_near(CoverEdge one, Point a, Point b)
{
    double reach = ROOM_APART_MM * UM_PER_MM;
    if (fmin(a.x, b.x) > fmax(one.a.x, one.b.x) + reach || fmax(a.x, b.x) < fmin(one.a.x, one.b.x) - reach ||
        fmin(a.y, b.y) > fmax(one.a.y, one.b.y) + reach || fmax(a.y, b.y) < fmin(one.a.y, one.b.y) - reach)
        return false;
    return segments_touch(a, b, one.a, one.b) || point_segment_distance_mm(a, one.a, one.b) < ROOM_APART_MM ||
           point_segment_distance_mm(b, one.a, one.b) < ROOM_APART_MM ||
           point_segment_distance_mm(one.a, a, b) < ROOM_APART_MM ||
           point_segment_distance_mm(one.b, a, b) < ROOM_APART_MM;
}

bool room_is_apart(Room *room, Point a, Point b)
{
    for (size_t i = 0; room->taken && i < room->taken->count; i++)
        if (is_near(room->taken->edges[i], a, b)) return false;
    return is_off_lines(room, a, b);
}

bool room_takes(Room *room, const Curve *curves, int count)
{
    for (int i = 0; i < count; i++) // most places fail at once, by one look-up
        if (!cover_contains(room->safe, curves[i].p0) || !cover_contains(room->face, curves[i].p0)) return false;
    for (int i = 0; i < count; i++)
        if (!room_holds(room, curves[i].p0, curves[i].p3) || !room_is_apart(room, curves[i].p0, curves[i].p3))
            return false;
    return true;
}

// Steps as far as the nearest line allows.
static double reach_off_lines(const Room *room, double x_um, double y_um, Way way, double reach_um)
{
    for (double at = 0.0; !room->over_lines && at < reach_um;) {
        Point p = {(int32_t)llround(x_um + at * way.x), (int32_t)llround(y_um + at * way.y)};
        double apart = (cover_distance_mm(room->lines, p, 2.0 * LINE_APART_MM) - LINE_APART_MM) * UM_PER_MM;
        if (apart < 0.0) return at;
        at += fmax(apart, LEAST_STEP_UM);
    }
    return reach_um;
}

bool room_reach(Room *room, double x_um, double y_um, Way way, double reach_um, double *out_back_um,
                double *out_ahead_um)
{
    Point a = {(int32_t)llround(x_um - reach_um * way.x), (int32_t)llround(y_um - reach_um * way.y)};
    Point b = {(int32_t)llround(x_um + reach_um * way.x), (int32_t)llround(y_um + reach_um * way.y)};
    Span face, safe;
    if (!span_at(room, room->safe, a, b, 0.5, &safe) || !span_at(room, room->face, a, b, 0.5, &face)) return false;
    double back = (0.5 - fmax(safe.t0, face.t0)) * 2.0 * reach_um;
    double ahead = (fmin(safe.t1, face.t1) - 0.5) * 2.0 * reach_um;
    const Way against = {-way.x, -way.y};
    *out_ahead_um = reach_off_lines(room, x_um, y_um, way, ahead);
    *out_back_um = reach_off_lines(room, x_um, y_um, against, back);
    return true;
}
