// check_strips.c - backing strips: each is told which seam it is glued behind, lies over it, wholly behind the paper of that
// seam's layer and at least 3 mm inside its edge, holes too, and clear of every other strip; its letters lie on it.
#include "proof/check.h"

#include <math.h>

#define FROM_EDGE_MM 3.0    // nearer, a strip that is laid a little off looks out
#define LEAST_OVER_MM 10.0  // of its seam lie below a strip, else it is no strip of that seam

typedef struct Strip {
    int piece;
    Edges edges;            // at most CHECK_SPLIT_MM long
    Field field;
} Strip;

static void report(const Check *check, const char *kind, const Strip *strip, Spot at, const char *text)
{
    fault_add(check->faults, kind, check->kit->pieces[strip->piece].id, at.x, at.y, "%s", text);
}

// Every place of its edge, and by that all of it: no edge of the layer lies inside.
static void check_inside(const Check *check, const Strip *strip)
{
    const Field *layer = &check->layers[check->kit->seams[check->kit->pieces[strip->piece].seam].layer].field;
    for (size_t e = 0; e < strip->edges.count; e++) {
        Spot p = strip->edges.items[e].a;
        bool near_edge = measure_distance(layer, p, FROM_EDGE_MM, -2, NULL) < FROM_EDGE_MM - PROOF_TOLERANCE_MM;
        if (measure_inside(layer, p) && !near_edge) continue;
        report(check, "strip-visible", strip, p, near_edge ? "the strip comes nearer than 3 mm to the edge of its layer" : "the strip leaves its layer");
        return;
    }
    for (int e = 0; e < layer->edge_count; e++)
        if (measure_inside(&strip->field, layer->edges[e].a)) {
            report(check, "strip-visible", strip, layer->edges[e].a, "an edge of the layer runs over the strip");
            return;
        }
}

static bool check_over(Check *check, const Strip *strip, Error *err)
{
    const ReadPath *path = &check->kit->seams[check->kit->pieces[strip->piece].seam].path;
    Edges edges = {0};
    double over_mm = 0.0;
    if (!measure_flatten(path->curves, path->curve_count, NULL, CHECK_SPLIT_MM, 0, &check->work->scratch, &edges, err)) return false;
    for (size_t e = 0; e < edges.count; e++) {
        Spot middle = {(edges.items[e].a.x + edges.items[e].b.x) / 2, (edges.items[e].a.y + edges.items[e].b.y) / 2};
        if (measure_inside(&strip->field, middle)) over_mm += measure_gap(edges.items[e].a, edges.items[e].b);
    }
    if (over_mm < LEAST_OVER_MM) report(check, "strip-off-seam", strip, strip->edges.items[0].a, "the strip does not lie over its seam");
    return true;
}

static void check_apart(const Check *check, const Strip *strips, int index)
{
    for (int other = 0; other < index; other++)
        for (int way = 0; way < 2; way++) {
            const Strip *a = &strips[way ? other : index], *b = &strips[way ? index : other];
            for (size_t e = 0; e < a->edges.count; e++) {
                if (!measure_inside(&b->field, a->edges.items[e].a)) continue;
                char pair[64];
                check_pair_name(check, a->piece, b->piece, pair);
                fault_add(check->faults, "strips-overlap", pair, a->edges.items[e].a.x, a->edges.items[e].a.y, "two strips lie on one another");
                return;
            }
        }
}

static bool check_letters(Check *check, const Strip *strip, Error *err)
{
    const ReadPiece *piece = &check->kit->pieces[strip->piece];
    const Field *field = &strip->field;
    for (int k = 0; k < piece->mark_count; k++) {
        Edges edges = {0};
        Spot at;
        if (!measure_flatten(piece->marks[k].path.curves, piece->marks[k].path.curve_count, NULL, INFINITY, 0, &check->work->scratch, &edges, err))
            return false;
        for (size_t e = 0; e < edges.count; e++) {
            if (!measure_strays(&field, 1, edges.items[e].a, edges.items[e].b, true, PROOF_TOLERANCE_MM, &at)) continue;
            report(check, "mark-off-piece", strip, at, "a mark leaves its strip");
            return true;
        }
    }
    return true;
}

static bool take_strip(Check *check, int piece, Strip *out, Error *err)
{
    const ReadPath *path = &check->kit->pieces[piece].outline;
    *out = (Strip){.piece = piece};
    return measure_flatten(path->curves, path->curve_count, NULL, CHECK_SPLIT_MM, 0, &check->work->scratch, &out->edges, err) &&
           measure_field(out->edges.items, out->edges.count, &check->work->scratch, &out->field, err);
}

static bool check_all(Check *check, Strip *strips, Error *err)
{
    int count = 0;
    for (int i = 0; i < check->kit->piece_count; i++) {
        const ReadPiece *piece = &check->kit->pieces[i];
        if (!piece->is_strip || piece->seam < 0) continue;
        Strip *strip = &strips[count];
        if (!work_goes_on(check->work, err) || !take_strip(check, i, strip, err)) return false;
        if (strip->edges.count == 0) continue;
        check_inside(check, strip);
        check_apart(check, strips, count++);
        if (!check_over(check, strip, err) || !check_letters(check, strip, err)) return false;
    }
    check->measured.strip_count = count;
    return true;
}

bool check_strips(Check *check, Error *err)
{
    ArenaMark mark = arena_mark(&check->work->scratch);
    Strip *strips = arena_new(&check->work->scratch, Strip, check->kit->piece_count);
    bool done = strips ? check_all(check, strips, err) : error_memory(err);
    arena_rewind(&check->work->scratch, mark);
    return done;
}
