// course.c - see course.h.
#include "seam/course.h"

#include "seam/ends.h"

#include <math.h>
#include <stdlib.h>

#define MOST_ENDS 10
#define MOST_STOPS 12      // hidden points of the rough course that are looked at
#define REACH_MM 15.0      // ends lie so near to the rough ones
#define END_STEP_MM 5.0    // between places on the outline
#define SEEN_END_MM 1.5    // so much in sight: its end is, too
#define INSIDE_MM 0.1      // a course has left the outline so far from its end
#define FLAT_COS 0.9539392 // of 17 degrees
#define SOFT_BEND_IN 0.05  // a bend where nobody sees it, as judge.c has it
#define LEAST_STRETCH_MM 4.0
static const double steps_mm[] = {6.0, 3.0, 1.5};
enum { STEPS = sizeof steps_mm / sizeof *steps_mm, DIRECTIONS = 8 };
static const double directions[DIRECTIONS][2] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}, {0.7, 0.7}, {-0.7, 0.7}, {-0.7, -0.7}, {0.7, -0.7}};

typedef struct Stop { // a place that a course may go through
    Point at;
    int edge; // -1: a bend
    double along;
} Stop;

typedef struct Laying {
    const NetGround *ground;
    const Part *part;
    const Overlap *overlap;
    const double *joint_in;
    const SeamOptions *options;
    Arena *scratch;
    int *near; // edges of the boundary that a course can meet
    int near_count;
} Laying;

// ---- one stretch ----

static double cosine(Point at, Point a, Point b)
{
    double ax = (double)a.x - at.x, ay = (double)a.y - at.y, bx = (double)b.x - at.x, by = (double)b.y - at.y;
    double lengths = sqrt(ax * ax + ay * ay) * sqrt(bx * bx + by * by);
    return lengths > 0.0 ? (ax * bx + ay * by) / lengths : 1.0;
}

static bool starts_inside(const Laying *l, Point a, Point b, double length)
{
    double t = fmin(0.5, INSIDE_MM / length);
    Point p = {a.x + (int32_t)((b.x - a.x) * t), a.y + (int32_t)((b.y - a.y) * t)};
    return cover_contains(l->ground->outline, p);
}

static int edge_before(const Part *part, int edge)
{
    int r = part_ring_of(part, edge);
    return edge > part->first[r] ? edge - 1 : part->first[r + 1] - 1;
}

static bool is_end_of(const Part *part, const Stop *stop, int edge)
{
    if (stop->edge < 0) return false;
    if (edge == stop->edge) return true;
    if (stop->along == 0.0 && edge == edge_before(part, stop->edge)) return true;
    // A node is on the curve, rounded: beside a corner it may touch the next edge.
    return point_equal(stop->at, part->points[edge]) || point_equal(stop->at, part->points[part->next[edge]]);
}

static int32_t least(int32_t a, int32_t b)
{
    return a < b ? a : b;
}

static int32_t most(int32_t a, int32_t b)
{
    return a > b ? a : b;
}

// It meets the outline at its ends alone and lies inside.
static bool is_clear(const Laying *l, const Stop *a, const Stop *b, double length)
{
    const Part *part = l->part;
    int32_t x0 = least(a->at.x, b->at.x), x1 = most(a->at.x, b->at.x);
    int32_t y0 = least(a->at.y, b->at.y), y1 = most(a->at.y, b->at.y);
    for (int i = 0; i < l->near_count; i++) {
        int e = l->near[i];
        Point p = part->points[e], q = part->points[part->next[e]];
        if (most(p.x, q.x) < x0 || least(p.x, q.x) > x1 || most(p.y, q.y) < y0 || least(p.y, q.y) > y1) continue;
        if (segments_touch(a->at, b->at, p, q) && !is_end_of(part, a, e) && !is_end_of(part, b, e)) return false;
    }
    return starts_inside(l, a->at, b->at, length) && starts_inside(l, b->at, a->at, length);
}

// Not at a flat angle to the outline: there a rounded node may lie on its wrong side.
static bool is_steep(const Part *part, const Stop *stop, Point to)
{
    if (stop->edge < 0) return true;
    Point at = stop->at, next = part->points[part->next[stop->edge]];
    Point last = stop->along > 0.0 ? part->points[stop->edge] : part->points[edge_before(part, stop->edge)];
    return cosine(at, next, to) < FLAT_COS && cosine(at, last, to) < FLAT_COS;
}

static bool runs_oddly(const Stop *a, const Stop *b, double slant_a, double slant_b)
{
    if (abs(a->at.x - b->at.x) <= 2 || abs(a->at.y - b->at.y) <= 2) return false;
    return a->edge < 0 || b->edge < 0 || slant_a > ENDS_SQUARE_SIN || slant_b > ENDS_SQUARE_SIN;
}

static double slant_at(const Laying *l, const Stop *from, const Stop *to)
{
    bool on_outline = from->edge >= 0 && l->part->chain[from->edge] >= 0;
    return on_outline ? ends_slant(l->part, from->edge, from->at, to->at) : 0.0;
}

static double joint_at(const Laying *l, const Stop *stop)
{
    return stop->edge >= 0 && stop->along == 0.0 ? l->joint_in[stop->edge] : 0.0;
}

// What the stretch costs, or infinity; when that is at least below_in, a bound is enough. Negative infinity: memory ran out.
static double price(const Laying *l, const Stop *a, const Stop *b, double below_in)
{
    double length = point_distance_mm(a->at, b->at);
    if (length < LEAST_STRETCH_MM || !is_steep(l->part, a, b->at) || !is_steep(l->part, b, a->at)) return INFINITY;
    double cost = l->options->hidden_weight * length / 25.4 - joint_at(l, a) - joint_at(l, b);
    if (cost >= below_in) return cost;
    double hidden = hiding_length_mm(l->ground->hiding, a->at, b->at, l->scratch);
    if (hidden < 0.0) return -INFINITY;
    double visible = fmax(0.0, length - hidden);
    cost += (1.0 - l->options->hidden_weight) * visible / 25.4;
    if (cost >= below_in) return cost;
    double slant_a = slant_at(l, a, b), slant_b = slant_at(l, b, a);
    if (visible > SEEN_END_MM) cost += judge_slant_in(slant_a) + judge_slant_in(slant_b);
    if (runs_oddly(a, b, slant_a, slant_b)) cost += judge_odd_in(visible);
    if (cost >= below_in) return cost;
    return is_clear(l, a, b, length) ? cost : INFINITY;
}

// ---- places ----

static bool find_near(Laying *l, const Rough *rough, Error *err)
{
    const Part *part = l->part;
    Box box = box_empty();
    int reach = (int)(2.0 * REACH_MM * UM_PER_MM);
    for (int i = 0; i < rough->count; i++) box_add(&box, rough->points[i]);
    box = (Box){{box.min.x - reach, box.min.y - reach}, {box.max.x + reach, box.max.y + reach}};
    l->near = arena_new(l->scratch, int, part->count);
    if (!l->near) return error_memory(err);
    for (int i = 0; i < part->count; i++) {
        Box edge = box_empty();
        box_add(&edge, part->points[i]);
        box_add(&edge, part->points[part->next[i]]);
        if (box_overlap(edge, box)) l->near[l->near_count++] = i;
    }
    return true;
}

// A place on the boundary as an end, where one may lie and both sheets cover it.
static bool put_end(const Laying *l, int edge, double along, Stop *out)
{
    bool is_joint = along == 0.0 && l->joint_in[edge] > 0.0;
    if (!is_joint && !ends_may_lie(l->part, edge, along)) return false;
    *out = (Stop){part_node(l->part, l->ground->chains, edge, along), edge, along};
    double x = out->at.x / UM_PER_MM, y = out->at.y / UM_PER_MM;
    return sheet_covers(&l->overlap->sheet[0], x, y) && sheet_covers(&l->overlap->sheet[1], x, y);
}

static bool nearest_place(const Laying *l, Point to, int *out_edge, double *out_along)
{
    double nearest = REACH_MM;
    *out_edge = -1;
    for (int i = 0; i < l->near_count; i++) {
        int e = l->near[i];
        Point a = l->part->points[e], b = l->part->points[l->part->next[e]];
        double away = point_segment_distance_mm(to, a, b);
        if (away >= nearest) continue;
        double dx = (double)b.x - a.x, dy = (double)b.y - a.y;
        double t = ((to.x - (double)a.x) * dx + (to.y - (double)a.y) * dy) / (dx * dx + dy * dy);
        nearest = away;
        *out_edge = e;
        *out_along = fmin(1.0, fmax(0.0, t));
    }
    return *out_edge >= 0;
}

// Goes along the boundary, backwards when way_mm is negative.
static void go_along(const Part *part, int *edge, double *along, double way_mm)
{
    double length = point_distance_mm(part->points[*edge], part->points[part->next[*edge]]);
    double at = *along * length + way_mm;
    for (int guard = part->count; guard > 0 && (at < 0.0 || at >= length); guard--) {
        if (at >= length) {
            at -= length;
            *edge = part->next[*edge];
        } else {
            *edge = edge_before(part, *edge);
        }
        double next = point_distance_mm(part->points[*edge], part->points[part->next[*edge]]);
        if (at < 0.0) at += next;
        length = next;
    }
    *along = fmin(1.0, fmax(0.0, at / length));
    if (*along == 1.0) {
        *edge = part->next[*edge];
        *along = 0.0;
    }
}

// Corners and joints within reach, the nearest place, and places beside it.
static int find_ends(const Laying *l, Point rough, Stop *ends)
{
    const Part *part = l->part;
    int count = 0, edge;
    double along;
    if (!nearest_place(l, rough, &edge, &along)) return 0;
    for (int k = 0; k <= 4; k++) {
        int e = edge;
        double t = along;
        go_along(part, &e, &t, (k % 2 ? 1.0 : -1.0) * ((k + 1) / 2) * END_STEP_MM);
        count += put_end(l, e, t, &ends[count]);
    }
    for (int i = 0; i < l->near_count && count < MOST_ENDS; i++) {
        int e = l->near[i];
        if (point_distance_mm(part->points[e], rough) > REACH_MM) continue;
        if (l->joint_in[e] > 0.0 || ends_is_inner_corner(part, e)) count += put_end(l, e, 0.0, &ends[count]);
    }
    return count;
}

static int find_stops(const Rough *rough, Stop *stops)
{
    int hidden = 0, count = 0, seen = 0;
    for (int i = 0; i < rough->count; i++) hidden += rough->hidden[i];
    for (int i = 0; i < rough->count; i++) {
        if (!rough->hidden[i]) continue;
        // Evenly among them, the first and the last one too.
        bool taken = hidden <= MOST_STOPS || seen * (MOST_STOPS - 1) / (hidden - 1) >= count;
        seen++;
        if (taken && count < MOST_STOPS) stops[count++] = (Stop){rough->points[i], -1, 0.0};
    }
    return count;
}

// ---- the cheapest way ----

enum { MOST_PLACES = 2 * MOST_ENDS + MOST_STOPS };

typedef struct Ways { // by place and number of bends up to it
    double cost[MOST_PLACES][COURSE_BENDS + 2];
    int from[MOST_PLACES][COURSE_BENDS + 2];
} Ways;

typedef struct Places {
    Stop items[MOST_PLACES]; // ends at the start, bends in order, ends at the end
    int starts, bends, count;
} Places;

static bool reach_place(const Laying *l, const Places *p, Ways *ways, int to, double below_in)
{
    bool is_bend = to < p->starts + p->bends;
    int last_from = is_bend ? to : p->starts + p->bends;
    for (int k = 0; k < COURSE_BENDS + 2; k++) ways->cost[to][k] = INFINITY;
    for (int from = 0; from < last_from; from++) {
        double least_in = INFINITY, limit_in = -INFINITY;
        for (int k = 0; k < COURSE_BENDS + 1; k++) { // a way with one bend more: is there any that this stretch could make better?
            least_in = fmin(least_in, ways->cost[from][k]);
            limit_in = fmax(limit_in, fmin(ways->cost[to][k + 1], below_in) - ways->cost[from][k]);
        }
        if (least_in >= below_in || limit_in <= 0.0) continue;
        double cost = price(l, &p->items[from], &p->items[to], limit_in);
        if (cost == -INFINITY) return false;
        if (cost >= limit_in) continue;
        if (is_bend) cost += SOFT_BEND_IN;
        for (int k = 0; k < COURSE_BENDS + 1; k++) {
            if (ways->cost[from][k] + cost >= fmin(ways->cost[to][k + 1], below_in)) continue;
            ways->cost[to][k + 1] = ways->cost[from][k] + cost;
            ways->from[to][k + 1] = from;
        }
    }
    return true;
}

// Number of bends on the cheapest way to a place; -1 when there is none.
static int best_way(const Ways *ways, int to)
{
    int best = -1;
    for (int k = 0; k < COURSE_BENDS + 2; k++)
        if (ways->cost[to][k] < (best < 0 ? INFINITY : ways->cost[to][best])) best = k;
    return best;
}

static bool find_way(const Laying *l, const Places *p, double below_in, Stop *out, int *out_count, double *out_in)
{
    Ways ways;
    double best = below_in;
    int end = -1;
    for (int i = 0; i < p->starts; i++)
        for (int k = 0; k < COURSE_BENDS + 2; k++) ways.cost[i][k] = k == 0 ? 0.0 : INFINITY;
    for (int i = p->starts; i < p->count; i++) {
        if (!reach_place(l, p, &ways, i, best)) return false;
        int k = best_way(&ways, i);
        if (i < p->starts + p->bends || k < 0 || ways.cost[i][k] >= best) continue;
        best = ways.cost[i][k];
        end = i;
    }
    *out_count = 0;
    *out_in = best;
    if (end < 0) return true;
    int k = best_way(&ways, end);
    *out_count = k + 1;
    for (int at = end; k >= 0; k--) {
        out[k] = p->items[at];
        if (k > 0) at = ways.from[at][k];
    }
    return true;
}

// ---- shifts ----

// What the stretches on both sides of a place cost, but for bends.
static double price_beside(const Laying *l, const Stop *stops, int count, int i)
{
    double cost = 0.0;
    if (i > 0) cost += price(l, &stops[i - 1], &stops[i], INFINITY);
    if (i + 1 < count && cost != -INFINITY) cost += price(l, &stops[i], &stops[i + 1], INFINITY);
    return cost;
}

static bool is_hidden_place(const Laying *l, Point at)
{
    const Overlap *o = l->overlap;
    int column = (int)floor((at.x / UM_PER_MM - o->x_mm) / o->side_mm), row = (int)floor((at.y / UM_PER_MM - o->y_mm) / o->side_mm);
    if (column < 0 || column >= o->columns || row < 0 || row >= o->rows) return false;
    int cell = row * o->columns + column;
    double x = at.x / UM_PER_MM, y = at.y / UM_PER_MM;
    return o->cells[cell] != CELL_OUTSIDE && o->seen[cell] < 0.5 && sheet_covers(&o->sheet[0], x, y) &&
           sheet_covers(&o->sheet[1], x, y);
}

// The k-th place that a bend is tried at: a step to all sides, or in line with its neighbours along x or y.
static Stop shifted_bend(const Stop *stops, int i, int k, double step_mm)
{
    Stop s = stops[i];
    if (k < DIRECTIONS) {
        s.at.x += (int32_t)(directions[k][0] * step_mm * UM_PER_MM);
        s.at.y += (int32_t)(directions[k][1] * step_mm * UM_PER_MM);
        return s;
    }
    const Stop *beside = &stops[k % 2 ? i + 1 : i - 1];
    if (k - DIRECTIONS < 2) s.at.x = beside->at.x;
    else s.at.y = beside->at.y;
    return s;
}

static bool shift_place(const Laying *l, Stop *stops, int count, int i, double step_mm)
{
    double now = price_beside(l, stops, count, i);
    bool is_bend = stops[i].edge < 0;
    for (int k = 0; k < (is_bend ? DIRECTIONS + 4 : 2); k++) {
        Stop was = stops[i];
        if (is_bend) {
            stops[i] = shifted_bend(stops, i, k, step_mm);
            if (!is_hidden_place(l, stops[i].at)) {
                stops[i] = was;
                continue;
            }
        } else {
            go_along(l->part, &stops[i].edge, &stops[i].along, k ? step_mm : -step_mm);
            if (!put_end(l, stops[i].edge, stops[i].along, &stops[i])) {
                stops[i] = was;
                continue;
            }
        }
        double then = price_beside(l, stops, count, i);
        if (then == -INFINITY) return false;
        if (then < now) now = then;
        else stops[i] = was;
    }
    return true;
}

static bool shift_all(const Laying *l, Stop *stops, int count, double *out_in)
{
    for (int s = 0; s < STEPS; s++)
        for (int i = 0; i < count; i++)
            if (!shift_place(l, stops, count, i, steps_mm[s])) return false;
    *out_in = SOFT_BEND_IN * (count - 2);
    for (int i = 0; i + 1 < count; i++) *out_in += price(l, &stops[i], &stops[i + 1], INFINITY);
    return true;
}

static CourseEnd as_end(const Stop *stop)
{
    return (CourseEnd){stop->at, stop->edge, stop->along};
}

bool course_find(const NetGround *ground, const Overlap *overlap, const Rough *rough, const double *joint_in,
                 double below_in, const SeamOptions *options, Arena *scratch, Course *out, bool *found, Error *err)
{
    Laying l = {.ground = ground, .part = ground->part, .overlap = overlap, .joint_in = joint_in, .options = options,
                .scratch = scratch};
    Places p = {.count = 0};
    Stop way[COURSE_BENDS + 2];
    int count;
    *out = (Course){.bend_count = 0};
    *found = false;
    if (!find_near(&l, rough, err)) return false;
    p.starts = p.count = find_ends(&l, rough->points[0], p.items);
    p.bends = find_stops(rough, p.items + p.count);
    p.count += p.bends;
    int ends = find_ends(&l, rough->points[rough->count - 1], p.items + p.count);
    p.count += ends;
    if (p.starts == 0 || ends == 0) return true;
    if (!find_way(&l, &p, below_in * 1.25 + 0.5, way, &count, &out->cost_in)) return error_memory(err);
    if (count < 2) return true;
    if (!shift_all(&l, way, count, &out->cost_in)) return error_memory(err);
    *found = out->cost_in < below_in;
    out->end[0] = as_end(&way[0]);
    out->end[1] = as_end(&way[count - 1]);
    out->bend_count = count - 2;
    for (int i = 0; i < out->bend_count; i++) out->bends[i] = way[i + 1].at;
    return true;
}
