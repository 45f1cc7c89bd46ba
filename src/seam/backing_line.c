// backing_line.c - see backing_line.h.
#include "seam/backing_line.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define LOOK_MM 12.0        // how far back a seam's direction at its end is taken from
#define STRAIGHT_COS 0.966  // of 15 degrees: a strip goes on over a bend of so much

typedef struct End {        // of a seam: 2 x seam, + 1 for its last point
    Point at;
    double dx, dy;          // outwards, of length 1
    int next;               // the end of the seam that goes on from here; -1 = none
} End;

typedef struct Meeting {
    double cos;             // 1 = straight on
    int a, b;
} Meeting;

typedef struct Lines {
    const LayerPieces *base;
    Point **points;         // by seam
    int *counts;
    End *ends;
    bool *done;             // by seam
} Lines;

typedef struct Line {
    Point *points;
    int count;
    double length_mm;
} Line;

bool backing_asks(const Seam *seam)
{
    return seam->form == SEAM_BUTT && !seam->on_section;
}

bool backing_seam_points(const LayerPieces *base, const Seam *seam, Arena *keep, Point **points, int *count, Error *err)
{
    int most = 1;
    for (int k = 0; k < seam->link_count; k++) most += link_point_count(&seam->links[k]) - 1;
    *points = arena_new(keep, Point, most);
    *count = 0;
    if (!*points) return error_memory(err);
    for (int k = 0; k < seam->link_count; k++)
        for (int n = k == 0 ? 0 : 1; n < link_point_count(&seam->links[k]); n++)
            (*points)[(*count)++] = link_point(&base->chains, &seam->links[k], n);
    return true;
}

static End end_of(const Point *points, int count, bool last)
{
    int at = last ? count - 1 : 0, step = last ? -1 : 1, back = at + step;
    while (back + step >= 0 && back + step < count && point_distance_mm(points[at], points[back]) < LOOK_MM) back += step;
    double length = point_distance_mm(points[at], points[back]) * UM_PER_MM;
    if (length == 0.0) length = 1.0;
    return (End){points[at], (points[at].x - points[back].x) / length, (points[at].y - points[back].y) / length, -1};
}

static int straightest_first(const void *a, const void *b)
{
    const Meeting *p = a, *q = b;
    if (p->cos != q->cos) return p->cos > q->cos ? -1 : 1;
    return p->a != q->a ? (p->a > q->a) - (p->a < q->a) : (p->b > q->b) - (p->b < q->b);
}

static bool take_seams(Lines *lines, Arena *keep, Error *err)
{
    int count = lines->base->seam_count;
    lines->points = arena_new(keep, Point *, count);
    lines->counts = arena_new(keep, int, count);
    lines->ends = arena_new(keep, End, 2 * (size_t)count);
    lines->done = arena_new(keep, bool, count);
    if (!lines->points || !lines->counts || !lines->ends || !lines->done) return error_memory(err);
    for (int s = 0; s < count; s++) {
        if (!backing_seam_points(lines->base, &lines->base->seams[s], keep, &lines->points[s], &lines->counts[s], err)) return false;
        lines->done[s] = !backing_asks(&lines->base->seams[s]);
        for (int k = 0; k < 2; k++) lines->ends[2 * s + k] = end_of(lines->points[s], lines->counts[s], k == 1);
    }
    return true;
}

// At each place where seams meet, those that go straightest on are one line.
static bool join_ends(Lines *lines, Arena *scratch, Error *err)
{
    int count = 2 * lines->base->seam_count;
    Meeting *found = NULL;
    size_t used = 0, capacity = 0;
    for (int a = 0; a < count; a++)
        for (int b = a + 1; b < count; b++) {
            const End *p = &lines->ends[a], *q = &lines->ends[b];
            double straight = -(p->dx * q->dx + p->dy * q->dy);
            if (lines->done[a / 2] || lines->done[b / 2] || !point_equal(p->at, q->at) || straight < STRAIGHT_COS) continue;
            found = arena_grow(scratch, found, used, &capacity, sizeof *found);
            if (!found) return error_memory(err);
            found[used++] = (Meeting){straight, a, b};
        }
    if (used > 1) qsort(found, used, sizeof *found, straightest_first);
    for (size_t i = 0; i < used; i++) {
        End *p = &lines->ends[found[i].a], *q = &lines->ends[found[i].b];
        if (p->next >= 0 || q->next >= 0) continue;
        p->next = found[i].b;
        q->next = found[i].a;
    }
    return true;
}

// The end of a line that a seam lies in; a ring of seams is opened at the seam itself.
static int line_start(const Lines *lines, int seam)
{
    int end = 2 * seam;
    while (lines->ends[end].next >= 0 && lines->ends[end].next / 2 != seam) end = lines->ends[end].next ^ 1;
    return end;
}

static bool take_line(Lines *lines, int seam, Arena *keep, Line *out, Error *err)
{
    int start = line_start(lines, seam), total = 1;
    for (int end = start; end >= 0; end = lines->ends[end ^ 1].next) {
        total += lines->counts[end / 2] - 1;
        if (lines->ends[end ^ 1].next == start) break;
    }
    *out = (Line){.points = arena_new(keep, Point, total)};
    if (!out->points) return error_memory(err);
    for (int end = start; end >= 0 && !lines->done[end / 2]; end = lines->ends[end ^ 1].next) {
        const Point *points = lines->points[end / 2];
        int count = lines->counts[end / 2];
        lines->done[end / 2] = true;
        for (int i = out->count ? 1 : 0; i < count; i++) out->points[out->count++] = points[end % 2 ? count - 1 - i : i];
    }
    for (int i = 1; i < out->count; i++) out->length_mm += point_distance_mm(out->points[i - 1], out->points[i]);
    return true;
}

static int longest_first(const void *a, const void *b)
{
    const Line *p = a, *q = b;
    if (p->length_mm != q->length_mm) return p->length_mm > q->length_mm ? -1 : 1;
    return point_compare(p->points[0], q->points[0]);
}

// The point between two that lies farthest from their line; -1 when none is farther than allowed.
static int farthest(const Point *points, int from, int to, double stray_mm)
{
    int best = -1;
    double most = stray_mm;
    for (int i = from + 1; i < to; i++) {
        double off = point_segment_distance_mm(points[i], points[from], points[to]);
        if (off <= most) continue;
        most = off;
        best = i;
    }
    return best;
}

static bool add_stretch(Stretches *out, Stretch stretch, Arena *keep, Error *err)
{
    Stretch *items = arena_grow(keep, out->items, (size_t)out->count, &out->capacity, sizeof *items);
    if (!items) return error_memory(err);
    out->items = items;
    items[out->count++] = stretch;
    return true;
}

static bool add_stretches(const Line *line, double stray_mm, Arena *keep, Arena *scratch, Stretches *out, Error *err)
{
    int *upto = arena_new(scratch, int, line->count), depth = 1, from = 0; // ends of stretches to come, the nearest on top
    if (!upto) return error_memory(err);
    upto[0] = line->count - 1;
    while (depth > 0) {
        int to = upto[depth - 1], bend = farthest(line->points, from, to, stray_mm);
        if (bend >= 0) {
            upto[depth++] = bend;
            continue;
        }
        if (!add_stretch(out, (Stretch){line->points[from], line->points[to]}, keep, err)) return false;
        from = to;
        depth--;
    }
    return true;
}

static bool find(Lines *lines, double stray_mm, Arena *keep, Work *work, Stretches *out, Error *err)
{
    int count = 0;
    Line *found = arena_new(&work->scratch, Line, lines->base->seam_count);
    if (!found) return error_memory(err);
    if (!take_seams(lines, &work->scratch, err) || !join_ends(lines, &work->scratch, err)) return false;
    for (int s = 0; s < lines->base->seam_count; s++)
        if (!lines->done[s] && !take_line(lines, s, &work->scratch, &found[count++], err)) return false;
    if (count > 1) qsort(found, (size_t)count, sizeof *found, longest_first);
    for (int i = 0; i < count; i++)
        if (!work_goes_on(work, err) || !add_stretches(&found[i], stray_mm, keep, &work->scratch, out, err)) return false;
    return true;
}

bool backing_stretches(const LayerPieces *base, double stray_mm, Arena *keep, Work *work, Stretches *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Lines lines = {.base = base};
    *out = (Stretches){0};
    bool done = find(&lines, stray_mm, keep, work, out, err);
    arena_rewind(&work->scratch, mark);
    return done;
}
