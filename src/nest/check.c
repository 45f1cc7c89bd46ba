// check.c - see check.h.
#include "nest/check.h"

#include <math.h>
#include <stdlib.h>

#define SLACK_MM 1e-5   // 9 decimals of a turn, times metres

typedef struct Spot2 { double x, y; } Spot2;

typedef struct Segment {
    Spot2 a, b;
    double least_x, most_x, least_y, most_y;
} Segment;

typedef struct Outline {        // one item on its sheet
    Segment *segments;          // by least_x
    int count;
    Spot2 least, most;
} Outline;

static Spot2 moved(const double m[6], Point p)
{
    double x = p.x / UM_PER_MM, y = p.y / UM_PER_MM;
    return (Spot2){m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]};
}

static int by_least_x(const void *a, const void *b)
{
    const Segment *s = a, *t = b;
    if (s->least_x != t->least_x) return s->least_x < t->least_x ? -1 : 1;
    if (s->a.y != t->a.y) return s->a.y < t->a.y ? -1 : 1;
    return (s->a.x > t->a.x) - (s->a.x < t->a.x);
}

static bool outline_make_moved(const NestItem *item, const NestPlace *place, Work *work, Outline *out, Error *err)
{
    *out = (Outline){NULL, 0, {INFINITY, INFINITY}, {-INFINITY, -INFINITY}};
    int count = 0;
    for (int r = 0; r < item->rings->count; r++) count += item->rings->items[r].count;
    out->segments = arena_new(&work->scratch, Segment, count);
    if (!out->segments) return error_memory(err);
    for (int r = 0; r < item->rings->count; r++) {
        const Ring *ring = &item->rings->items[r];
        for (int i = 0; i < ring->count; i++) {
            Spot2 a = moved(place->to_sheet, ring->points[i]);
            Spot2 b = moved(place->to_sheet, ring->points[i + 1 < ring->count ? i + 1 : 0]);
            out->segments[out->count++] = (Segment){a, b, fmin(a.x, b.x), fmax(a.x, b.x), fmin(a.y, b.y), fmax(a.y, b.y)};
            out->least = (Spot2){fmin(out->least.x, a.x), fmin(out->least.y, a.y)};
            out->most = (Spot2){fmax(out->most.x, a.x), fmax(out->most.y, a.y)};
        }
    }
    qsort(out->segments, (size_t)out->count, sizeof *out->segments, by_least_x);
    return true;
}

static bool in_space(const Outline *outline, const NestOptions *options)
{
    const Space *space = &options->space;
    double x0 = options->origin_mm[0] - SLACK_MM, y0 = options->origin_mm[1] - SLACK_MM;
    double x1 = options->origin_mm[0] + space->width_mm + SLACK_MM;
    double y1 = options->origin_mm[1] + space->height_mm + SLACK_MM;
    if (outline->least.x < x0 || outline->least.y < y0 || outline->most.x > x1 || outline->most.y > y1) return false;
    for (int i = 0; i < outline->count; i++) {
        double sum = outline->segments[i].a.x + outline->segments[i].a.y;
        if (sum < x0 + y0 + space->corner_mm || sum > x1 + y1 - space->corner_mm) return false;
    }
    return true;
}

static double dot(Spot2 a, Spot2 b)
{
    return a.x * b.x + a.y * b.y;
}

static Spot2 minus(Spot2 a, Spot2 b)
{
    return (Spot2){a.x - b.x, a.y - b.y};
}

static double to_segment(Spot2 p, const Segment *s)
{
    Spot2 along = minus(s->b, s->a), to = minus(p, s->a);
    double length2 = dot(along, along), t = length2 > 0 ? dot(to, along) / length2 : 0;
    t = fmax(0, fmin(1, t));
    Spot2 rest = {to.x - t * along.x, to.y - t * along.y};
    return sqrt(dot(rest, rest));
}

static double turn_of(Spot2 a, Spot2 b, Spot2 c)
{
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

static double segment_distance(const Segment *s, const Segment *t)
{
    if (turn_of(s->a, s->b, t->a) * turn_of(s->a, s->b, t->b) < 0 && turn_of(t->a, t->b, s->a) * turn_of(t->a, t->b, s->b) < 0)
        return 0;
    return fmin(fmin(to_segment(s->a, t), to_segment(s->b, t)), fmin(to_segment(t->a, s), to_segment(t->b, s)));
}

static bool contains(const Outline *outline, Spot2 p)
{
    bool inside = false;
    for (int i = 0; i < outline->count; i++) {
        const Segment *s = &outline->segments[i];
        if ((s->a.y > p.y) == (s->b.y > p.y)) continue;
        if (s->a.x + (p.y - s->a.y) * (s->b.x - s->a.x) / (s->b.y - s->a.y) > p.x) inside = !inside;
    }
    return inside;
}

static bool boxes_near(const Outline *a, const Outline *b, double gap)
{
    return a->least.x <= b->most.x + gap && b->least.x <= a->most.x + gap && a->least.y <= b->most.y + gap &&
           b->least.y <= a->most.y + gap;
}

static bool is_near(const Segment *s, const Outline *outline, double gap)
{
    return outline->most.x >= s->least_x - gap && outline->least.x <= s->most_x + gap && outline->least.y <= s->most_y + gap &&
           outline->most.y >= s->least_y - gap;
}

static double to_outline(Spot2 p, const Outline *outline)
{
    double least = INFINITY;
    for (int i = 0; i < outline->count; i++) least = fmin(least, to_segment(p, &outline->segments[i]));
    return least;
}

static bool deep_in_both(const Outline *a, const Outline *b, Spot2 p)
{
    return contains(a, p) && contains(b, p) && to_outline(p, a) > SLACK_MM && to_outline(p, b) > SLACK_MM;
}

static int by_double(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

// Where along s the outline may come in, go out, or begin to run along it.
static int changes_along(const Segment *s, const Outline *outline, double *at)
{
    Spot2 d = minus(s->b, s->a);
    double length2 = dot(d, d);
    int count = 0;
    at[count++] = 0;
    at[count++] = 1;
    for (int i = 0; i < outline->count && length2 > 0; i++) {
        const Segment *t = &outline->segments[i];
        double from = turn_of(s->a, s->b, t->a), to = turn_of(s->a, s->b, t->b);
        if (to_segment(t->a, s) <= SLACK_MM) at[count++] = dot(minus(t->a, s->a), d) / length2;
        if ((from > 0) == (to > 0)) continue;
        double u = from / (from - to);
        Spot2 p = {t->a.x + u * (t->b.x - t->a.x) - s->a.x, t->a.y + u * (t->b.y - t->a.y) - s->a.y};
        double along = dot(p, d) / length2;
        if (along > 0 && along < 1) at[count++] = along;
    }
    qsort(at, (size_t)count, sizeof *at, by_double);
    return count;
}

// Without a gap outlines may touch and run along each other, so distances tell nothing. Between two changes along an edge of a all
// of it is inside b, outside, or on its edge: one point beside the middle, in a's material, speaks for it.
static bool insides_meet(const Outline *a, const Outline *b, double *at)
{
    for (int i = 0; i < a->count; i++) {
        const Segment *s = &a->segments[i];
        if (!is_near(s, b, 0)) continue;
        Spot2 d = minus(s->b, s->a);
        double length = sqrt(dot(d, d));
        int count = changes_along(s, b, at);
        for (int k = 0; k + 1 < count; k++) {
            double t = (at[k] + at[k + 1]) / 2, by = 3 * SLACK_MM / length;
            Spot2 p = {s->a.x + t * d.x - d.y * by, s->a.y + t * d.y + d.x * by};
            Spot2 q = {s->a.x + t * d.x + d.y * by, s->a.y + t * d.y - d.x * by};
            if ((at[k + 1] - at[k]) * length > SLACK_MM && (deep_in_both(a, b, p) || deep_in_both(a, b, q))) return true;
        }
    }
    return false;
}

static bool meet(const Outline *a, const Outline *b, Work *work, bool *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    *out = false;
    if (!boxes_near(a, b, 0)) return true;
    int most = a->count > b->count ? a->count : b->count;
    double *at = arena_new(&work->scratch, double, 2 * (size_t)most + 2);
    if (!at) return error_memory(err);
    *out = insides_meet(a, b, at) || insides_meet(b, a, at);
    arena_rewind(&work->scratch, mark);
    return true;
}

static bool apart(const Outline *a, const Outline *b, double gap)
{
    if (!boxes_near(a, b, gap)) return true;
    double widest = 0; // of b's segments: bounds how far left of s a near one can begin
    for (int i = 0; i < b->count; i++) widest = fmax(widest, b->segments[i].most_x - b->segments[i].least_x);
    int from = 0;
    for (int i = 0; i < a->count; i++) {
        const Segment *s = &a->segments[i];
        while (from < b->count && b->segments[from].least_x < s->least_x - gap - widest) from++;
        if (!is_near(s, b, gap)) continue;
        for (int j = from; j < b->count && b->segments[j].least_x <= s->most_x + gap; j++) {
            const Segment *t = &b->segments[j];
            if (t->most_x < s->least_x - gap || t->least_y > s->most_y + gap || t->most_y < s->least_y - gap) continue;
            if (segment_distance(s, t) < gap - SLACK_MM) return false;
        }
    }
    return !contains(a, b->segments[0].a) && !contains(b, a->segments[0].a);
}

bool nest_check(const NestItem *items, int item_count, const NestOptions *options, const NestPlace *places, Work *work,
                bool *out_bad, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Outline *outlines = arena_new(&work->scratch, Outline, item_count);
    if (!outlines) return error_memory(err);
    for (int i = 0; i < item_count; i++) {
        out_bad[i] = false;
        if (places[i].sheet == NEST_LEFT_OVER) continue;
        if (!work_goes_on(work, err) || !outline_make_moved(&items[i], &places[i], work, &outlines[i], err)) return false;
        out_bad[i] = !in_space(&outlines[i], options);
        for (int j = 0; j < i && !out_bad[i]; j++) {
            if (places[j].sheet != places[i].sheet || out_bad[j]) continue;
            if (!work_goes_on(work, err)) return false;
            if (options->gap_mm > SLACK_MM) out_bad[i] = !apart(&outlines[j], &outlines[i], options->gap_mm);
            else if (!meet(&outlines[j], &outlines[i], work, &out_bad[i], err)) return false;
        }
    }
    arena_rewind(&work->scratch, mark);
    return true;
}
