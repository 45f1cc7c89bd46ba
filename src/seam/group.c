// group.c - see group.h.
#include "seam/group.h"

#include "seam/faces.h"

#include <math.h>

typedef struct Corner { // a point of the boundary and the edge that it starts
    Point at;
    int node, edge; // edge -1: a seam
    double from, to;
    bool soft; // nothing but seams inside the group ends here
    bool joint; // ... and at least one does
} Corner;

typedef struct Walk {
    const Part *part;
    const Net *net;
    const bool *inside;
    Corner *corners;
    int count, room;
    int *first; // of ring r
    int ring_count;
    bool *walked;  // by half edge
    bool *touched; // by ring of the whole part: a seam to other pieces ends on it
} Walk;

static int face_of(const Net *net, int half)
{
    return net->segments[half / 2].face[half % 2];
}

static bool is_border(const Walk *w, int half)
{
    return w->inside[face_of(w->net, half)] && !w->inside[face_of(w->net, half ^ 1)];
}

// All that ends at the node lies between pieces of the group.
static bool is_inner(const Walk *w, const NetNode *node)
{
    for (int i = 0; i < 4; i++) {
        int half = node->leaving[i];
        if (half >= 0 && (!w->inside[face_of(w->net, half)] || !w->inside[face_of(w->net, half ^ 1)])) return false;
    }
    return true;
}

// Of the seams that end at a junction on the border, only the border itself has another piece beside it. *joint: the
// rest is at least one.
static bool is_soft(const Walk *w, const NetNode *node, bool *joint)
{
    int others = 0, all = 0;
    for (int i = 0; i < 4; i++) {
        int half = node->leaving[i];
        all += half >= 0;
        others += half >= 0 && (!w->inside[face_of(w->net, half)] || !w->inside[face_of(w->net, half ^ 1)]);
    }
    *joint = others == 2 && all > 2;
    return others == 2;
}

static void put(Walk *w, Corner corner)
{
    if (w->count < w->room) w->corners[w->count] = corner;
    w->count++;
}

// The outline from node n to node m.
static void put_outline(Walk *w, const NetNode *n, int node, const NetNode *m)
{
    bool ahead = n->edge == m->edge && n->along < m->along;
    put(w, (Corner){n->at, node, n->edge, n->along, ahead ? m->along : 1.0, false, false});
    for (int i = w->part->next[n->edge]; !ahead; i = w->part->next[i]) {
        bool last = i == m->edge;
        if (last && m->along == 0.0) break;
        put(w, (Corner){w->part->points[i], -1, i, 0.0, last ? m->along : 1.0, false, false});
        if (last) break;
    }
}

static int onward(const Walk *w, int half)
{
    const Net *net = w->net;
    const NetNode *node = &net->nodes[net_half_end(net, half)];
    int next = faces_turn_right(node, half);
    for (int guard = 4; guard > 0 && next >= 0 && w->inside[face_of(net, next ^ 1)]; guard--)
        next = faces_turn_right(node, next ^ 1);
    return next;
}

// One ring of the border, from a half edge on; false when it does not close.
static bool walk_ring(Walk *w, int start)
{
    int half = start;
    w->first[w->ring_count++] = w->count;
    do {
        if (w->walked[half]) return false;
        w->walked[half] = true;
        const NetNode *from = &w->net->nodes[net_half_end(w->net, half ^ 1)];
        bool joint = false, soft = from->edge < 0 && is_soft(w, from, &joint);
        put(w, (Corner){from->at, net_half_end(w->net, half ^ 1), -1, 0.0, 1.0, soft, joint});
        int at = net_half_end(w->net, half);
        const NetNode *node = &w->net->nodes[at];
        if (node->edge < 0) {
            half = onward(w, half);
        } else {
            int to = node->next_on_ring;
            while (is_inner(w, &w->net->nodes[to])) to = w->net->nodes[to].next_on_ring;
            put_outline(w, node, at, &w->net->nodes[to]);
            w->touched[part_ring_of(w->part, node->edge)] = true;
            half = faces_leaving(&w->net->nodes[to]);
        }
        if (half < 0 || !is_border(w, half)) return false;
    } while (half != start);
    return true;
}

static void put_whole_ring(Walk *w, int ring)
{
    w->first[w->ring_count++] = w->count;
    for (int i = w->part->first[ring]; i < w->part->first[ring + 1]; i++)
        put(w, (Corner){w->part->points[i], -1, i, 0.0, 1.0, false, false});
}

// Rings of the outline that lie in the group and on which no seam to other pieces ends.
static void put_inner_rings(Walk *w, const int *ring_piece)
{
    for (int r = 0; r < w->part->ring_count; r++) {
        if (w->touched[r]) continue;
        int piece = ring_piece[r] >= 0 ? ring_piece[r] : faces_at(w->part, w->net, w->part->first[r], 0.5);
        if (piece >= 0 && w->inside[piece]) put_whole_ring(w, r);
    }
}

// ---- from corners to a part ----

static bool goes_straight(const Walk *w, int before, int at, int after)
{
    const Corner *c = w->corners;
    return c[at].soft && c[before].edge < 0 && c[at].edge < 0 &&
           points_run_straight(c[before].at, c[at].at, c[after].at);
}

// Drops edges without length and the corners at which a seam goes straight on; false when two nodes coincide.
static bool tidy_ring(Walk *w, int ring, int *at)
{
    int first = w->first[ring], end = ring + 1 < w->ring_count ? w->first[ring + 1] : w->count, n = *at;
    w->first[ring] = n;
    for (int i = first; i < end; i++) {
        Corner c = w->corners[i];
        int after = i + 1 < end ? i + 1 : first;
        if (point_equal(c.at, w->corners[after].at)) { // the next one starts here, too
            if (c.node >= 0 && w->corners[after].node >= 0) return false;
            if (c.node >= 0) w->corners[after].node = c.node;
            continue;
        }
        if (n > *at && i > first && goes_straight(w, n - 1, i, after)) continue;
        w->corners[n++] = c;
    }
    *at = n;
    return true;
}

static bool room_for(Group *group, int count, int rings, Arena *keep, Error *err)
{
    Part *part = &group->part;
    part->points = arena_new(keep, Point, count);
    part->next = arena_new(keep, int, count);
    part->chain = arena_new(keep, int, count);
    part->chain_edge = arena_new(keep, int, count);
    part->backwards = arena_new(keep, bool, count);
    part->locked = arena_new(keep, bool, count);
    part->from = arena_new(keep, double, count);
    part->to = arena_new(keep, double, count);
    part->first = arena_new(keep, int, rings + 1);
    group->outline_edge = arena_new(keep, int, count);
    group->node = arena_new(keep, int, count);
    group->is_joint = arena_new(keep, bool, count);
    return part->points && part->next && part->chain && part->chain_edge && part->backwards && part->locked &&
                   part->from && part->to && part->first && group->outline_edge && group->node && group->is_joint
               ? true
               : error_memory(err);
}

static double ring_area(const Corner *corners, int count)
{
    double area = 0.0;
    for (int i = 0; i < count; i++) {
        Point a = corners[i].at, b = corners[i + 1 < count ? i + 1 : 0].at;
        area += (double)a.x * b.y - (double)b.x * a.y;
    }
    return area;
}

static void add_ring(const Walk *w, int ring, Group *group)
{
    Part *part = &group->part;
    int first = w->first[ring], end = ring + 1 < w->ring_count ? w->first[ring + 1] : w->count, start = part->count;
    part->first[part->ring_count++] = start;
    for (int i = first; i < end; i++) {
        const Corner *c = &w->corners[i];
        int n = part->count++;
        part->points[n] = c->at;
        part->next[n] = i + 1 < end ? n + 1 : start;
        part->chain[n] = c->edge < 0 ? -1 : w->part->chain[c->edge];
        part->chain_edge[n] = c->edge < 0 ? -1 : w->part->chain_edge[c->edge];
        part->backwards[n] = c->edge >= 0 && w->part->backwards[c->edge];
        part->locked[n] = c->edge >= 0 && w->part->locked && w->part->locked[c->edge];
        part->from[n] = c->from;
        part->to[n] = c->to;
        group->outline_edge[n] = c->edge;
        group->node[n] = c->node;
        group->is_joint[n] = c->joint;
    }
    part->first[part->ring_count] = part->count;
}

// The outer ring first; there must be exactly one.
static bool make_part(const Walk *w, Group *group)
{
    int outer = -1;
    for (int r = 0; r < w->ring_count; r++) {
        int count = (r + 1 < w->ring_count ? w->first[r + 1] : w->count) - w->first[r];
        if (count < 3) return false;
        if (ring_area(w->corners + w->first[r], count) <= 0.0) continue;
        if (outer >= 0) return false;
        outer = r;
    }
    if (outer < 0) return false;
    add_ring(w, outer, group);
    for (int r = 0; r < w->ring_count; r++)
        if (r != outer) add_ring(w, r, group);
    return true;
}

// No junction is passed twice.
static bool passes_once(const Walk *w, Arena *scratch, bool *memory)
{
    bool *seen = arena_new(scratch, bool, w->net->node_count + 1);
    *memory = seen != NULL;
    for (int i = 0; i < w->count && *memory; i++) {
        int node = w->corners[i].node;
        if (node < 0) continue;
        if (seen[node]) return false;
        seen[node] = true;
    }
    return *memory;
}

static bool walk_all(Walk *w, const int *ring_piece)
{
    for (int half = 0; half < 2 * w->net->segment_count; half++)
        if (!w->walked[half] && is_border(w, half) && !walk_ring(w, half)) return false;
    put_inner_rings(w, ring_piece);
    return w->count <= w->room;
}

bool group_make(const NetGround *ground, const Net *net, const int *ring_piece, const bool *inside, Arena *keep,
                Group *out, bool *usable, Error *err)
{
    const Part *part = ground->part;
    Walk w = {.part = part, .net = net, .inside = inside, .room = part->count + 4 * net->segment_count + 4};
    *out = (Group){.part.index = part->index};
    *usable = false;
    w.corners = arena_new(keep, Corner, w.room);
    w.first = arena_new(keep, int, part->ring_count + 2 * net->segment_count + 1);
    w.walked = arena_new(keep, bool, 2 * net->segment_count);
    w.touched = arena_new(keep, bool, part->ring_count);
    if (!w.corners || !w.first || !w.walked || !w.touched) return error_memory(err);
    if (!walk_all(&w, ring_piece)) return true;
    bool memory;
    if (!passes_once(&w, keep, &memory)) return memory ? true : error_memory(err);
    int count = 0;
    for (int r = 0; r < w.ring_count; r++)
        if (!tidy_ring(&w, r, &count)) return true;
    w.count = count;
    if (!room_for(out, w.count, w.ring_count, keep, err)) return false;
    if (!make_part(&w, out)) return true;
    *usable = true;
    return part_measure(&out->part, keep, err);
}

// ---- holes that no seam touches ----

typedef struct Nearest { // of what crosses the line through a point to its left
    double x, along;     // where, and how far along the edge
    int index;
} Nearest;

static void look_left(Nearest *nearest, Point p, Point a, Point b, int index)
{
    if ((a.y <= p.y) == (b.y <= p.y)) return;
    double t = ((double)p.y - a.y) / ((double)b.y - a.y), x = a.x + t * ((double)b.x - a.x);
    if (x <= p.x && x > nearest->x) *nearest = (Nearest){x, t, index};
}

// The nearest thing to the left of a point: an edge of the outline (>= 0), a segment (-2 - index), or nothing (-1).
static int left_of(const Part *part, const Net *net, Point p, int own_ring, double *out_along)
{
    Nearest nearest = {-INFINITY, 0.0, -1};
    for (int i = 0; i < part->count; i++)
        if (i < part->first[own_ring] || i >= part->first[own_ring + 1])
            look_left(&nearest, p, part->points[i], part->points[part->next[i]], i);
    for (int s = 0; s < net->segment_count; s++)
        look_left(&nearest, p, net->nodes[net->segments[s].a].at, net->nodes[net->segments[s].b].at, -2 - s);
    *out_along = nearest.along;
    return nearest.index;
}

static Point leftmost(const Part *part, int ring)
{
    Point p = part->points[part->first[ring]];
    for (int i = part->first[ring]; i < part->first[ring + 1]; i++)
        if (part->points[i].x < p.x) p = part->points[i];
    return p;
}

static int find_piece(const Part *part, const Net *net, int ring)
{
    for (int guard = part->ring_count; guard > 0; guard--) {
        Point p = leftmost(part, ring);
        double along = 0.0;
        int left = left_of(part, net, p, ring, &along);
        if (left == -1) return -1;
        if (left < -1) {
            const NetSegment *s = &net->segments[-2 - left];
            return s->face[point_side(net->nodes[s->a].at, net->nodes[s->b].at, p) > 0 ? 0 : 1];
        }
        int piece = faces_at(part, net, left, along);
        if (piece >= 0) return piece;
        ring = part_ring_of(part, left); // a hole beside it that no seam touches either
    }
    return -1;
}

int *group_find_rings(const Part *part, const Net *net, Arena *keep)
{
    int *pieces = arena_new(keep, int, part->ring_count);
    for (int r = 0; pieces && r < part->ring_count; r++)
        pieces[r] = faces_at(part, net, part->first[r], 0.5) >= 0 ? -1 : find_piece(part, net, r);
    return pieces;
}

// ---- the seams inside ----

static bool is_at_joint(const Group *group, Point at)
{
    for (int i = 0; i < group->part.count; i++)
        if (group->is_joint[i] && point_equal(group->part.points[i], at)) return true;
    return false;
}

// Where a node of the division lies on the group's boundary.
static void place_on_boundary(const Group *group, const NetNode *node, NetNode *out)
{
    const Part *part = &group->part;
    double nearest = INFINITY;
    *out = (NetNode){node->at, 0, 0.0, {-1, -1, -1, -1}, -1, node->moved_mm, is_at_joint(group, node->at)};
    for (int i = 0; i < part->count; i++) {
        if (group->outline_edge[i] != node->edge) continue;
        Point a = part->points[i], b = part->points[part->next[i]];
        double away = point_segment_distance_mm(node->at, a, b), length = point_distance_mm(a, b);
        if (away >= nearest) continue;
        nearest = away;
        out->edge = i;
        out->along = fmin(1.0, point_distance_mm(a, node->at) / length);
    }
}

static bool is_between(const Net *net, const bool *inside, int segment)
{
    return inside[net->segments[segment].face[0]] && inside[net->segments[segment].face[1]];
}

static bool borders(const Net *net, const bool *inside, const NetNode *node)
{
    for (int i = 0; i < 4; i++)
        if (node->leaving[i] >= 0 && !is_between(net, inside, node->leaving[i] / 2)) return true;
    return node->edge >= 0;
}

typedef struct Copying {
    const Net *net;
    const bool *inside;
    const Group *group;
    Net *out;
    int *made; // by node of the net: its copy, or -1
} Copying;

// The copy of the node that this end of the next segment lies on.
static int copy_end(const Copying *c, int node, int end)
{
    const NetNode *from = &c->net->nodes[node];
    if (c->made[node] < 0) {
        c->made[node] = c->out->node_count++;
        NetNode *copy = &c->out->nodes[c->made[node]];
        if (borders(c->net, c->inside, from)) place_on_boundary(c->group, from, copy);
        else *copy = (NetNode){from->at, -1, 0.0, {-1, -1, -1, -1}, -1, 0.0, false};
    }
    NetNode *copy = &c->out->nodes[c->made[node]];
    int slot = 0;
    while (slot < 3 && copy->leaving[slot] >= 0) slot++;
    copy->leaving[slot] = 2 * c->out->segment_count + end;
    return c->made[node];
}

bool group_seams(const Net *net, const bool *inside, const Group *group, Arena *keep, Net *out, Error *err)
{
    *out = (Net){.usable = true};
    out->nodes = arena_new(keep, NetNode, net->node_count);
    out->segments = arena_new(keep, NetSegment, net->segment_count);
    out->faces = arena_new(keep, NetFace, net->face_count);
    int *face = arena_new(keep, int, net->face_count);
    Copying c = {net, inside, group, out, arena_new(keep, int, net->node_count)};
    if (!out->nodes || !out->segments || !out->faces || !face || !c.made) return error_memory(err);
    for (int i = 0; i < net->face_count; i++) {
        face[i] = out->face_count;
        if (inside[i]) out->faces[out->face_count++] = net->faces[i];
    }
    for (int i = 0; i < net->node_count; i++) c.made[i] = -1;
    for (int s = 0; s < net->segment_count; s++) {
        if (!is_between(net, inside, s)) continue;
        NetSegment segment = net->segments[s];
        segment.a = copy_end(&c, segment.a, 0);
        segment.b = copy_end(&c, segment.b, 1);
        for (int side = 0; side < 2; side++) segment.face[side] = face[segment.face[side]];
        out->segments[out->segment_count++] = segment;
    }
    return true;
}
