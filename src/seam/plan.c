// plan.c - see plan.h.
#include "seam/plan.h"

typedef struct Tracing {
    const Net *net;
    const Joined *joined;
    bool *used; // by segment
    Plan *plan;
    int route_count;
} Tracing;

static int kept_count(const Tracing *t, const NetNode *node)
{
    int count = 0;
    for (int i = 0; i < 4; i++) count += node->leaving[i] >= 0 && joined_keeps(t->net, t->joined, node->leaving[i] / 2);
    return count;
}

static bool is_end(const Tracing *t, int node)
{
    return t->net->nodes[node].edge >= 0 || kept_count(t, &t->net->nodes[node]) != 2;
}

// The other kept half edge that leaves a node where exactly two meet.
static int half_onward(const Tracing *t, int half)
{
    const NetNode *node = &t->net->nodes[net_half_end(t->net, half)];
    for (int i = 0; i < 4; i++) {
        int next = node->leaving[i];
        if (next >= 0 && next / 2 != half / 2 && joined_keeps(t->net, t->joined, next / 2)) return next;
    }
    return -1;
}

// `next` goes on where `half` ends; nodes are rounded, so that straight on is straight on by a little.
static bool is_bend(const Net *net, int half, int next)
{
    return !points_run_straight(net->nodes[net_half_end(net, half ^ 1)].at, net->nodes[net_half_end(net, half)].at,
                                net->nodes[net_half_end(net, next)].at);
}

static void put_node(Tracing *t, int node)
{
    t->plan->route[t->route_count++] = node;
    t->plan->seams[t->plan->seam_count].count++;
}

static void begin_seam(Tracing *t, int node)
{
    t->plan->seams[t->plan->seam_count] = (PlanSeam){t->route_count, 0};
    put_node(t, node);
}

static void end_seam(Tracing *t, int node)
{
    put_node(t, node);
    t->plan->seam_count++;
}

static void trace_from_end(Tracing *t, int half)
{
    begin_seam(t, net_half_end(t->net, half ^ 1));
    for (;;) {
        t->used[half / 2] = true;
        int node = net_half_end(t->net, half);
        if (is_end(t, node)) break;
        int next = half_onward(t, half);
        if (is_bend(t->net, half, next)) put_node(t, node);
        half = next;
    }
    end_seam(t, net_half_end(t->net, half));
}

// A seam that closes round an inner piece is given as two, so that each has a start and an end.
static void trace_loop(Tracing *t, int half)
{
    int first = half;
    while (!is_bend(t->net, first, half_onward(t, first))) first = half_onward(t, first);
    first = half_onward(t, first);
    int bends = 0, start = net_half_end(t->net, first ^ 1);
    half = first;
    do {
        bends += is_bend(t->net, half, half_onward(t, half));
        half = half_onward(t, half);
    } while (half != first);
    begin_seam(t, start);
    int seen = 0;
    do {
        t->used[half / 2] = true;
        int next = half_onward(t, half), node = net_half_end(t->net, half);
        if (is_bend(t->net, half, next)) {
            seen++;
            if (seen == bends / 2) {
                end_seam(t, node);
                begin_seam(t, node);
            } else if (next != first) {
                put_node(t, node);
            }
        }
        half = next;
    } while (half != first);
    end_seam(t, start);
}

static bool copy_nodes(const Net *net, Arena *keep, Plan *plan, Error *err)
{
    plan->node_count = net->node_count;
    plan->nodes = arena_new(keep, PlanNode, net->node_count);
    if (!plan->nodes) return error_memory(err);
    for (int i = 0; i < net->node_count; i++)
        plan->nodes[i] = (PlanNode){net->nodes[i].at, net->nodes[i].edge, net->nodes[i].along};
    return true;
}

bool plan_make(const Net *net, const Joined *joined, const Judgement *judgement, Arena *keep, Arena *scratch, Plan *out,
               Error *err)
{
    *out = (Plan){.judgement = *judgement};
    out->route = arena_new(keep, int, 2 * (size_t)net->segment_count + 2);
    out->seams = arena_new(keep, PlanSeam, (size_t)net->segment_count + 2);
    Tracing t = {net, joined, arena_new(scratch, bool, net->segment_count), out, 0};
    if (!out->route || !out->seams || !t.used) return error_memory(err);
    for (int half = 0; half < 2 * net->segment_count; half++)
        if (!t.used[half / 2] && joined_keeps(net, joined, half / 2) && is_end(&t, net_half_end(net, half ^ 1)))
            trace_from_end(&t, half);
    for (int half = 0; half < 2 * net->segment_count; half += 2)
        if (!t.used[half / 2] && joined_keeps(net, joined, half / 2)) trace_loop(&t, half);
    return copy_nodes(net, keep, out, err);
}
