// faces.c - see faces.h.
// How:  a walk along half edges turns right at every junction, and along the outline from node to node.
#include "seam/faces.h"

#include "seam/ends.h"

#include <math.h>
#include <stdlib.h>

#define END_LOOK_MM 6.0 // a seam's end is in sight when half of so much is

typedef struct Faces {
    const NetGround *ground;
    Net *net;
    Arena *scratch;
} Faces;

typedef struct OnRing {
    double along;
    int edge, node;
} OnRing;

static int compare_on_ring(const void *pa, const void *pb)
{
    const OnRing *a = pa, *b = pb;
    if (a->edge != b->edge) return a->edge < b->edge ? -1 : 1;
    if (a->along != b->along) return a->along < b->along ? -1 : 1;
    return a->node - b->node;
}

// Tells every outline node which one follows on its ring; false when two of them coincide.
static bool order_nodes(Faces *f, bool *usable, Error *err)
{
    const Part *part = f->ground->part;
    OnRing *nodes = arena_new(f->scratch, OnRing, f->net->node_count);
    if (!nodes) return error_memory(err);
    int count = 0, n = 0;
    for (int i = 0; i < f->net->node_count; i++)
        if (f->net->nodes[i].edge >= 0) nodes[count++] = (OnRing){f->net->nodes[i].along, f->net->nodes[i].edge, i};
    if (count) qsort(nodes, (size_t)count, sizeof *nodes, compare_on_ring);
    for (int r = 0; r < part->ring_count; r++) {
        int first = n;
        for (; n < count && nodes[n].edge < part->first[r + 1]; n++) {
            bool again = n > first && point_equal(f->net->nodes[nodes[n].node].at, f->net->nodes[nodes[n - 1].node].at);
            if (again && part->twin && part->twin[nodes[n].edge] == nodes[n - 1].edge) again = false; // across a slit
            if (again) *usable = false;
            if (n > first) f->net->nodes[nodes[n - 1].node].next_on_ring = nodes[n].node;
        }
        if (n > first) f->net->nodes[nodes[n - 1].node].next_on_ring = nodes[first].node;
    }
    return true;
}

typedef struct Walk {
    double area_mm2;
    Point *points; // that may lie on the hull
    int count;
} Walk;

static double cross_mm2(Point a, Point b)
{
    return ((double)a.x * b.y - (double)b.x * a.y) * 0.5e-6;
}

// Goes along the outline from one node to the next.
static void walk_outline(const Part *part, const NetNode *from, const NetNode *to, Walk *walk)
{
    if (from->edge == to->edge && from->along < to->along) {
        walk->area_mm2 += cross_mm2(from->at, to->at);
        return;
    }
    int start = part->next[from->edge], end = to->edge;
    walk->area_mm2 += cross_mm2(from->at, part->points[start]) + cross_mm2(part->points[end], to->at);
    walk->area_mm2 += part->swept_mm2[end] - part->swept_mm2[start];
    if (start > end) {
        int r = part_ring_of(part, end);
        walk->area_mm2 += part->swept_mm2[part->first[r + 1]] - part->swept_mm2[part->first[r]];
    }
    for (int i = start;; i = part->next[i]) {
        if (part->bulges[i]) walk->points[walk->count++] = part->points[i];
        if (i == end) break;
    }
}

int faces_turn_right(const NetNode *node, int half)
{
    int slot = 0;
    while (slot < 4 && node->leaving[slot] != (half ^ 1)) slot++;
    for (int i = 1; i < 4; i++) {
        int next = node->leaving[(slot + 4 - i) % 4];
        if (next >= 0) return next;
    }
    return -1;
}

static bool is_before(const NetNode *a, const NetNode *b)
{
    return a->edge != b->edge ? a->edge < b->edge : a->along < b->along;
}

int faces_leaving(const NetNode *node)
{
    for (int i = 0; i < 4; i++)
        if (node->leaving[i] >= 0) return node->leaving[i];
    return -1;
}

int faces_next(const Net *net, int half, const NetNode **to, const NetNode **onto)
{
    *to = &net->nodes[net_half_end(net, half)];
    *onto = (*to)->edge < 0 ? NULL : &net->nodes[(*to)->next_on_ring];
    return *onto ? faces_leaving(*onto) : faces_turn_right(*to, half);
}

// Walks the face to the right of a half edge; false when it cannot be closed.
static bool walk_face(const Part *part, const Net *net, int start, int face, Walk *walk)
{
    int half = start;
    for (int guard = 2 * net->segment_count + 1; guard > 0; guard--) {
        NetSegment *segment = &net->segments[half / 2];
        bool back = half % 2;
        const NetNode *from = &net->nodes[back ? segment->b : segment->a], *to, *onto;
        if (segment->face[back] >= 0) return half == start;
        segment->face[back] = face;
        half = faces_next(net, half, &to, &onto);
        walk->area_mm2 += cross_mm2(from->at, to->at);
        walk->points[walk->count++] = from->at;
        walk->points[walk->count++] = to->at;
        if (onto) walk_outline(part, to, onto, walk);
        if (half < 0) return false;
    }
    return false;
}

static bool add_face(Faces *f, int half, Point *points, Error *err)
{
    Walk walk = {.points = points};
    int face = f->net->face_count;
    if (!walk_face(f->ground->part, f->net, half, face, &walk) || walk.area_mm2 <= 0.0) {
        f->net->usable = false;
        return true;
    }
    NetFace *out = &f->net->faces[f->net->face_count++];
    out->area_mm2 = walk.area_mm2;
    out->hull = hull_make(points, walk.count, f->scratch, &out->hull_count);
    if (!out->hull) return error_memory(err);
    if (out->hull_count < 3 || !memo_fits(f->ground->memo, out->hull, out->hull_count)) f->net->usable = false;
    return true;
}

// The faces' areas, and those of holes that no line touches, add up to the part.
static bool areas_add_up(const Faces *f)
{
    const Part *part = f->ground->part;
    double sum = 0.0;
    for (int i = 0; i < f->net->face_count; i++) sum += f->net->faces[i].area_mm2;
    for (int r = 0; r < part->ring_count; r++) {
        bool touched = false;
        for (int i = 0; i < f->net->node_count && !touched; i++)
            touched = f->net->nodes[i].edge >= part->first[r] && f->net->nodes[i].edge < part->first[r + 1];
        if (!touched) sum += part->swept_mm2[part->first[r + 1]] - part->swept_mm2[part->first[r]];
    }
    return fabs(sum - part->area_mm2) <= 0.006 * part->length_mm;
}

static bool find_faces(Faces *f, Error *err)
{
    size_t room = (size_t)f->ground->part->count + 4 * (size_t)f->net->segment_count + 2;
    Point *points = arena_new(f->scratch, Point, room);
    f->net->faces = arena_new(f->scratch, NetFace, 2 * f->net->segment_count);
    if (!points || !f->net->faces) return error_memory(err);
    for (int half = 0; half < 2 * f->net->segment_count && f->net->usable; half++)
        if (f->net->segments[half / 2].face[half % 2] < 0 && !add_face(f, half, points, err)) return false;
    if (f->net->usable) f->net->usable = areas_add_up(f);
    return true;
}

int faces_at(const Part *part, const Net *net, int edge, double along)
{
    int ring = part_ring_of(part, edge), before = -1, last = -1;
    for (int i = 0; i < net->node_count; i++) {
        const NetNode *node = &net->nodes[i];
        if (node->edge < part->first[ring] || node->edge >= part->first[ring + 1]) continue;
        if (last < 0 || is_before(&net->nodes[last], node)) last = i;
        bool passed = node->edge < edge || (node->edge == edge && node->along <= along);
        if (passed && (before < 0 || is_before(&net->nodes[before], node))) before = i;
    }
    if (last < 0) return -1;
    int arriving = faces_leaving(&net->nodes[before >= 0 ? before : last]) ^ 1;
    return net->segments[arriving / 2].face[arriving % 2];
}

static bool find_slits(Faces *f, Error *err)
{
    static const double looks[] = {0.05, 0.5, 0.95};
    const Part *part = f->ground->part;
    if (!part->twin) return true;
    f->net->slits = arena_new(f->scratch, NetSlit, 3 * (size_t)part->count);
    if (!f->net->slits) return error_memory(err);
    for (int i = 0; i < part->count; i++) {
        if (part->twin[i] < i) continue;
        for (int k = 0; k < 3; k++)
            f->net->slits[f->net->slit_count++] =
                (NetSlit){{faces_at(part, f->net, i, looks[k]), faces_at(part, f->net, part->twin[i], 1.0 - looks[k])}};
    }
    return true;
}

// How long a segment is hidden, and whether its ends are in sight.
static bool measure_hidden(Faces *f, const NetSegment *segment, double *out_mm, bool visible[2])
{
    Stretches hidden;
    Arena *scratch = f->scratch;
    ArenaMark mark = arena_mark(scratch);
    double length = segment->length_mm, look = length < END_LOOK_MM ? length : END_LOOK_MM, under[2] = {0.0, 0.0};
    *out_mm = 0.0;
    if (!hiding_stretches(f->ground->hiding, f->net->nodes[segment->a].at, f->net->nodes[segment->b].at, scratch, &hidden))
        return false;
    for (size_t i = 0; i < hidden.count; i++) {
        Stretch s = hidden.items[i];
        *out_mm += s.hi - s.lo;
        under[0] += fmax(0.0, fmin(s.hi, look) - s.lo);
        under[1] += fmax(0.0, s.hi - fmax(s.lo, length - look));
    }
    for (int end = 0; end < 2; end++) visible[end] = under[end] < 0.5 * look;
    arena_rewind(scratch, mark);
    return true;
}

static bool measure_segment(Faces *f, NetSegment *segment, Error *err)
{
    const NetGround *ground = f->ground;
    const NetNode *node[2] = {&f->net->nodes[segment->a], &f->net->nodes[segment->b]};
    double hidden;
    bool visible[2];
    if (!measure_hidden(f, segment, &hidden, visible)) return error_memory(err);
    segment->visible_mm = hidden < segment->length_mm ? segment->length_mm - hidden : 0.0;
    for (int end = 0; end < 2; end++) {
        bool looked_at = visible[end] && node[end]->edge >= 0 && ground->part->chain[node[end]->edge] >= 0;
        segment->slant[end] = looked_at ? ends_slant(ground->part, node[end]->edge, node[end]->at, node[!end]->at) : 0.0;
    }
    segment->avoid_in = (node[0]->moved_mm + node[1]->moved_mm) / 25.4;
    double avoid_in = avoid_segment_in(ground->avoid, ground->hiding, node[0]->at, node[1]->at, f->scratch);
    if (avoid_in < 0.0) return error_memory(err);
    segment->avoid_in += avoid_in;
    segment->measured = true;
    return true;
}

bool faces_find(const NetGround *ground, Net *net, Arena *scratch, Error *err)
{
    Faces f = {ground, net, scratch};
    net->usable = true;
    net->face_count = net->slit_count = 0;
    for (int i = 0; i < net->segment_count; i++) net->segments[i].face[0] = net->segments[i].face[1] = -1;
    if (!order_nodes(&f, &net->usable, err)) return false;
    if (net->usable && !find_faces(&f, err)) return false;
    return !net->usable || find_slits(&f, err);
}

bool faces_measure(const NetGround *ground, Net *net, Arena *scratch, Error *err)
{
    Faces f = {ground, net, scratch};
    for (int i = 0; i < net->segment_count; i++)
        if (!net->segments[i].measured && !measure_segment(&f, &net->segments[i], err)) return false;
    return true;
}
