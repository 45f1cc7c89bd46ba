// bodies.c - pieces gathered to what moves in one go; see bodies.h.
#include "simulate/bodies.h"

#include <math.h>
#include <stdlib.h>

static int root_of(const int *parent, int i)
{
    while (parent[i] != i) i = parent[i];
    return i;
}

// Pieces that seams join get the same root; the least index is the root.
static void join_pieces(const ReadKit *kit, Joining joining, int *parent)
{
    for (int i = 0; i < kit->piece_count; i++) parent[i] = i;
    for (int i = 0; joining == PIECES_JOINED && i < kit->seam_count; i++) {
        int a = root_of(parent, kit->seams[i].pieces[0]), b = root_of(parent, kit->seams[i].pieces[1]);
        parent[a > b ? a : b] = a > b ? b : a;
    }
}

static int compare_spots(Spot a, Spot b)
{
    return measure_before(a, b) ? -1 : measure_before(b, a) ? 1 : 0;
}

static int by_ends(const void *a, const void *b)
{
    const Edge *e = a, *f = b;
    bool e_turned = measure_before(e->b, e->a), f_turned = measure_before(f->b, f->a);
    int ends = compare_spots(e_turned ? e->b : e->a, f_turned ? f->b : f->a);
    if (ends == 0) ends = compare_spots(e_turned ? e->a : e->b, f_turned ? f->a : f->b);
    return ends != 0 ? ends : e->owner - f->owner;
}

static bool same_ends(const Edge *e, const Edge *f)
{
    return (compare_spots(e->a, f->b) == 0 && compare_spots(e->b, f->a) == 0) ||
           (compare_spots(e->a, f->a) == 0 && compare_spots(e->b, f->b) == 0);
}

// Edges that come twice are a seam's: its two pieces flatten a shared curve to the same points.
static void drop_shared(Edges *edges)
{
    size_t kept = 0;
    qsort(edges->items, edges->count, sizeof *edges->items, by_ends);
    for (size_t i = 0; i < edges->count; i++) {
        if (i + 1 < edges->count && same_ends(&edges->items[i], &edges->items[i + 1])) i++;
        else edges->items[kept++] = edges->items[i];
    }
    edges->count = kept;
}

static void measure_body(Body *body)
{
    const SpotBox box = body->field.box;
    body->centre = (Spot){0.5 * (box.min.x + box.max.x), 0.5 * (box.min.y + box.max.y)};
    for (size_t i = 0; i < body->edges.count; i++) {
        const Edge *e = &body->edges.items[i];
        body->reach_mm = fmax(body->reach_mm, measure_gap(e->a, body->centre));
        body->length_mm += measure_gap(e->a, e->b);
    }
}

static bool make_body(const ReadKit *kit, const int *parent, int root, Joining joining, Arena *keep, Body *out, Error *err)
{
    *out = (Body){.order = kit->layers[kit->pieces[root].layer].order, .carrier = -1};
    for (int i = root; i < kit->piece_count; i++) {
        const ReadPiece *piece = &kit->pieces[i];
        if (piece->is_strip || root_of(parent, i) != root) continue;
        const ReadPath *path = joining == PIECES_JOINED ? &piece->face : &piece->outline; // faces meet, laps do not
        if (!measure_flatten(path->curves, path->curve_count, NULL, INFINITY, i, keep, &out->edges, err)) return false;
        out->area_mm2 += measure_area(path);
    }
    drop_shared(&out->edges);
    if (!measure_field(out->edges.items, out->edges.count, keep, &out->field, err)) return false;
    measure_body(out);
    return true;
}

typedef struct Rooted { // a body to be, for sorting by height
    int order, root;
} Rooted;

static int by_order(const void *a, const void *b)
{
    const Rooted *x = a, *y = b;
    return x->order != y->order ? x->order - y->order : x->root - y->root;
}

// Who carries whom: on the lines of which lower body most of its edge is placed; without lines, what lies below its edge.
static bool set_carriers(Bodies *bodies, Arena *scratch, Error *err)
{
    int *votes = arena_new(scratch, int, bodies->count);
    if (!votes) return error_memory(err);
    for (int u = 0; u < bodies->count; u++) {
        Body *body = &bodies->items[u];
        if (body->order == 0) continue;
        for (int i = 0; i < bodies->count; i++) votes[i] = 0;
        for (size_t i = 0; i < body->edges.count; i++) {
            const Edge *e = &body->edges.items[i];
            int below = bodies_topmost(bodies, (Spot){0.5 * (e->a.x + e->b.x), 0.5 * (e->a.y + e->b.y)}, body->order);
            if (below >= 0) votes[below] += 1 + (int)measure_gap(e->a, e->b);
        }
        int best = -1;
        for (int i = 0; i < u; i++)
            if (votes[i] > 0 && (best < 0 || votes[i] > votes[best])) best = i;
        body->carrier = best;
    }
    return true;
}

bool bodies_make(const ReadKit *kit, Joining joining, Arena *keep, Work *work, Bodies *out, Error *err)
{
    *out = (Bodies){.kit = kit};
    int *parent = arena_new(keep, int, kit->piece_count);
    Rooted *roots = arena_new(keep, Rooted, kit->piece_count);
    out->items = arena_new(keep, Body, kit->piece_count);
    out->of_piece = arena_new(keep, int, kit->piece_count);
    if (!parent || !roots || !out->items || !out->of_piece) return error_memory(err);
    join_pieces(kit, joining, parent);
    for (int i = 0; i < kit->piece_count; i++)
        if (!kit->pieces[i].is_strip && parent[i] == i)
            roots[out->count++] = (Rooted){kit->layers[kit->pieces[i].layer].order, i};
    qsort(roots, (size_t)out->count, sizeof *roots, by_order);
    for (int b = 0; b < out->count; b++)
        if (!make_body(kit, parent, roots[b].root, joining, keep, &out->items[b], err)) return false;
    for (int i = 0; i < kit->piece_count; i++) {
        out->of_piece[i] = -1;
        for (int b = 0; b < out->count && !kit->pieces[i].is_strip; b++)
            if (roots[b].root == root_of(parent, i)) out->of_piece[i] = b;
    }
    ArenaMark mark = arena_mark(&work->scratch);
    bool done = set_carriers(out, &work->scratch, err);
    arena_rewind(&work->scratch, mark);
    return done;
}

double body_depth(const Body *body, Spot p, double limit_mm)
{
    double distance = measure_distance(&body->field, p, limit_mm, -2, NULL);
    return measure_inside(&body->field, p) ? distance : -distance;
}

int bodies_topmost(const Bodies *bodies, Spot p, int below_order)
{
    for (int i = bodies->count - 1; i >= 0; i--)
        if (bodies->items[i].order < below_order && measure_inside(&bodies->items[i].field, p)) return i;
    return -1;
}

void bodies_place(const Bodies *bodies, const MakerErrors *errors, Rng *rng, Motion *out)
{
    int table = 0;
    for (int i = 1; i < bodies->count; i++)
        if (bodies->items[i].order == 0 && bodies->items[i].area_mm2 > bodies->items[table].area_mm2) table = i;
    for (int i = 0; i < bodies->count; i++) {
        const Body *body = &bodies->items[i];
        Motion own = maker_placing(errors, body->centre, body->reach_mm, rng);
        out[i] = i == table ? motion_none() : body->carrier >= 0 ? motion_after(own, out[body->carrier]) : own;
    }
}
