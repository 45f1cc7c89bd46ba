// necks.c - see necks.h.
#include "seam/necks.h"

#include "seam/faces.h"
#include "seam/group.h"
#include "shape/overlay.h"

#include <math.h>

#define LOOK_MM 2.0       // between places on a seam where the distance to the outline is looked at
#define LOOK_SHARE 0.8    // of the way along it: a seam that leaves the outline at 53 degrees and more is not near to it there
#define SPARE_MM 0.05     // of rounding and offsetting: a neck of the drawing that is just under the least is not ours
#define CORNER_MM 0.05    // facets of offset corners
#define CRUMB_MM2 100.0   // of a shrunk piece
#define AROUND_MM 60.0    // of the part, round a piece

typedef struct Look {
    const NetGround *ground;
    const Net *net;
    const int *ring_piece; // by ring of the part
    double least_mm;
    Work *work;
} Look;

// ---- is there anything near ----

static bool is_near_outline(const Look *look, const NetSegment *segment)
{
    const NetNode *a = &look->net->nodes[segment->a], *b = &look->net->nodes[segment->b];
    int count = (int)(segment->length_mm / LOOK_MM);
    for (int i = 1; i <= count; i++) {
        double share = i / (count + 1.0), way = share * segment->length_mm, rest = segment->length_mm - way;
        double limit = look->least_mm + 0.5 * LOOK_MM;
        if (a->edge >= 0 && LOOK_SHARE * way < limit) limit = LOOK_SHARE * way;
        if (b->edge >= 0 && LOOK_SHARE * rest < limit) limit = LOOK_SHARE * rest;
        Point p = {a->at.x + (int32_t)((b->at.x - a->at.x) * share), a->at.y + (int32_t)((b->at.y - a->at.y) * share)};
        if (cover_distance_mm(look->ground->outline, p, limit) < limit) return true;
    }
    return false;
}

static double gap_mm(const Net *net, const NetSegment *s, const NetSegment *t)
{
    Point a = net->nodes[s->a].at, b = net->nodes[s->b].at, c = net->nodes[t->a].at, d = net->nodes[t->b].at;
    return fmin(fmin(point_segment_distance_mm(a, c, d), point_segment_distance_mm(b, c, d)),
                fmin(point_segment_distance_mm(c, a, b), point_segment_distance_mm(d, a, b)));
}

static bool is_of_face(const NetSegment *segment, int face)
{
    return segment->face[0] == face || segment->face[1] == face;
}

static bool share_node(const NetSegment *s, const NetSegment *t)
{
    return s->a == t->a || s->a == t->b || s->b == t->a || s->b == t->b;
}

// Whether one of the face's seams comes near to the outline beside its ends, or to another one of them.
static bool is_suspect(const Look *look, int face)
{
    const Net *net = look->net;
    for (int i = 0; i < net->segment_count; i++) {
        const NetSegment *s = &net->segments[i];
        if (!is_of_face(s, face)) continue;
        if (is_near_outline(look, s)) return true;
        for (int k = 0; k < i; k++) {
            const NetSegment *t = &net->segments[k];
            if (is_of_face(t, face) && !share_node(s, t) && gap_mm(net, s, t) < look->least_mm) return true;
        }
    }
    return false;
}

// ---- the face as rings ----

static void put(Ring *ring, Point p)
{
    if (ring->count == 0 || !point_equal(ring->points[ring->count - 1], p)) ring->points[ring->count++] = p;
}

static void put_outline(const Part *part, const NetNode *from, const NetNode *to, Ring *ring)
{
    put(ring, from->at);
    if (from->edge == to->edge && from->along < to->along) return;
    for (int i = part->next[from->edge];; i = part->next[i]) {
        put(ring, part->points[i]);
        if (i == to->edge) return;
    }
}

// The face on the right of a half edge, all round.
static bool put_face(const Part *part, const Net *net, int start, Ring *ring)
{
    int half = start;
    for (int guard = 2 * net->segment_count + 1; guard > 0 && half >= 0; guard--) {
        const NetNode *to, *onto;
        put(ring, net->nodes[net_half_end(net, half ^ 1)].at);
        half = faces_next(net, half, &to, &onto);
        if (onto) put_outline(part, to, onto, ring);
        if (half != start) continue;
        if (ring->count > 1 && point_equal(ring->points[0], ring->points[ring->count - 1])) ring->count--;
        return true;
    }
    return false;
}

static int half_of_face(const Net *net, int face)
{
    for (int i = 0; i < net->segment_count; i++)
        for (int side = 0; side < 2; side++)
            if (net->segments[i].face[side] == face) return 2 * i + side;
    return -1;
}

static Ring ring_of_part(const Part *part, int r)
{
    return (Ring){part->points + part->first[r], part->first[r + 1] - part->first[r]};
}

static bool face_rings(const Look *look, int face, Rings *out, Error *err)
{
    const Part *part = look->ground->part;
    const Net *net = look->net;
    Arena *scratch = &look->work->scratch;
    int half = half_of_face(net, face);
    *out = (Rings){arena_new(scratch, Ring, part->ring_count + 1), 0};
    Ring ring = {arena_new(scratch, Point, (size_t)part->count + 6 * (size_t)net->segment_count + 3), 0};
    if (!out->items || !ring.points) return error_memory(err);
    if (half < 0 || !put_face(part, net, half, &ring)) return true;
    out->items[out->count++] = ring;
    for (int r = 0; r < part->ring_count; r++)
        if (look->ring_piece[r] == face)
            out->items[out->count++] = ring_of_part(part, r);
    return true;
}

// ---- does it fall apart ----

static bool shrink(const Look *look, const Rings *rings, double spare_mm, Rings *out, Error *err)
{
    return overlay_offset(rings, -(0.5 * look->least_mm - spare_mm), CORNER_MM, &look->work->scratch, look->work, out, err);
}

static bool is_part(const Ring *ring)
{
    return ring_area_mm2(ring) > CRUMB_MM2;
}

// The part round a piece, shrunk: where the drawing itself is thin it is parted too; where a seam comes near to the outline
// it goes on behind the seam.
static bool shrink_part(const Look *look, const Rings *piece, Rings *out, Error *err)
{
    const Part *part = look->ground->part;
    Arena *scratch = &look->work->scratch;
    Box box = rings_box(piece);
    int32_t d = (int32_t)(AROUND_MM * UM_PER_MM);
    Point corners[4] = {{box.min.x - d, box.min.y - d}, {box.max.x + d, box.min.y - d}, {box.max.x + d, box.max.y + d},
                        {box.min.x - d, box.max.y + d}};
    Ring ring = {corners, 4};
    Rings frame = {&ring, 1}, near, shrunk, grown, all = {arena_new(scratch, Ring, part->ring_count), part->ring_count};
    if (!all.items) return error_memory(err);
    for (int r = 0; r < part->ring_count; r++)
        all.items[r] = ring_of_part(part, r);
    return overlay_rings(&all, &frame, OVERLAY_INTERSECTION, scratch, look->work, &near, err) &&
           shrink(look, &near, 0.0, &shrunk, err) &&
           overlay_offset(piece, look->least_mm, CORNER_MM, scratch, look->work, &grown, err) &&
           overlay_rings(&shrunk, &grown, OVERLAY_INTERSECTION, scratch, look->work, out, err);
}

// The part is shrunk a little more, so that only what lies along seams can tell: the middles of edges there.
static bool has_edge_in(const Ring *of_piece, const Ring *of_part)
{
    Rings one = {(Ring *)of_part, 1};
    for (int i = 0; i < of_piece->count; i++) {
        Point a = of_piece->points[i], b = of_piece->points[(i + 1) % of_piece->count];
        if (rings_contain(&one, (Point){a.x + (b.x - a.x) / 2, a.y + (b.y - a.y) / 2})) return true;
    }
    return false;
}

static bool count_necks(const Look *look, const Rings *piece, int *out, Error *err)
{
    Rings shrunk, of_part;
    int count = 0;
    if (!shrink(look, piece, SPARE_MM, &shrunk, err)) return false;
    for (int i = 0; i < shrunk.count; i++) count += is_part(&shrunk.items[i]);
    if (count < 2) return true;
    if (!shrink_part(look, piece, &of_part, err)) return false;
    for (int k = 0; k < of_part.count; k++) {
        int parts = 0;
        if (ring_area_mm2(&of_part.items[k]) <= 0.0) continue;
        for (int i = 0; i < shrunk.count; i++) parts += is_part(&shrunk.items[i]) && has_edge_in(&shrunk.items[i], &of_part.items[k]);
        if (parts > 1) *out += parts - 1;
    }
    return true;
}

static bool count_of_face(const Look *look, int face, int *out, Error *err)
{
    Arena *scratch = &look->work->scratch;
    ArenaMark mark = arena_mark(scratch);
    Rings piece;
    *out = 0;
    if (look->ground->part->twin || !is_suspect(look, face)) return true;
    bool fine = work_goes_on(look->work, err) && face_rings(look, face, &piece, err) &&
                (piece.count == 0 || count_necks(look, &piece, out, err));
    arena_rewind(scratch, mark);
    return fine;
}

// ---- divisions ----

static bool is_same_face(const NetFace *a, const NetFace *b)
{
    if (fabs(a->area_mm2 - b->area_mm2) > 1e-6 || a->hull_count != b->hull_count) return false;
    for (int i = 0; i < a->hull_count; i++)
        if (!point_equal(a->hull[i], b->hull[i])) return false;
    return true;
}

static int find_face(const Net *net, const NetFace *face)
{
    for (int f = 0; f < net->face_count; f++)
        if (is_same_face(&net->faces[f], face)) return f;
    return -1;
}

bool necks_after(const NetGround *ground, const Net *net, const Net *old, const Necks *of_old, double least_mm, Arena *keep,
                 Work *work, Necks *out, Error *err)
{
    *out = (Necks){arena_new(keep, int, net->face_count), 0};
    Look look = {ground, net, group_find_rings(ground->part, net, keep), least_mm, work};
    if (!out->by_face || !look.ring_piece) return error_memory(err);
    for (int f = 0; f < net->face_count; f++) {
        int as = old ? find_face(old, &net->faces[f]) : -1;
        if (as >= 0) out->by_face[f] = of_old->by_face[as];
        else if (!count_of_face(&look, f, &out->by_face[f], err)) return false;
        out->sum += out->by_face[f];
    }
    return true;
}

bool necks_find(const NetGround *ground, const Net *net, double least_mm, Arena *keep, Work *work, Necks *out, Error *err)
{
    return necks_after(ground, net, NULL, NULL, least_mm, keep, work, out, err);
}
