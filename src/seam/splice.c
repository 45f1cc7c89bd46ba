// splice.c - see splice.h.
#include "seam/splice.h"

#include "seam/faces.h"

#include <stdlib.h>

#define LEAST_STRETCH_MM 0.3 // between two nodes of a seam

typedef struct Splicing {
    const NetGround *ground;
    Arena *keep, *scratch;
    Net net;
} Splicing;

static bool open_splicing(Splicing *s, int nodes, int segments, Error *err)
{
    s->net = (Net){.usable = true};
    s->net.nodes = arena_new(s->keep, NetNode, nodes);
    s->net.segments = arena_new(s->keep, NetSegment, segments);
    return s->net.nodes && s->net.segments ? true : error_memory(err);
}

static int add_node(Splicing *s, NetNode node)
{
    for (int i = 0; i < 4; i++) node.leaving[i] = -1;
    node.next_on_ring = -1;
    s->net.nodes[s->net.node_count] = node;
    return s->net.node_count++;
}

static void add_segment(Splicing *s, int a, int b)
{
    double length = point_distance_mm(s->net.nodes[a].at, s->net.nodes[b].at);
    if (length < LEAST_STRETCH_MM) s->net.usable = false;
    s->net.segments[s->net.segment_count++] = (NetSegment){.a = a, .b = b, .face = {-1, -1}, .length_mm = length};
}

// A segment of another net as it is: what it costs is known.
static void take_segment(Splicing *s, const NetSegment *from, int a, int b)
{
    add_segment(s, a, b);
    NetSegment *made = &s->net.segments[s->net.segment_count - 1];
    made->visible_mm = from->visible_mm;
    made->avoid_in = from->avoid_in;
    for (int end = 0; end < 2; end++) made->slant[end] = from->slant[end];
    made->measured = from->measured;
}

// ---- tidying ----

static int *count_ends(const Splicing *s)
{
    int *ends = arena_new(s->scratch, int, s->net.node_count + 1);
    for (int i = 0; ends && i < s->net.segment_count; i++) {
        ends[s->net.segments[i].a]++;
        ends[s->net.segments[i].b]++;
    }
    return ends;
}

static int other_end(const NetSegment *segment, int node)
{
    return segment->a == node ? segment->b : segment->a;
}

// One segment for the two that meet at a junction where nothing else ends, when they run straight on.
static void join_at(Splicing *s, int node, int *ends)
{
    int two[2], n = 0;
    for (int i = 0; i < s->net.segment_count && n < 2; i++)
        if (s->net.segments[i].a == node || s->net.segments[i].b == node) two[n++] = i;
    int p = other_end(&s->net.segments[two[0]], node), q = other_end(&s->net.segments[two[1]], node);
    if (p == q || !points_run_straight(s->net.nodes[p].at, s->net.nodes[node].at, s->net.nodes[q].at)) return;
    s->net.segments[two[0]] =
        (NetSegment){.a = p, .b = q, .face = {-1, -1}, .length_mm = point_distance_mm(s->net.nodes[p].at, s->net.nodes[q].at)};
    s->net.segments[two[1]] = s->net.segments[--s->net.segment_count];
    ends[node] = 0;
}

static bool drop_unused(Splicing *s, const int *ends, Error *err)
{
    int *moved = arena_new(s->scratch, int, s->net.node_count + 1), n = 0;
    if (!moved) return error_memory(err);
    for (int i = 0; i < s->net.node_count; i++) {
        moved[i] = n;
        if (ends[i] > 0) s->net.nodes[n++] = s->net.nodes[i];
    }
    s->net.node_count = n;
    for (int i = 0; i < s->net.segment_count; i++) {
        s->net.segments[i].a = moved[s->net.segments[i].a];
        s->net.segments[i].b = moved[s->net.segments[i].b];
    }
    return true;
}

// Directions in the order of turning from x to y, beginning at x.
static bool turns_before(Point from, Point a, Point b)
{
    int half_a = a.y > from.y || (a.y == from.y && a.x > from.x), half_b = b.y > from.y || (b.y == from.y && b.x > from.x);
    if (half_a != half_b) return half_a > half_b;
    return point_cross(from, a, b) > 0;
}

// Adds a half edge to those that leave a node, in order.
static bool leave(Net *net, int node, int half)
{
    NetNode *n = &net->nodes[node];
    Point end = net->nodes[net_half_end(net, half)].at;
    int slot = 0;
    if (n->leaving[3] >= 0 || (n->edge >= 0 && n->leaving[0] >= 0)) return false;
    while (n->leaving[slot] >= 0 && turns_before(n->at, net->nodes[net_half_end(net, n->leaving[slot])].at, end)) slot++;
    for (int i = 3; i > slot; i--) n->leaving[i] = n->leaving[i - 1];
    n->leaving[slot] = half;
    return true;
}

static bool close_splicing(Splicing *s, int pieces, Net *out, Error *err)
{
    Net *net = &s->net;
    int *ends = count_ends(s);
    if (!ends) return error_memory(err);
    for (int i = 0; i < net->node_count; i++)
        if (net->nodes[i].edge < 0 && ends[i] == 2) join_at(s, i, ends);
    if (!drop_unused(s, ends, err)) return false;
    for (int i = 0; i < net->segment_count && net->usable; i++)
        net->usable = leave(net, net->segments[i].a, 2 * i) && leave(net, net->segments[i].b, 2 * i + 1);
    *out = *net;
    if (!net->usable) return true;
    if (!faces_find(s->ground, out, s->keep, err)) return false;
    if (out->usable && out->face_count != pieces) out->usable = false;
    return !out->usable || faces_measure(s->ground, out, s->keep, err);
}

bool splice_pieces(const NetGround *ground, const Net *net, const Joined *joined, Arena *keep, Arena *scratch, Net *out,
                   Error *err)
{
    Splicing s = {.ground = ground, .keep = keep, .scratch = scratch};
    if (!open_splicing(&s, net->node_count, net->segment_count, err)) return false;
    for (int i = 0; i < net->node_count; i++) add_node(&s, net->nodes[i]);
    for (int i = 0; i < net->segment_count; i++)
        if (joined_keeps(net, joined, i)) take_segment(&s, &net->segments[i], net->segments[i].a, net->segments[i].b);
    return close_splicing(&s, joined->piece_count, out, err);
}

bool splice_plan(const NetGround *ground, const Plan *plan, Arena *keep, Arena *scratch, Net *out, Error *err)
{
    Splicing s = {.ground = ground, .keep = keep, .scratch = scratch};
    int stretches = 0;
    for (int i = 0; i < plan->seam_count; i++) stretches += plan->seams[i].count - 1;
    if (!open_splicing(&s, plan->node_count, stretches, err)) return false;
    for (int i = 0; i < plan->node_count; i++)
        add_node(&s, (NetNode){.at = plan->nodes[i].at, .edge = plan->nodes[i].edge, .along = plan->nodes[i].along});
    for (int i = 0; i < plan->seam_count; i++)
        for (int k = plan->seams[i].first; k + 1 < plan->seams[i].first + plan->seams[i].count; k++)
            add_segment(&s, plan->route[k], plan->route[k + 1]);
    return close_splicing(&s, plan->judgement.pieces, out, err);
}

bool splice_moved(const NetGround *ground, const Net *net, const NetNode *nodes, const bool *moved, Arena *keep,
                  Arena *scratch, Net *out, Error *err)
{
    Splicing s = {.ground = ground, .keep = keep, .scratch = scratch};
    if (!open_splicing(&s, net->node_count, net->segment_count, err)) return false;
    for (int i = 0; i < net->node_count; i++) add_node(&s, nodes[i]);
    for (int i = 0; i < net->segment_count; i++) {
        const NetSegment *segment = &net->segments[i];
        if (moved[segment->a] || moved[segment->b]) add_segment(&s, segment->a, segment->b);
        else take_segment(&s, segment, segment->a, segment->b);
    }
    return close_splicing(&s, net->face_count, out, err);
}

// ---- one group in the place of another ----

typedef struct Ending { // a new seam that ends on a seam of the group's boundary
    int edge, node;
    double along;
} Ending;

static int compare_endings(const void *pa, const void *pb)
{
    const Ending *a = pa, *b = pb;
    if (a->edge != b->edge) return a->edge < b->edge ? -1 : 1;
    if (a->along != b->along) return a->along < b->along ? -1 : 1;
    return a->node - b->node;
}

// Where a node of the group's net lies in the whole part; false when another seam ends in the same point. A joint from
// which the group's old seam is gone takes a new one.
static bool move_node(Splicing *s, const Group *group, const NetNode *node, int *out_node, Ending *endings, int *count)
{
    const Part *part = &group->part;
    NetNode moved = *node;
    if (node->edge >= 0) {
        int edge = node->edge;
        if (node->along == 0.0 && group->is_joint[edge]) {
            *out_node = group->node[edge];
            return true;
        }
        if (node->along == 0.0 && group->node[edge] >= 0) return false;
        moved.edge = group->outline_edge[edge];
        moved.along = moved.edge < 0 ? 0.0 : part->from[edge] + node->along * (part->to[edge] - part->from[edge]);
        if (point_equal(node->at, part->points[edge]) && group->node[edge] >= 0) return false;
        if (point_equal(node->at, part->points[part->next[edge]]) && group->node[part->next[edge]] >= 0) return false;
    }
    *out_node = add_node(s, moved);
    if (node->edge >= 0 && moved.edge < 0) endings[(*count)++] = (Ending){node->edge, *out_node, node->along};
    return true;
}

static void add_border(Splicing *s, const Group *group, const Ending *endings, int count)
{
    const Part *part = &group->part;
    for (int edge = 0, e = 0; edge < part->count; edge++) {
        if (group->outline_edge[edge] >= 0) continue;
        int at = group->node[edge];
        for (; e < count && endings[e].edge == edge; e++) {
            add_segment(s, at, endings[e].node);
            at = endings[e].node;
        }
        add_segment(s, at, group->node[part->next[edge]]);
    }
}

static bool ends_kept(const Net *anew, const Joined *joined, const NetNode *node)
{
    for (int i = 0; i < 4; i++)
        if (node->leaving[i] >= 0 && joined_keeps(anew, joined, node->leaving[i] / 2)) return true;
    return false;
}

bool splice(const NetGround *ground, const Net *net, const bool *inside, const Group *group, const Net *anew,
            const Joined *joined, Arena *keep, Arena *scratch, Net *out, Error *err)
{
    Splicing s = {.ground = ground, .keep = keep, .scratch = scratch};
    int nodes = net->node_count + anew->node_count, count = 0, pieces = joined->piece_count;
    int segments = net->segment_count + anew->segment_count + anew->node_count + group->part.count;
    int *made = arena_new(scratch, int, anew->node_count);
    Ending *endings = arena_new(scratch, Ending, anew->node_count);
    if (!made || !endings) return error_memory(err);
    if (!open_splicing(&s, nodes, segments, err)) return false;
    *out = (Net){.usable = false};
    for (int i = 0; i < net->node_count; i++) add_node(&s, net->nodes[i]);
    for (int i = 0; i < anew->node_count; i++)
        if (ends_kept(anew, joined, &anew->nodes[i]) && !move_node(&s, group, &anew->nodes[i], &made[i], endings, &count))
            return true;
    if (count) qsort(endings, (size_t)count, sizeof *endings, compare_endings);
    for (int i = 0; i < net->segment_count; i++)
        if (!inside[net->segments[i].face[0]] && !inside[net->segments[i].face[1]])
            take_segment(&s, &net->segments[i], net->segments[i].a, net->segments[i].b);
    add_border(&s, group, endings, count);
    for (int i = 0; i < anew->segment_count; i++)
        if (joined_keeps(anew, joined, i))
            take_segment(&s, &anew->segments[i], made[anew->segments[i].a], made[anew->segments[i].b]);
    for (int i = 0; i < net->face_count; i++) pieces += !inside[i];
    return close_splicing(&s, pieces, out, err);
}
