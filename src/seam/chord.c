// chord.c - see chord.h.
// How:  rays set out from anchors on the boundary: samples of it, and its inner corners. Where a ray meets the boundary
//       again it is a chord. Chords are priced by their length in sight and their ends; the cheapest are carried out,
//       until one holds all that is asked of a division.
#include "seam/chord.h"

#include "seam/ends.h"
#include "seam/faces.h"
#include "seam/turns.h"

#include <math.h>
#include <stdlib.h>

#define SAMPLES 64           // anchors on the boundary, evenly, but ...
#define LEAST_SAMPLE_MM 6.0  // ... no nearer than that
#define MOST_CORNERS 32
#define MOST_TRIED 24        // chords carried out
#define LEAST_CHORD_MM 3.0
#define FLAT_ANGLE_SIN 0.3   // a chord leaves and meets the boundary at no less than 17 degrees
#define FLAT_ANGLE_COS 0.9539392 // the same angle, for corners
#define ON_AXIS_UM 2         // an axis-parallel chord's ends are rounded
#define NEAR_MM 0.05         // a ray does not meet what it sets out from
#define FEET 4               // nearest places of other edges, square to them, for each corner

typedef struct Anchor {
    Point at;
    int edge;
    double along;
    bool is_corner;
} Anchor;

typedef struct Chord {
    double cost_in;
    Anchor end[2];
} Chord;

typedef struct Chords {
    const NetGround *ground;
    const double *joint_in; // by point
    const Part *part;
    const SeamOptions *options;
    double below_in, most_mm2; // of one side
    Arena *scratch;
    Anchor *anchors;
    int anchor_count, corner_count; // corners come first
    Chord *items;
    size_t count, room;
} Chords;

// ---- anchors ----

static void unit(double *x, double *y)
{
    double length = sqrt(*x * *x + *y * *y);
    *x /= length;
    *y /= length;
}

static void edge_direction(const Part *part, int edge, double *dx, double *dy)
{
    Point a = part->points[edge], b = part->points[part->next[edge]];
    *dx = (double)b.x - a.x;
    *dy = (double)b.y - a.y;
    unit(dx, dy);
}

static int point_before(const Part *part, int i)
{
    int r = part_ring_of(part, i);
    return i > part->first[r] ? i - 1 : part->first[r + 1] - 1;
}

static double turning(const Part *part, int i)
{
    double ax, ay, bx, by;
    edge_direction(part, point_before(part, i), &ax, &ay);
    edge_direction(part, i, &bx, &by);
    return ax * bx + ay * by;
}

// Joints, and of a run of corner points (a rounded corner) the sharpest one.
static void add_corners(Chords *c)
{
    const Part *part = c->part;
    int best = -1;
    double sharpest = 2.0;
    for (int i = 0; i < part->count && c->corner_count < MOST_CORNERS; i++)
        if (c->joint_in[i] > 0.0) c->anchors[c->corner_count++] = (Anchor){part->points[i], i, 0.0, true};
    for (int i = 0; i <= part->count; i++) {
        bool is_corner = i < part->count && (!part->locked || !part->locked[i]) && ends_is_inner_corner(part, i);
        if (is_corner && turning(part, i) < sharpest) {
            best = i;
            sharpest = turning(part, i);
        }
        if (is_corner || best < 0) continue;
        if (c->corner_count < MOST_CORNERS)
            c->anchors[c->corner_count++] = (Anchor){part->points[best], best, 0.0, true};
        best = -1;
        sharpest = 2.0;
    }
    c->anchor_count = c->corner_count;
}

// Evenly along each ring. On a seam only where another may end.
static void add_samples(Chords *c)
{
    const Part *part = c->part;
    double step = fmax(LEAST_SAMPLE_MM, part->length_mm / SAMPLES), rest = 0.5 * step;
    for (int i = 0; i < part->count; i++) {
        Point a = part->points[i], b = part->points[part->next[i]];
        double length = point_distance_mm(a, b);
        for (; rest < length && c->anchor_count < 2 * SAMPLES + MOST_CORNERS; rest += step) {
            bool too_near = part->chain[i] < 0 && fmin(rest, length - rest) < ENDS_FROM_NODE_MM;
            if (too_near || (part->locked && part->locked[i])) continue;
            double t = rest / length;
            Point at = {a.x + (int32_t)(((double)b.x - a.x) * t), a.y + (int32_t)(((double)b.y - a.y) * t)};
            c->anchors[c->anchor_count++] = (Anchor){at, i, t, false};
        }
        rest -= length;
    }
}

// ---- rays ----

static bool sets_out_inside(const Part *part, const Anchor *from, double dx, double dy)
{
    double ox, oy, ix, iy;
    edge_direction(part, from->edge, &ox, &oy);
    double on = ox * dy - oy * dx; // the inside lies to the right
    if (!from->is_corner) return on > FLAT_ANGLE_SIN;
    int before = point_before(part, from->edge);
    edge_direction(part, before, &ix, &iy);
    double in = ix * dy - iy * dx;
    bool convex = point_side(part->points[before], from->at, part->points[part->next[from->edge]]) > 0;
    bool inside = convex ? in > 0.0 && on > 0.0 : in > 0.0 || on > 0.0;
    return inside && -(ix * dx + iy * dy) < FLAT_ANGLE_COS && ox * dx + oy * dy < FLAT_ANGLE_COS;
}

// The first place where the ray meets the boundary; false when that is at a flat angle.
static bool first_meeting(const Part *part, const Anchor *from, double dx, double dy, Anchor *out, double *out_mm)
{
    int best = -1;
    double nearest = 1e30, share = 0.0;
    for (int r = 0; r < part->ring_count; r++) {
        int last = part->first[r + 1] - 1;
        double px = (part->points[last].x - from->at.x) / UM_PER_MM, py = (part->points[last].y - from->at.y) / UM_PER_MM;
        double side = dx * py - dy * px;
        for (int i = part->first[r], e = last; i <= last; e = i++) {
            double qx = (part->points[i].x - from->at.x) / UM_PER_MM, qy = (part->points[i].y - from->at.y) / UM_PER_MM;
            double before = side;
            side = dx * qy - dy * qx;
            if ((before > 0.0) != (side > 0.0)) {
                double t = before / (before - side), at = (px + t * (qx - px)) * dx + (py + t * (qy - py)) * dy;
                if (at > NEAR_MM && at < nearest) {
                    nearest = at;
                    best = e;
                    share = t;
                }
            }
            px = qx;
            py = qy;
        }
    }
    if (best < 0 || nearest < LEAST_CHORD_MM) return false;
    double ex, ey;
    edge_direction(part, best, &ex, &ey);
    if (fabs(ex * dy - ey * dx) < FLAT_ANGLE_SIN) return false;
    *out = (Anchor){{0, 0}, best, share, false};
    *out_mm = nearest;
    return true;
}

static double cross_mm2(Point a, Point b)
{
    return ((double)a.x * b.y - (double)b.x * a.y) * 0.5e-6;
}

// The area to the right of the chord from end 0 to end 1 of one ring: back along the boundary. Holes are not taken off.
static double area_beside(const Part *part, const Anchor *from, const Anchor *to)
{
    int start = part->next[to->edge], end = from->edge, r = part_ring_of(part, end);
    double area = cross_mm2(from->at, to->at);
    if (to->edge == end && to->along < from->along) return area + cross_mm2(to->at, from->at);
    area += cross_mm2(to->at, part->points[start]) + cross_mm2(part->points[end], from->at);
    area += part->swept_mm2[end] - part->swept_mm2[start];
    if (start > end) area += part->swept_mm2[part->first[r + 1]] - part->swept_mm2[part->first[r]];
    return area;
}

static bool shares_well(const Chords *c, const Chord *chord)
{
    const Part *part = c->part;
    int r = part_ring_of(part, chord->end[0].edge);
    if (r != part_ring_of(part, chord->end[1].edge)) return false;
    double whole = part->swept_mm2[part->first[r + 1]] - part->swept_mm2[part->first[r]];
    double one = area_beside(part, &chord->end[0], &chord->end[1]), other = whole - one;
    double least = c->options->least_long_mm * c->options->least_wide_mm * 0.5, holes = fabs(whole - part->area_mm2);
    return one > least && other > least && one < c->most_mm2 + holes && other < c->most_mm2 + holes;
}

// ---- prices ----

static double joint_in(const Chords *c, const Chord *chord)
{
    double sum = 0.0;
    for (int end = 0; end < 2; end++)
        if (chord->end[end].is_corner) sum += c->joint_in[chord->end[end].edge];
    return sum;
}

static bool is_tidy_end(const Part *part, const Anchor *end, Point to)
{
    return part->chain[end->edge] >= 0 && ends_slant(part, end->edge, end->at, to) <= ENDS_SQUARE_SIN;
}

static bool runs_oddly(const Chords *c, const Chord *chord)
{
    Point a = chord->end[0].at, b = chord->end[1].at;
    if (abs(a.x - b.x) <= ON_AXIS_UM || abs(a.y - b.y) <= ON_AXIS_UM) return false;
    return !is_tidy_end(c->part, &chord->end[0], b) || !is_tidy_end(c->part, &chord->end[1], a);
}

// What the chord costs at least.
static bool price(Chords *c, Chord *chord, Error *err)
{
    Point a = chord->end[0].at, b = chord->end[1].at;
    const SeamOptions *options = c->options;
    double length = point_distance_mm(a, b), cost = 2.0 * options->piece_weight;
    chord->cost_in = 1e30;
    if (cost + options->hidden_weight * length / 25.4 >= c->below_in) return true;
    double hidden = hiding_length_mm(c->ground->hiding, a, b, c->scratch);
    if (hidden < 0.0) return error_memory(err);
    chord->cost_in = cost + (length - hidden + options->hidden_weight * hidden) / 25.4 - joint_in(c, chord);
    if (chord->cost_in < c->below_in && runs_oddly(c, chord)) chord->cost_in += judge_odd_in(length - hidden);
    if (chord->cost_in >= c->below_in) return true;
    double avoid_in = avoid_segment_in(c->ground->avoid, c->ground->hiding, a, b, c->scratch);
    if (avoid_in < 0.0) return error_memory(err);
    chord->cost_in += avoid_in;
    return true;
}

static Point place_of(const Chords *c, const Anchor *end)
{
    return part_node(c->part, c->ground->chains, end->edge, end->along);
}

// Kept when it parts the two well and costs less than what is there.
static bool take_chord(Chords *c, Chord chord, Error *err)
{
    if (!shares_well(c, &chord)) return true;
    if (!price(c, &chord, err)) return false;
    if (chord.cost_in >= c->below_in) return true;
    Chord *items = arena_grow(c->scratch, c->items, c->count, &c->room, sizeof *items);
    if (!items) return error_memory(err);
    c->items = items;
    items[c->count++] = chord;
    return true;
}

static bool add_ray(Chords *c, const Anchor *from, double dx, double dy, Error *err)
{
    Chord chord = {.end = {*from}};
    double length;
    if (!sets_out_inside(c->part, from, dx, dy)) return true;
    if (!first_meeting(c->part, from, dx, dy, &chord.end[1], &length) || !ends_may_lie(c->part, chord.end[1].edge, chord.end[1].along)) return true;
    chord.end[0].at = place_of(c, from);
    chord.end[1].at = place_of(c, &chord.end[1]);
    return take_chord(c, chord, err);
}

// Along x and y, and square to the outline.
static bool add_from_sample(Chords *c, const Anchor *from, Error *err)
{
    double ex, ey;
    edge_direction(c->part, from->edge, &ex, &ey);
    return add_ray(c, from, -ey, ex, err) && add_ray(c, from, 1.0, 0.0, err) && add_ray(c, from, -1.0, 0.0, err) &&
           add_ray(c, from, 0.0, 1.0, err) && add_ray(c, from, 0.0, -1.0, err);
}

typedef struct Foot { // where the way from a corner to an edge is square to it
    double mm, dx, dy;
} Foot;

static int find_feet(const Part *part, Point at, Foot feet[FEET])
{
    int count = 0;
    for (int i = 0; i < part->count; i++) {
        Point a = part->points[i], b = part->points[part->next[i]];
        double ex = (b.x - a.x) / UM_PER_MM, ey = (b.y - a.y) / UM_PER_MM;
        double px = (at.x - a.x) / UM_PER_MM, py = (at.y - a.y) / UM_PER_MM, along = px * ex + py * ey;
        double length2 = ex * ex + ey * ey;
        if (along < 0.0 || along > length2) continue;
        double fx = along / length2 * ex - px, fy = along / length2 * ey - py, mm = sqrt(fx * fx + fy * fy);
        if (mm < LEAST_CHORD_MM || (count == FEET && mm >= feet[count - 1].mm)) continue;
        int k = count < FEET ? count++ : FEET - 1;
        for (; k > 0 && feet[k - 1].mm > mm; k--) feet[k] = feet[k - 1];
        feet[k] = (Foot){mm, fx / mm, fy / mm};
    }
    return count;
}

// All round, square to other edges, and to other corners.
static bool add_from_corner(Chords *c, const Anchor *from, Error *err)
{
    Foot feet[FEET];
    for (int k = 0; k < 24; k++) {
        double x = seam_turns[k % 6][0], y = seam_turns[k % 6][1];
        for (int quarter = k / 6; quarter > 0; quarter--) {
            double was = x;
            x = -y;
            y = was;
        }
        if (!add_ray(c, from, x, y, err)) return false;
    }
    int count = find_feet(c->part, from->at, feet);
    for (int i = 0; i < count; i++)
        if (!add_ray(c, from, feet[i].dx, feet[i].dy, err)) return false;
    return true;
}

static bool add_between(Chords *c, const Anchor *from, const Anchor *to, Error *err)
{
    double dx = (double)to->at.x - from->at.x, dy = (double)to->at.y - from->at.y, met;
    double length = point_distance_mm(from->at, to->at);
    Anchor end;
    if (length < LEAST_CHORD_MM) return true;
    unit(&dx, &dy);
    if (!sets_out_inside(c->part, from, dx, dy) || !sets_out_inside(c->part, to, -dx, -dy)) return true;
    if (first_meeting(c->part, from, dx, dy, &end, &met) && met < length - NEAR_MM) return true;
    Chord chord = {.end = {*from, *to}};
    return take_chord(c, chord, err);
}

static bool list_chords(Chords *c, Work *work, Error *err)
{
    c->anchors = arena_new(c->scratch, Anchor, 2 * SAMPLES + MOST_CORNERS);
    if (!c->anchors) return error_memory(err);
    add_corners(c);
    add_samples(c);
    for (int i = 0; i < c->anchor_count; i++) {
        const Anchor *from = &c->anchors[i];
        if (!work_goes_on(work, err)) return false;
        if (!(i < c->corner_count ? add_from_corner(c, from, err) : add_from_sample(c, from, err))) return false;
        for (int k = i + 1; k < c->corner_count; k++)
            if (!add_between(c, from, &c->anchors[k], err)) return false;
    }
    return true;
}

static int compare_chords(const void *pa, const void *pb)
{
    const Chord *a = pa, *b = pb;
    if (a->cost_in != b->cost_in) return a->cost_in < b->cost_in ? -1 : 1;
    for (int end = 0; end < 2; end++) {
        if (a->end[end].edge != b->end[end].edge) return a->end[end].edge - b->end[end].edge;
        if (a->end[end].along != b->end[end].along) return a->end[end].along < b->end[end].along ? -1 : 1;
    }
    return 0;
}

// ---- carrying out ----

static bool carry_out(const Chords *c, const Chord *chord, Arena *keep, Net *net, Joined *joined, double *out_cost_in,
                      Error *err)
{
    Judgement judgement;
    const NetGround *ground = c->ground;
    *net = (Net){.nodes = arena_new(keep, NetNode, 2), .node_count = 2, .segment_count = 1};
    net->segments = arena_new(keep, NetSegment, 1);
    *joined = (Joined){.piece_of = arena_new(keep, int, 2), .piece_count = 2};
    if (!net->nodes || !net->segments || !joined->piece_of) return error_memory(err);
    for (int end = 0; end < 2; end++)
        net->nodes[end] = (NetNode){.at = chord->end[end].at,
                                    .edge = chord->end[end].edge,
                                    .along = chord->end[end].along,
                                    .leaving = {end, -1, -1, -1},
                                    .next_on_ring = -1,
                                    .at_joint = chord->end[end].is_corner && c->joint_in[chord->end[end].edge] > 0.0};
    double length = point_distance_mm(chord->end[0].at, chord->end[1].at);
    net->segments[0] = (NetSegment){.a = 0, .b = 1, .face = {-1, -1}, .length_mm = length};
    if (!faces_find(ground, net, keep, err)) return false;
    net->usable = net->usable && net->face_count == 2;
    if (!net->usable) return true;
    joined->pieces = net->faces;
    joined->piece_of[1] = 1;
    if (!faces_measure(ground, net, keep, err)) return false;
    if (!judge_division(ground, net, joined, c->options, keep, &judgement, err)) return false;
    *out_cost_in = judgement.cost_in - joint_in(c, chord);
    return true;
}

// The index of the best chord, or -1.
static bool pick(Chords *c, int *out, Error *err)
{
    double best = c->below_in;
    *out = -1;
    for (size_t i = 0; i < c->count && i < MOST_TRIED && c->items[i].cost_in < best; i++) {
        Net net;
        Joined joined;
        double cost;
        ArenaMark mark = arena_mark(c->scratch);
        if (!carry_out(c, &c->items[i], c->scratch, &net, &joined, &cost, err)) return false;
        arena_rewind(c->scratch, mark);
        if (!net.usable || cost >= best) continue;
        best = cost;
        *out = (int)i;
    }
    return true;
}

bool chord_divide(const NetGround *ground, const double *joint_in, double below_in, const SeamOptions *options,
                  Arena *keep, Work *work, Net *out_net, Joined *out_joined, double *out_cost_in, bool *found,
                  Error *err)
{
    Chords c = {.ground = ground, .joint_in = joint_in, .part = ground->part, .options = options, .below_in = below_in,
                .most_mm2 = ground->space.width_mm * ground->space.height_mm, .scratch = &work->scratch};
    ArenaMark mark = arena_mark(&work->scratch);
    int best = -1;
    bool fine = list_chords(&c, work, err);
    if (fine && c.count) qsort(c.items, c.count, sizeof *c.items, compare_chords);
    fine = fine && pick(&c, &best, err);
    *found = best >= 0;
    if (fine && *found) fine = carry_out(&c, &c.items[best], keep, out_net, out_joined, out_cost_in, err);
    arena_rewind(&work->scratch, mark);
    return fine;
}
