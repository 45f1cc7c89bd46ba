// plumb.c - see plumb.h.
#include "seam/plumb.h"

#include "seam/ends.h"
#include "seam/necks.h"
#include "seam/splice.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SEEN_FROM_MM 25.4       // less in sight leans unseen
#define LEAST_TAN 0.0087268678  // of 1/2 degree ...
#define MOST_TAN 0.2773245      // ... and of 15.5: what leans more is meant to
#define ACROSS_MM 76.2          // a shorter seam that is square to the outline lies across something narrow
#define ACROSS_SIN 0.0348994967 // square: within 2 degrees
#define STRAIGHT_MM 25.4        // an edge of the outline as long has a direction that is seen
#define GROWTH_IN 0.5          // what a leaning seam less may cost: higher, and seams grow; lower, and few change
#define FLAT_SIN 0.3            // a seam meets the outline, and slides along another one, at no less than 17 degrees
#define LEAST_MM 6.0            // between a joint that was moved and the next one
#define NEAR_MM 0.05            // a seam's end lies on the outline's curve, so near to its flat edge
#define RUNS_A_SEGMENT 4        // so many runs are tried for each segment, in all
enum { PLACES = 5, STEMS = 3, MOST_RUN = 64 };

static const double places[PLACES] = {0.0, 1.0, 0.5, 0.25, 0.75}; // between the run's two ends

typedef struct Plumb {
    const NetGround *ground;
    const SeamOptions *options;
    Arena *keep;
    Work *work;
    Net net;
    Necks necks;
    double cost_in, aslant_in;
    Point *tried; // pairs of ends of runs that have been tried as they are
    int tried_count, room;
} Plumb;

typedef struct Run {
    int nodes[MOST_RUN];
    int count;
    bool level; // else upright
} Run;

// ---- what leans ----

static double run_tan(Point a, Point b)
{
    double dx = fabs((double)b.x - a.x), dy = fabs((double)b.y - a.y);
    return dx > dy ? dy / dx : dx / dy;
}

// The seam that sets out from a node on an edge of at least that length is square to it, as near as `sin` says.
static bool ends_square(const Part *part, const NetNode *node, Point to, double sin, double edge_mm)
{
    if (node->edge < 0 || part->chain[node->edge] < 0) return false;
    Point a = part->points[node->edge], b = part->points[part->next[node->edge]];
    double ux = (double)b.x - a.x, uy = (double)b.y - a.y, vx = (double)to.x - node->at.x, vy = (double)to.y - node->at.y;
    if (point_distance_mm(a, b) < edge_mm) return false;
    return fabs(ux * vx + uy * vy) <= sin * sqrt((ux * ux + uy * uy) * (vx * vx + vy * vy));
}

static bool is_square(const Part *part, const NetNode *a, const NetNode *b, double sin, double edge_mm)
{
    return ends_square(part, a, b->at, sin, edge_mm) || ends_square(part, b, a->at, sin, edge_mm);
}

// A seam across something narrow, or square to a straight edge, has the drawing's direction.
static bool follows_drawing(const Part *part, const NetNode *a, const NetNode *b)
{
    if (is_square(part, a, b, ENDS_SQUARE_SIN, STRAIGHT_MM)) return true;
    return point_distance_mm(a->at, b->at) <= ACROSS_MM && is_square(part, a, b, ACROSS_SIN, 0.0);
}

static bool runs_aslant(const Part *part, const Net *net, const NetSegment *segment)
{
    const NetNode *a = &net->nodes[segment->a], *b = &net->nodes[segment->b];
    if (segment->visible_mm <= SEEN_FROM_MM || run_tan(a->at, b->at) <= LEAST_TAN) return false;
    return !follows_drawing(part, a, b);
}

static bool leans(const Part *part, const Net *net, const NetSegment *segment)
{
    return run_tan(net->nodes[segment->a].at, net->nodes[segment->b].at) <= MOST_TAN && runs_aslant(part, net, segment);
}

// What seams aslant may cost in all. Those that lean more count as well: a seam is not to become one of them.
static double aslant_in(const Part *part, const Net *net)
{
    double sum = 0.0;
    for (int i = 0; i < net->segment_count; i++)
        if (runs_aslant(part, net, &net->segments[i])) sum += GROWTH_IN;
    return sum;
}

// ---- runs ----

// The half edge that goes straight on where `half` arrives; -1 for none.
static int straight_on(const Net *net, int half)
{
    const NetNode *from = &net->nodes[net_half_end(net, half ^ 1)], *node = &net->nodes[net_half_end(net, half)];
    for (int i = 0; i < 4 && node->edge < 0; i++) {
        int next = node->leaving[i];
        if (next < 0 || next / 2 == half / 2) continue;
        if (points_run_straight(from->at, node->at, net->nodes[net_half_end(net, next)].at)) return next;
    }
    return -1;
}

// The run that a segment belongs to; false when it has too many joints.
static bool find_run(const Net *net, int segment, Run *run)
{
    int half = 2 * segment + 1, next;
    for (int guard = net->segment_count; guard > 0 && (next = straight_on(net, half)) >= 0; guard--) half = next;
    half ^= 1;
    run->count = 0;
    run->nodes[run->count++] = net_half_end(net, half ^ 1);
    for (; half >= 0 && run->count < MOST_RUN; half = straight_on(net, half))
        run->nodes[run->count++] = net_half_end(net, half);
    Point a = net->nodes[run->nodes[0]].at, b = net->nodes[run->nodes[run->count - 1]].at;
    run->level = abs(b.x - a.x) > abs(b.y - a.y);
    return run->count < MOST_RUN;
}

static bool is_of_run(const Run *run, int node)
{
    for (int i = 0; i < run->count; i++)
        if (run->nodes[i] == node) return true;
    return false;
}

// Notes the run; true when it had been noted as it is.
static bool was_tried(Plumb *p, const Run *run)
{
    Point a = p->net.nodes[run->nodes[0]].at, b = p->net.nodes[run->nodes[run->count - 1]].at;
    for (int i = 0; i < p->tried_count; i += 2)
        if ((point_equal(p->tried[i], a) && point_equal(p->tried[i + 1], b)) ||
            (point_equal(p->tried[i], b) && point_equal(p->tried[i + 1], a)))
            return true;
    if (p->tried_count + 2 > p->room) return true; // enough has been tried
    p->tried[p->tried_count++] = a;
    p->tried[p->tried_count++] = b;
    return false;
}

// ---- a run laid on a line ----

// x and y as along and across the line: a level line lies at across = at.
static double along_of(const Run *run, Point p) { return run->level ? p.x : p.y; }
static double across_of(const Run *run, Point p) { return run->level ? p.y : p.x; }

static Point on_line(const Run *run, double along, int32_t at)
{
    int32_t a = (int32_t)floor(along + 0.5);
    return run->level ? (Point){a, at} : (Point){at, a};
}

// Where a joint comes to lie: it slides along one of the seams that end there, or straight across when there is no such.
static Point slide(const Net *net, const Run *run, int node, int choice, int32_t at)
{
    Point from = net->nodes[node].at;
    int stems[4], count = 0;
    for (int i = 0; i < 4; i++) {
        int half = net->nodes[node].leaving[i];
        if (half >= 0 && !is_of_run(run, net_half_end(net, half))) stems[count++] = net_half_end(net, half);
    }
    if (choice >= count) return on_line(run, along_of(run, from), at);
    Point to = net->nodes[stems[choice]].at;
    double across = across_of(run, to) - across_of(run, from), along = along_of(run, to) - along_of(run, from);
    if (fabs(across) < FLAT_SIN * sqrt(across * across + along * along)) return on_line(run, along_of(run, from), at);
    return on_line(run, along_of(run, from) + along * (at - across_of(run, from)) / across, at);
}

// Where the line from `from` on meets the outline; false when it does so at a flat angle, or where no seam may end.
static bool meet_outline(const NetGround *ground, const Run *run, Point from, double sign, int32_t at, NetNode *out)
{
    const Part *part = ground->part;
    double nearest = INFINITY, share = 0.0;
    int best = -1;
    for (int i = 0; i < part->count; i++) {
        double a = across_of(run, part->points[i]), b = across_of(run, part->points[part->next[i]]);
        if ((a > at) == (b > at)) continue;
        double t = (at - a) / (b - a), p = along_of(run, part->points[i]), q = along_of(run, part->points[part->next[i]]);
        double way = sign * (p + t * (q - p) - along_of(run, from));
        if (way <= NEAR_MM * UM_PER_MM || way >= nearest) continue;
        nearest = way;
        share = t;
        best = i;
    }
    if (best < 0 || (part->locked && part->locked[best])) return false;
    Point p = part->points[best], q = part->points[part->next[best]];
    double rise = across_of(run, q) - across_of(run, p);
    if (fabs(rise) < FLAT_SIN * point_distance_mm(p, q) * UM_PER_MM) return false;
    *out = (NetNode){part_node(part, ground->chains, best, share), best, share, {-1, -1, -1, -1}, -1, 0.0, false};
    for (int i = 0; i < 2; i++) { // the curve lies a little beside its flat edge
        out->along = fmin(1.0, fmax(0.0, out->along - (across_of(run, out->at) - at) / rise));
        out->at = part_node(part, ground->chains, best, out->along);
    }
    return true;
}

// The run's ends on the outline, once its joints are in their places.
static bool place_ends(const Plumb *p, const Run *run, int32_t at, NetNode *nodes, bool *moved)
{
    int last = run->count - 1;
    for (int end = 0; end < 2; end++) {
        int node = run->nodes[end ? last : 0], other = run->nodes[end ? last - 1 : 1];
        const NetNode *was = &p->net.nodes[node], *beside = &p->net.nodes[other];
        if (was->edge < 0 || across_of(run, was->at) == at) continue;
        Point from = nodes[other].at;
        if (beside->edge >= 0 && across_of(run, beside->at) != at)
            from = on_line(run, 0.5 * (along_of(run, was->at) + along_of(run, beside->at)), at);
        double sign = along_of(run, was->at) > along_of(run, beside->at) ? 1.0 : -1.0;
        NetNode met;
        if (!meet_outline(p->ground, run, from, sign, at, &met)) return false;
        nodes[node] = met;
        moved[node] = true;
    }
    return true;
}

static bool place_run(const Plumb *p, const Run *run, int choice, int32_t at, NetNode *nodes, bool *moved)
{
    memset(moved, 0, (size_t)p->net.node_count * sizeof *moved);
    memcpy(nodes, p->net.nodes, (size_t)p->net.node_count * sizeof *nodes);
    for (int i = 0; i < run->count; i++) {
        int node = run->nodes[i];
        if (nodes[node].edge >= 0 || across_of(run, nodes[node].at) == at) continue;
        nodes[node].at = slide(&p->net, run, node, choice, at);
        moved[node] = true;
    }
    return place_ends(p, run, at, nodes, moved);
}

// ---- is it sound ----

static bool crosses_outline(const Part *part, Point a, Point b)
{
    for (int i = 0; i < part->count; i++) {
        Point p = part->points[i], q = part->points[part->next[i]];
        if (!segments_touch(a, b, p, q)) continue;
        if (point_segment_distance_mm(a, p, q) > NEAR_MM && point_segment_distance_mm(b, p, q) > NEAR_MM) return true;
    }
    return false;
}

static bool meets_others(const Net *net, const NetNode *nodes, int segment)
{
    const NetSegment *s = &net->segments[segment];
    for (int i = 0; i < net->segment_count; i++) {
        const NetSegment *t = &net->segments[i];
        if (t->a == s->a || t->a == s->b || t->b == s->a || t->b == s->b) continue;
        if (segments_touch(nodes[s->a].at, nodes[s->b].at, nodes[t->a].at, nodes[t->b].at)) return true;
    }
    return false;
}

// What has moved is no shorter than it may be, runs the way it ran, inside the part and clear of all else.
static bool is_sound(const Plumb *p, const NetNode *nodes, const bool *moved)
{
    for (int i = 0; i < p->net.segment_count; i++) {
        const NetSegment *s = &p->net.segments[i];
        if (!moved[s->a] && !moved[s->b]) continue;
        Point a = nodes[s->a].at, b = nodes[s->b].at, c = p->net.nodes[s->a].at, d = p->net.nodes[s->b].at;
        double same_way = ((double)b.x - a.x) * ((double)d.x - c.x) + ((double)b.y - a.y) * ((double)d.y - c.y);
        double length = point_distance_mm(a, b);
        if (same_way <= 0.0 || (length < LEAST_MM && length < s->length_mm)) return false;
        Point middle = {a.x + (b.x - a.x) / 2, a.y + (b.y - a.y) / 2};
        if (!cover_contains(p->ground->outline, middle)) return false;
        if (meets_others(&p->net, nodes, i) || crosses_outline(p->ground->part, a, b)) return false;
    }
    return true;
}

// ---- tries ----

static bool judge_net(const Plumb *p, const Net *net, Arena *scratch, Judgement *out, Error *err)
{
    Joined joined = {arena_new(scratch, int, net->face_count), net->faces, net->face_count};
    if (!joined.piece_of) return error_memory(err);
    for (int i = 0; i < net->face_count; i++) joined.piece_of[i] = i;
    return judge_division(p->ground, net, &joined, p->options, scratch, out, err);
}

typedef struct Trial {
    NetNode *nodes;
    bool *moved;
    double cost_in, aslant_in; // of the best one so far
    int choice;
    int32_t at;
    bool found;
} Trial;

static bool try_line(const Plumb *p, const Run *run, int choice, int32_t at, Trial *trial, Error *err)
{
    Arena *scratch = &p->work->scratch;
    ArenaMark mark = arena_mark(scratch);
    Net net;
    Judgement judgement;
    if (!place_run(p, run, choice, at, trial->nodes, trial->moved) || !is_sound(p, trial->nodes, trial->moved)) return true;
    if (!splice_moved(p->ground, &p->net, trial->nodes, trial->moved, scratch, scratch, &net, err)) return false;
    if (net.usable) {
        if (!judge_net(p, &net, scratch, &judgement, err)) return false;
        double aslant = aslant_in(p->ground->part, &net);
        Necks necks = {0};
        bool better = aslant < p->aslant_in && judgement.cost_in + aslant < trial->cost_in + trial->aslant_in;
        if (better && !necks_after(p->ground, &net, &p->net, &p->necks, p->options->least_neck_mm, scratch, p->work, &necks, err)) return false;
        if (better && necks.sum <= p->necks.sum) {
            trial->cost_in = judgement.cost_in;
            trial->aslant_in = aslant;
            trial->choice = choice;
            trial->at = at;
            trial->found = true;
        }
    }
    arena_rewind(scratch, mark);
    return work_goes_on(p->work, err);
}

static bool take_over(Plumb *p, const Run *run, Trial *trial, Error *err)
{
    Net net;
    place_run(p, run, trial->choice, trial->at, trial->nodes, trial->moved);
    if (!splice_moved(p->ground, &p->net, trial->nodes, trial->moved, p->keep, &p->work->scratch, &net, err)) return false;
    Necks necks;
    if (!necks_after(p->ground, &net, &p->net, &p->necks, p->options->least_neck_mm, p->keep, p->work, &necks, err)) return false;
    p->necks = necks;
    p->net = net;
    p->cost_in = trial->cost_in;
    p->aslant_in = trial->aslant_in;
    return true;
}

// Whether a seam may choose at one of the run's joints along which other one it slides.
static bool has_choice(const Net *net, const Run *run)
{
    for (int end = 0; end < 2; end++) {
        const NetNode *node = &net->nodes[run->nodes[end ? run->count - 1 : 0]];
        if (node->edge >= 0) continue;
        for (int i = 0; i < 4; i++)
            if (node->leaving[i] >= 0 && !is_of_run(run, net_half_end(net, node->leaving[i])) &&
                straight_on(net, node->leaving[i] ^ 1) < 0)
                return true;
    }
    return false;
}

static bool try_run(Plumb *p, const Run *run, bool *better, Error *err)
{
    ArenaMark mark = arena_mark(&p->work->scratch);
    Point a = p->net.nodes[run->nodes[0]].at, b = p->net.nodes[run->nodes[run->count - 1]].at;
    Trial trial = {.nodes = arena_new(&p->work->scratch, NetNode, p->net.node_count),
                   .moved = arena_new(&p->work->scratch, bool, p->net.node_count),
                   .cost_in = p->cost_in, .aslant_in = p->aslant_in};
    if (!trial.nodes || !trial.moved) return error_memory(err);
    int choices = has_choice(&p->net, run) ? STEMS : 1;
    for (int i = 0; i < PLACES; i++) {
        double from = across_of(run, a), to = across_of(run, b);
        for (int choice = 0; choice < choices; choice++)
            if (!try_line(p, run, choice, (int32_t)floor(from + places[i] * (to - from) + 0.5), &trial, err)) return false;
    }
    *better = trial.found;
    bool fine = !trial.found || take_over(p, run, &trial, err);
    arena_rewind(&p->work->scratch, mark);
    return fine;
}

static bool try_all(Plumb *p, bool *better, Error *err)
{
    for (int s = 0; s < p->net.segment_count; s++) {
        Run run;
        bool moved = false;
        if (!leans(p->ground->part, &p->net, &p->net.segments[s])) continue;
        if (!find_run(&p->net, s, &run)) continue;
        const NetNode *a = &p->net.nodes[run.nodes[0]], *b = &p->net.nodes[run.nodes[run.count - 1]];
        if (follows_drawing(p->ground->part, a, b) || was_tried(p, &run)) continue;
        if (!try_run(p, &run, &moved, err)) return false;
        *better |= moved;
        if (moved) s = -1; // segments have other numbers now
    }
    return true;
}

bool plumb_plan(const NetGround *ground, const Plan *plan, const SeamOptions *options, Arena *keep, Work *work, Plan *out,
                bool *better, Error *err)
{
    Arena *scratch = &work->scratch;
    ArenaMark mark = arena_mark(scratch);
    Arena store = arena_make(scratch->budget_bytes);
    Plumb p = {.ground = ground, .options = options, .keep = &store, .work = work};
    Judgement judgement;
    *better = false;
    bool fine = splice_plan(ground, plan, &store, scratch, &p.net, err);
    if (fine && p.net.usable) {
        p.room = 2 * RUNS_A_SEGMENT * p.net.segment_count;
        p.tried = arena_new(&store, Point, p.room);
        fine = p.tried ? judge_net(&p, &p.net, scratch, &judgement, err) : error_memory(err);
        p.cost_in = judgement.cost_in;
        p.aslant_in = aslant_in(ground->part, &p.net);
        fine = fine && necks_find(ground, &p.net, options->least_neck_mm, &store, work, &p.necks, err) && try_all(&p, better, err);
    }
    if (fine && *better) {
        Joined joined = {arena_new(scratch, int, p.net.face_count), p.net.faces, p.net.face_count};
        for (int i = 0; joined.piece_of && i < p.net.face_count; i++) joined.piece_of[i] = i;
        fine = joined.piece_of ? judge_division(ground, &p.net, &joined, options, scratch, &judgement, err) &&
                                     plan_make(&p.net, &joined, &judgement, keep, scratch, out, err)
                               : error_memory(err);
    }
    arena_rewind(scratch, mark);
    arena_free(&store);
    return fine;
}
