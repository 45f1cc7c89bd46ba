// avoid.c - see avoid.h.
#include "seam/avoid.h"

#include <math.h>

static bool make_area(const Rings *rings, double per_in, Arena *keep, AvoidArea *out, Error *err)
{
    *out = (AvoidArea){.per_in = per_in};
    if (!rings || rings->count == 0) return true;
    return cover_make(rings, keep, &out->cover, err) && boundary_of_rings(rings, keep, &out->points, &out->next, &out->count, err);
}

bool avoid_make(const SeamWishes *wishes, Arena *keep, Avoid *out, Error *err)
{
    *out = (Avoid){.lines = wishes->forbidden, .line_count = wishes->forbidden_count};
    return make_area(wishes->keep_clear, AVOID_CLEAR_PER_IN, keep, &out->areas[AVOID_CLEAR], err);
}

bool avoid_add_detail(const Rings *places, double per_in, Arena *keep, Avoid *avoid, Error *err)
{
    return make_area(places, per_in, keep, &avoid->areas[AVOID_DETAIL], err);
}

bool avoid_nothing(const Avoid *avoid)
{
    return avoid->areas[AVOID_CLEAR].cover.edge_count == 0 && avoid->line_count == 0;
}

bool avoid_add_above(const SeamLine *lines, int count, double per_in, Arena *keep, Avoid *avoid, Error *err)
{
    int room = 0;
    for (int i = 0; i < count; i++) room += lines[i].count;
    avoid->above = arena_new(keep, Stroke, room);
    avoid->above_per_in = per_in;
    if (!avoid->above) return error_memory(err);
    for (int i = 0; i < count; i++)
        for (int k = 0; k + 1 < lines[i].count; k++)
            avoid->above[avoid->above_count++] = (Stroke){lines[i].points[k], lines[i].points[k + 1]};
    return true;
}

// ---- families of lines ----

typedef struct Pairs { // a scan in the making
    int *first;
    Stretches stretches;
    int line;
} Pairs;

static bool pairs_begin(Pairs *pairs, int line_count, Arena *keep)
{
    *pairs = (Pairs){.first = arena_new(keep, int, line_count + 1)};
    return pairs->first != NULL;
}

static bool pairs_finish(Pairs *pairs, int line_count, Arena *keep, Scan *out)
{
    pairs->first[line_count] = 2 * (int)pairs->stretches.count;
    *out = (Scan){pairs->first, arena_new(keep, Crossing, 2 * pairs->stretches.count), line_count};
    if (!out->items) return false;
    for (size_t i = 0; i < pairs->stretches.count; i++) {
        out->items[2 * i].at = pairs->stretches.items[i].lo;
        out->items[2 * i + 1].at = pairs->stretches.items[i].hi;
    }
    return true;
}

// Adds what chords of a line and sorted stretches have in common.
static bool add_common(const Scan *chords, int line, const Stretch *items, size_t count, Stretches *out, Arena *keep)
{
    size_t from = 0;
    for (int i = chords->first[line]; i + 1 < chords->first[line + 1]; i += 2) {
        double lo = chords->items[i].at, hi = chords->items[i + 1].at;
        while (from < count && items[from].hi <= lo) from++;
        for (size_t k = from; k < count && items[k].lo < hi; k++) {
            Stretch both = {fmax(lo, items[k].lo), fmin(hi, items[k].hi)};
            if (both.lo < both.hi && !stretches_add(out, both, keep)) return false;
        }
    }
    return true;
}

static bool scan_area(const AvoidArea *area, Frame frame, LineWay way, const double *positions, const Scan *inner,
                      Arena *keep, Scan *out, Error *err)
{
    Turned turned;
    Scan areas;
    Pairs pairs;
    if (!boundary_turn(area->points, area->next, area->count, frame, keep, &turned, err) ||
        !scan_lines(&turned, way, positions, inner->line_count, keep, &areas, err))
        return false;
    if (!pairs_begin(&pairs, inner->line_count, keep)) return error_memory(err);
    for (int line = 0; line < inner->line_count; line++) {
        int first = areas.first[line], count = (areas.first[line + 1] - first) / 2;
        Stretch *items = arena_new(keep, Stretch, count);
        if (!items) return error_memory(err);
        for (int i = 0; i < count; i++)
            items[i] = (Stretch){areas.items[first + 2 * i].at, areas.items[first + 2 * i + 1].at};
        pairs.first[line] = 2 * (int)pairs.stretches.count;
        if (!add_common(inner, line, items, (size_t)count, &pairs.stretches, keep)) return error_memory(err);
    }
    return pairs_finish(&pairs, inner->line_count, keep, out) || error_memory(err);
}

// What a line at `position` has in common with the capsules round the forbidden stretches that run its way.
static bool forbidden_on_line(const Avoid *avoid, Frame frame, LineWay way, double position, Stretches *out,
                              Arena *keep)
{
    for (int l = 0; l < avoid->line_count; l++) {
        for (int i = 0; i + 1 < avoid->lines[l].count; i++) {
            Point p[2] = {avoid->lines[l].points[i], avoid->lines[l].points[i + 1]};
            double along[2], across[2];
            for (int e = 0; e < 2; e++) {
                double x = p[e].x / UM_PER_MM, y = p[e].y / UM_PER_MM;
                double u = x * frame.cos + y * frame.sin, v = y * frame.cos - x * frame.sin;
                along[e] = way == LINES_ALONG_U ? u : v;
                across[e] = (way == LINES_ALONG_U ? v : u) - position;
            }
            if (fabs(across[1] - across[0]) >= AVOID_TURN * fabs(along[1] - along[0])) continue;
            Stretch s = capsule_stretch(along[0], across[0], along[1], across[1], AVOID_BESIDE_MM);
            if (s.lo < s.hi && !stretches_add(out, s, keep)) return false;
        }
    }
    out->count = stretches_tidy(out->items, out->count);
    return true;
}

static bool scan_along(const Avoid *avoid, Frame frame, LineWay way, const double *positions, const Scan *inner,
                       Arena *keep, Scan *out, Error *err)
{
    Pairs pairs;
    if (!pairs_begin(&pairs, inner->line_count, keep)) return error_memory(err);
    for (int line = 0; line < inner->line_count; line++) {
        Stretches forbidden = {0};
        pairs.first[line] = 2 * (int)pairs.stretches.count;
        if (!forbidden_on_line(avoid, frame, way, positions[line], &forbidden, keep) ||
            !add_common(inner, line, forbidden.items, forbidden.count, &pairs.stretches, keep))
            return error_memory(err);
    }
    return pairs_finish(&pairs, inner->line_count, keep, out) || error_memory(err);
}

bool avoid_scan(const Avoid *avoid, Frame frame, LineWay way, const double *positions, const Scan *inner, Arena *keep,
                AvoidScan *out, Error *err)
{
    *out = (AvoidScan){0};
    for (int kind = 0; kind < AVOID_AREAS; kind++) {
        const AvoidArea *area = &avoid->areas[kind];
        out->per_in[kind] = area->per_in;
        if (area->count > 0 && !scan_area(area, frame, way, positions, inner, keep, &out->areas[kind], err)) return false;
    }
    return avoid->line_count == 0 || scan_along(avoid, frame, way, positions, inner, keep, &out->along, err);
}

double avoid_line_in(const AvoidScan *scan, const Scan *under, int line)
{
    double sum = 0.0;
    for (int kind = 0; kind < AVOID_AREAS; kind++)
        if (scan->areas[kind].first)
            sum += scan->per_in[kind] * scan_cost(&scan->areas[kind], under, line, -1e30, 1e30).visible_mm / 25.4;
    if (scan->along.first) {
        LineCost cost = scan_cost(&scan->along, under, line, -1e30, 1e30);
        sum += AVOID_LINE_PER_IN * (cost.visible_mm + cost.hidden_mm) / 25.4;
    }
    return sum;
}

bool avoid_add_running(const AvoidScan *scan, const Scan *under, int line, const double *stops, int stop_count,
                       Arena *scratch, double *cost, Error *err)
{
    bool has_areas = false;
    for (int kind = 0; kind < AVOID_AREAS; kind++) has_areas |= scan->areas[kind].first != NULL;
    if (!has_areas && !scan->along.first) return true;
    ArenaMark mark = arena_mark(scratch);
    double *more = arena_new(scratch, double, stop_count);
    int *chords = arena_new(scratch, int, stop_count);
    bool *inside = arena_new(scratch, bool, stop_count);
    if (!more || !chords || !inside) return error_memory(err);
    for (int kind = 0; kind <= AVOID_AREAS; kind++) { // the last are the lines
        bool is_area = kind < AVOID_AREAS;
        const Scan *part = is_area ? &scan->areas[kind] : &scan->along;
        double visible = is_area ? scan->per_in[kind] : AVOID_LINE_PER_IN, hidden = is_area ? 0.0 : visible;
        if (!part->first) continue;
        scan_running_cost(part, under, line, visible / 25.4, hidden / 25.4, stops, stop_count, more, chords, inside);
        for (int i = 0; i < stop_count; i++) cost[i] += more[i];
    }
    arena_rewind(scratch, mark);
    return true;
}

// ---- single segments ----

double avoid_area_mm(const AvoidArea *area, const Hiding *hiding, Point a, Point b, Arena *scratch)
{
    Box box = box_empty();
    box_add(&box, a);
    box_add(&box, b);
    if (area->count == 0 || point_equal(a, b) || !box_overlap(box, area->cover.box)) return 0.0;
    ArenaMark mark = arena_mark(scratch);
    Stretches hidden = {0};
    int count = 0;
    double length = point_distance_mm(a, b), sum = 0.0;
    Span *spans = cover_spans(&area->cover, a, b, scratch, &count);
    bool fine = spans && (count == 0 || hiding_stretches(hiding, a, b, scratch, &hidden));
    for (int i = 0; fine && i < count; i++) {
        double lo = spans[i].t0 * length, hi = spans[i].t1 * length;
        sum += hi - lo;
        for (size_t k = 0; k < hidden.count; k++)
            sum -= fmax(0.0, fmin(hi, hidden.items[k].hi) - fmax(lo, hidden.items[k].lo));
    }
    arena_rewind(scratch, mark);
    return fine ? fmax(sum, 0.0) : -1.0;
}

// Adds the stretch of the segment, as an axis of its own, that runs along p-q.
static bool add_along(Point p, Point q, double beside_mm, Point a, Point b, Arena *scratch, Stretches *out)
{
    double length = point_distance_mm(a, b);
    double dx = (b.x - a.x) / UM_PER_MM / length, dy = (b.y - a.y) / UM_PER_MM / length;
    const Point ends[2] = {p, q};
    double along[2], across[2];
    for (int e = 0; e < 2; e++) {
        double x = (ends[e].x - a.x) / UM_PER_MM, y = (ends[e].y - a.y) / UM_PER_MM;
        along[e] = x * dx + y * dy;
        across[e] = y * dx - x * dy;
    }
    if (fabs(across[1] - across[0]) >= AVOID_TURN * fabs(along[1] - along[0])) return true;
    Stretch s = capsule_stretch(along[0], across[0], along[1], across[1], beside_mm);
    s.lo = fmax(s.lo, 0.0);
    s.hi = fmin(s.hi, length);
    return s.lo >= s.hi || stretches_add(out, s, scratch);
}

static double tidy_length(Stretches *stretches)
{
    double sum = 0.0;
    stretches->count = stretches_tidy(stretches->items, stretches->count);
    for (size_t i = 0; i < stretches->count; i++) sum += stretches->items[i].hi - stretches->items[i].lo;
    return sum;
}

double avoid_along_mm(const SeamLine *line, Point a, Point b, Arena *scratch)
{
    if (point_equal(a, b)) return 0.0;
    ArenaMark mark = arena_mark(scratch);
    Stretches stretches = {0};
    bool fine = true;
    for (int i = 0; fine && i + 1 < line->count; i++)
        fine = add_along(line->points[i], line->points[i + 1], AVOID_BESIDE_MM, a, b, scratch, &stretches);
    double sum = tidy_length(&stretches);
    arena_rewind(scratch, mark);
    return fine ? sum : -1.0;
}

static bool is_far(Box box, Stroke stroke)
{
    return (stroke.a.x < box.min.x && stroke.b.x < box.min.x) || (stroke.a.x > box.max.x && stroke.b.x > box.max.x) ||
           (stroke.a.y < box.min.y && stroke.b.y < box.min.y) || (stroke.a.y > box.max.y && stroke.b.y > box.max.y);
}

double avoid_stacked_mm(const Avoid *avoid, Point a, Point b, Arena *scratch)
{
    if (avoid->above_count == 0 || point_equal(a, b)) return 0.0;
    ArenaMark mark = arena_mark(scratch);
    Stretches stretches = {0};
    bool fine = true;
    int near_um = (int)(AVOID_ABOVE_MM * UM_PER_MM);
    Box box = box_empty();
    box_add(&box, a);
    box_add(&box, b);
    Box wide = {{box.min.x - near_um, box.min.y - near_um}, {box.max.x + near_um, box.max.y + near_um}};
    for (int i = 0; fine && i < avoid->above_count; i++) {
        Stroke stroke = avoid->above[i];
        if (!is_far(wide, stroke)) fine = add_along(stroke.a, stroke.b, AVOID_ABOVE_MM, a, b, scratch, &stretches);
    }
    double sum = tidy_length(&stretches);
    arena_rewind(scratch, mark);
    return fine ? sum : -1.0;
}

double avoid_segment_in(const Avoid *avoid, const Hiding *hiding, Point a, Point b, Arena *scratch)
{
    double stacked = avoid_stacked_mm(avoid, a, b, scratch);
    if (stacked < 0.0) return -1.0;
    double sum = avoid->above_per_in * stacked / 25.4;
    for (int kind = 0; kind < AVOID_AREAS; kind++) {
        double inside = avoid_area_mm(&avoid->areas[kind], hiding, a, b, scratch);
        if (inside < 0.0) return -1.0;
        sum += avoid->areas[kind].per_in * inside / 25.4;
    }
    for (int i = 0; i < avoid->line_count; i++) {
        double along = avoid_along_mm(&avoid->lines[i], a, b, scratch);
        if (along < 0.0) return -1.0;
        sum += AVOID_LINE_PER_IN * along / 25.4;
    }
    return sum;
}
