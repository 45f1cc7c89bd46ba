// check_seams.c - listed seams are the shared edges of their two pieces, each shared edge is listed once, and their
// lengths are what is written; pieces of any paper are hidden. Hidden = inside the union of all higher layers and at least HIDDEN_BY_MM from that
// union's edge.
#include "proof/check.h"

#include <math.h>
#include <string.h>

#define HIDDEN_BY_MM 3.0
#define LOOK_MM 7.0 // how far the union's edge is looked for; farther costs more, nearer makes smaller steps
#define LEAST_STEP_MM 0.2
#define BESIDE_MM 0.02          // an edge with higher paper on both sides of it is not an edge of the union
#define LENGTH_ALLOWED_MM 0.006 // half of the last decimal written, and a hair
#define LENGTH_ALLOWED_SHARE 1e-5
#define VISIBLE_ALLOWED_MM 1.0 // where a curved cover begins is found within a step on either side
#define VISIBLE_ALLOWED_SHARE 0.01

typedef struct Above { // the union of the layers above one height
    const Check *check;
    const Field *fields[READ_MAX_LAYERS];
    signed char *known[READ_MAX_LAYERS]; // by edge: 0 not looked at, 1 edge of the union, -1 inside it
    int count;
    int field; // the one being visited
    Spot at;
    double nearest_mm;
} Above;

static bool above_covers(Above *above, Spot p)
{
    for (int i = 0; i < above->count; i++)
        if (measure_inside(above->fields[i], p)) return true;
    return false;
}

static bool is_edge_of_union(Above *above, const Edge *e)
{
    double length = measure_gap(e->a, e->b);
    if (length == 0.0) return false;
    Spot m = {0.5 * (e->a.x + e->b.x), 0.5 * (e->a.y + e->b.y)};
    double nx = -(e->b.y - e->a.y) / length * BESIDE_MM, ny = (e->b.x - e->a.x) / length * BESIDE_MM;
    return !above_covers(above, (Spot){m.x + nx, m.y + ny}) || !above_covers(above, (Spot){m.x - nx, m.y - ny});
}

static void visit_edge(void *data, int edge, double distance_mm)
{
    Above *above = data;
    if (distance_mm >= above->nearest_mm) return;
    signed char *known = &above->known[above->field][edge];
    if (*known == 0) *known = is_edge_of_union(above, &above->fields[above->field]->edges[edge]) ? 1 : -1;
    if (*known > 0) above->nearest_mm = distance_mm;
}

static double distance_to_union_edge(Above *above, Spot p)
{
    above->nearest_mm = LOOK_MM;
    for (above->field = 0; above->field < above->count; above->field++)
        measure_near(above->fields[above->field], p, above->nearest_mm, visit_edge, above);
    return above->nearest_mm;
}

// The distance to the union's edge changes by at most the way walked, so large steps are taken where it is far from the
// limit.
static double visible_length(Above *above, Spot a, Spot b)
{
    double length = measure_gap(a, b), at = 0.0, visible = 0.0;
    if (above->count == 0) return length;
    while (at < length) {
        double ahead = fmin(at + 0.5 * LEAST_STEP_MM, length); // the middle of the least step stands for it
        double t = ahead / length;
        Spot p = {a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
        double d = distance_to_union_edge(above, p);
        bool inside = above_covers(above, p);
        double safe = !inside ? d + HIDDEN_BY_MM : fabs(d - HIDDEN_BY_MM);
        double next = fmin(length, fmax(at + LEAST_STEP_MM, ahead + safe));
        if (!inside || d < HIDDEN_BY_MM) visible += next - at;
        at = next;
    }
    return visible;
}

static InnerCurve *find_inner(LayerField *layer, const ReadCurve *curve, const int pieces[2])
{
    int low = 0, high = layer->inner_count;
    while (low < high) {
        int middle = low + (high - low) / 2;
        if (measure_compare(&layer->inner[middle].curve, curve) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    InnerCurve *wrong = NULL;
    for (int i = low; i < layer->inner_count && measure_compare(&layer->inner[i].curve, curve) == 0; i++) {
        InnerCurve *c = &layer->inner[i];
        bool same = (c->forward == pieces[0] && c->backward == pieces[1]) ||
                    (c->forward == pieces[1] && c->backward == pieces[0]);
        if (same && !c->listed) return c;
        wrong = c;
    }
    return wrong;
}

static void match_seam(Check *check, const ReadSeam *seam)
{
    LayerField *layer = &check->layers[seam->layer];
    const ReadPiece *pieces = check->kit->pieces;
    if (seam->path.part_count != 1)
        fault_add(check->faults, "seam-broken", seam->id, 0, 0, "a seam should be one run; it has %d",
                  seam->path.part_count);
    for (int i = 0; i < seam->path.curve_count; i++) {
        bool turned;
        ReadCurve curve = measure_one_way(seam->path.curves[i], &turned);
        Spot p = curve.p[0];
        InnerCurve *inner = find_inner(layer, &curve, seam->pieces);
        if (!inner) {
            fault_add(check->faults, "seam-not-shared", seam->id, p.x, p.y,
                      "a part of the seam is no common edge of two pieces of layer %s",
                      check->kit->layers[seam->layer].id);
        } else if (inner->listed) {
            fault_add(check->faults, "seam-twice", seam->id, p.x, p.y,
                      "a part of the seam belongs to another seam as well");
        } else {
            bool same = (inner->forward == seam->pieces[0] && inner->backward == seam->pieces[1]) ||
                        (inner->forward == seam->pieces[1] && inner->backward == seam->pieces[0]);
            if (!same)
                fault_add(check->faults, "seam-wrong-piece", seam->id, p.x, p.y,
                          "the seam is between %s and %s, not %s and %s", pieces[inner->forward].id,
                          pieces[inner->backward].id, pieces[seam->pieces[0]].id, pieces[seam->pieces[1]].id);
            inner->listed = true;
        }
    }
}

static bool measure_seam(Check *check, const ReadSeam *seam, Above *above, Error *err)
{
    Arena *scratch = &check->work->scratch;
    ArenaMark mark = arena_mark(scratch);
    Edges edges = {0};
    double visible = 0.0, length = measure_length(&seam->path);
    bool done = measure_flatten(seam->path.curves, seam->path.curve_count, NULL, INFINITY, 0, scratch, &edges, err);
    for (size_t i = 0; i < edges.count && done; i++) {
        visible += visible_length(above, edges.items[i].a, edges.items[i].b);
        if (i % 64 == 0) done = work_goes_on(check->work, err);
    }
    arena_rewind(scratch, mark);
    if (!done) return false;
    if (!(fabs(length - seam->length_mm) <= LENGTH_ALLOWED_MM + LENGTH_ALLOWED_SHARE * length))
        fault_add(check->faults, "seam-length-wrong", seam->id, 0, 0, "length_mm is %.2f; measured: %.2f",
                  seam->length_mm, length);
    if (!(fabs(visible - seam->visible_mm) <= VISIBLE_ALLOWED_MM + VISIBLE_ALLOWED_SHARE * length))
        fault_add(check->faults, "seam-visible-wrong", seam->id, 0, 0, "visible_mm is %.2f; measured: %.2f",
                  seam->visible_mm, visible);
    check->measured.seam_mm += length;
    check->measured.visible_mm += visible;
    return true;
}

static bool make_above(Check *check, int order, Above *above, Error *err)
{
    above->check = check;
    above->count = check_higher(check, order, above->fields);
    for (int i = 0; i < above->count; i++) {
        above->known[i] = arena_new(&check->work->scratch, signed char, above->fields[i]->edge_count);
        if (!above->known[i]) return error_memory(err);
    }
    return true;
}

static bool check_seams_of(Check *check, int layer, Above *above, Error *err)
{
    const ReadKit *kit = check->kit;
    if (!make_above(check, kit->layers[layer].order, above, err)) return false;
    for (int i = 0; i < kit->seam_count; i++) {
        const ReadSeam *seam = &kit->seams[i];
        if (seam->layer != layer) continue;
        if (strcmp(seam->form, "butt") != 0 && strcmp(seam->form, "lap") != 0)
            fault_add(check->faults, "seam-form-unknown", seam->id, 0, 0, "the form \"%s\" is neither butt nor lap",
                      seam->form);
        match_seam(check, seam);
        if (!measure_seam(check, seam, above, err)) return false;
    }
    LayerField *field = &check->layers[layer];
    for (int i = 0; i < field->inner_count; i++) {
        InnerCurve *c = &field->inner[i];
        if (c->listed) continue;
        char pair[64];
        check_pair_name(check, c->forward, c->backward, pair);
        fault_add(check->faults, "seam-missing", pair, c->curve.p[0].x, c->curve.p[0].y,
                  "the two pieces share an edge that no seam of kit.json holds");
    }
    return true;
}

bool check_seams(Check *check, Error *err)
{
    Above *above = arena_new(&check->work->scratch, Above, 1);
    if (!above) return error_memory(err);
    for (int i = 0; i < check->kit->layer_count; i++) {
        ArenaMark mark = arena_mark(&check->work->scratch);
        bool done = check_seams_of(check, check->by_order[i], above, err);
        arena_rewind(&check->work->scratch, mark);
        if (!done) return false;
    }
    return true;
}

// ---- pieces that nobody sees ----

// All its edge is hidden, and no edge of what hides it runs over it.
static bool check_hidden_piece(Check *check, int index, Above *above, Error *err)
{
    const ReadPiece *piece = &check->kit->pieces[index];
    Arena *scratch = &check->work->scratch;
    Edges edges = {0};
    Field cut;
    if (!measure_flatten(piece->outline.curves, piece->outline.curve_count, NULL, INFINITY, 0, scratch, &edges, err) ||
        !measure_field(edges.items, edges.count, scratch, &cut, err))
        return false;
    for (size_t e = 0; e < edges.count; e++) {
        if (e % 64 == 0 && !work_goes_on(check->work, err)) return false;
        if (visible_length(above, edges.items[e].a, edges.items[e].b) == 0.0) continue;
        fault_add(check->faults, "hidden-piece-visible", piece->id, edges.items[e].a.x, edges.items[e].a.y,
                  "the piece is cut from any card, but here no higher layer covers it by 3 mm");
        return true;
    }
    for (int f = 0; f < above->count; f++)
        for (int e = 0; e < above->fields[f]->edge_count; e++) {
            const Edge *edge = &above->fields[f]->edges[e];
            if (e % 1024 == 0 && !work_goes_on(check->work, err)) return false;
            if (!measure_inside(&cut, edge->a) || !is_edge_of_union(above, edge)) continue;
            fault_add(check->faults, "hidden-piece-visible", piece->id, edge->a.x, edge->a.y,
                      "the piece is cut from any card, but here what covers it has an edge");
            return true;
        }
    check->measured.hidden_count++;
    return true;
}

bool check_hidden(Check *check, Error *err)
{
    const ReadKit *kit = check->kit;
    bool any = false, done = true;
    for (int i = 0; i < kit->paper_count; i++) any = any || kit->papers[i].is_any;
    if (!any) return true;
    ArenaMark mark = arena_mark(&check->work->scratch);
    Above *above = arena_new(&check->work->scratch, Above, 1);
    if (!above) return error_memory(err);
    for (int i = 0; i < kit->piece_count && done; i++) {
        const ReadPiece *piece = &kit->pieces[i];
        if (piece->is_strip || !kit->papers[kit->sheets[piece->sheet].paper].is_any) continue;
        ArenaMark one = arena_mark(&check->work->scratch);
        done = make_above(check, kit->layers[piece->layer].order, above, err) && check_hidden_piece(check, i, above, err);
        arena_rewind(&check->work->scratch, one);
    }
    arena_rewind(&check->work->scratch, mark);
    return done;
}
