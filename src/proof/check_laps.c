// check_laps.c - pieces that are cut larger than their face, a layer at a time: the face is cut whole; what reaches beyond it is a
// lap of a lap seam, lies under the face of that seam's other piece, clear of the layer's edge and of other laps; each lap seam
// has such a lap, and no other seam has one.
#include "proof/check.h"

#include <math.h>
#include <string.h>

#define CLEAR_MM 1.0     // a lap nearer to the layer's edge than this shows when paper is laid a little off
#define APART_MM 0.5     // two laps nearer than this lie on one another then
#define BESIDE_MM 3.0    // where a lap is looked for beside its seam: half of the least width that is of use
#define LAPPED_SHARE 0.5 // of a lap seam has its lap there
#define LOOKS 5          // at a stretch of a scan line

typedef struct LapPiece {
    int piece;
    Field cut, face; // `cut` has edges of at most CHECK_SPLIT_MM
    bool inside[2];  // of a scan line: in what is cut, in the face
} LapPiece;

typedef struct LapLayer {
    Check *check;
    int layer;
    LapPiece *laps;       // pieces with a face of their own
    int lap_count;
    int *lap_of;          // by piece: index into laps, or -1
    Field *faces;         // by piece: of pieces that laps may lie under; edge_count 0 when not looked at yet
    Field edges;          // of all outlines and faces: owner 2 i and 2 i + 1
} LapLayer;

static bool near_edge(const Field *field, Spot p)
{
    return measure_distance(field, p, 2.0 * PROOF_TOLERANCE_MM, -2, NULL) <= PROOF_TOLERANCE_MM;
}

static void report(LapLayer *l, const char *kind, int lap, Spot p, const char *text)
{
    fault_add(l->check->faults, kind, l->check->kit->pieces[l->laps[lap].piece].id, p.x, p.y, "%s", text);
}

// ---- what lies where, on scan lines ----

// Whether the place lies in the face of a piece that a lap seam joins this one to, this one's lap below.
static bool is_under_neighbour(const LapLayer *l, int lap, Spot p)
{
    const ReadKit *kit = l->check->kit;
    int piece = l->laps[lap].piece;
    for (int s = 0; s < kit->seam_count; s++) {
        const ReadSeam *seam = &kit->seams[s];
        if (seam->lap_of != piece || (seam->pieces[0] != piece && seam->pieces[1] != piece)) continue;
        int other = seam->pieces[0] == piece ? seam->pieces[1] : seam->pieces[0];
        if (measure_inside(&l->faces[other], p) || near_edge(&l->faces[other], p)) return true;
    }
    return false;
}

static void look_at(LapLayer *l, int lap, Spot p)
{
    const LapPiece *of = &l->laps[lap];
    if (near_edge(&l->edges, p)) return;
    if (of->inside[1])
        report(l, "face-not-cut", lap, p, "a place of the face lies outside what is cut");
    else if (!is_under_neighbour(l, lap, p))
        report(l, "lap-visible", lap, p, "what is cut beyond the face is not under a piece that a lap seam joins it to");
}

static void look_at_stretch(LapLayer *l, double x0, double x1, double y)
{
    int found = -1;
    for (int i = 0; i < l->lap_count; i++) {
        const LapPiece *of = &l->laps[i];
        if (of->inside[0] == of->inside[1]) continue;
        for (int k = 0; k < LOOKS; k++) look_at(l, i, (Spot){x0 + (k + 0.5) / LOOKS * (x1 - x0), y});
        if (!of->inside[0]) continue;
        Spot middle = {0.5 * (x0 + x1), y};
        if (found >= 0 && !near_edge(&l->edges, middle)) {
            char pair[64];
            check_pair_name(l->check, l->laps[found].piece, of->piece, pair);
            fault_add(l->check->faults, "laps-overlap", pair, middle.x, middle.y, "two laps lie on one another");
        }
        found = i;
    }
}

static bool lap_row(void *data, double y, const ScanHit *hits, int count, Error *err)
{
    (void)err;
    LapLayer *l = data;
    for (int i = 0; i < l->lap_count; i++) l->laps[i].inside[0] = l->laps[i].inside[1] = false;
    for (int i = 0, open = 0; i + 1 < count; i++) {
        LapPiece *of = &l->laps[hits[i].owner / 2];
        bool was = of->inside[0] != of->inside[1];
        of->inside[hits[i].owner % 2] = !of->inside[hits[i].owner % 2];
        open += (of->inside[0] != of->inside[1]) - was;
        if (open > 0 && hits[i + 1].x - hits[i].x > 2.0 * PROOF_TOLERANCE_MM) look_at_stretch(l, hits[i].x, hits[i + 1].x, y);
    }
    return true;
}

// ---- how near its edges come ----

// Edges of laps alone: those of outlines that are no edges of the face.
static bool check_edges(LapLayer *l, Error *err)
{
    Edges laps = {0};
    Arena *scratch = &l->check->work->scratch;
    Field field;
    for (int i = 0; i < l->lap_count; i++)
        for (int e = 0; e < l->laps[i].cut.edge_count; e++) {
            const Edge *edge = &l->laps[i].cut.edges[e];
            if (e % 1024 == 0 && !work_goes_on(l->check->work, err)) return false;
            if (near_edge(&l->laps[i].face, edge->a)) continue;
            Edge *items = arena_grow(scratch, laps.items, laps.count, &laps.capacity, sizeof *items);
            if (!items) return error_memory(err);
            laps.items = items;
            items[laps.count++] = (Edge){edge->a, edge->b, i};
        }
    if (!measure_field(laps.items, laps.count, scratch, &field, err)) return false;
    for (size_t e = 0; e < laps.count; e++) {
        const Edge *edge = &laps.items[e];
        int other;
        if (e % 1024 == 0 && !work_goes_on(l->check->work, err)) return false;
        if (measure_distance(&l->check->layers[l->layer].field, edge->a, 2.0 * CLEAR_MM, -2, NULL) < CLEAR_MM)
            report(l, "lap-visible", edge->owner, edge->a, "the lap comes nearer than 1 mm to the edge of its layer");
        if (measure_distance(&field, edge->a, 2.0 * APART_MM, edge->owner, &other) >= APART_MM) continue;
        char pair[64];
        check_pair_name(l->check, l->laps[edge->owner].piece, l->laps[field.edges[other].owner].piece, pair);
        fault_add(l->check->faults, "laps-overlap", pair, edge->a.x, edge->a.y, "two laps are nearer than 0.5 mm to one another");
    }
    return true;
}

// ---- seams and their forms ----

// The share of a seam beside which this piece is cut beyond its face.
static bool lapped_share(LapLayer *l, const ReadSeam *seam, int piece, double *share, Error *err)
{
    Edges edges = {0};
    int lap = l->lap_of[piece];
    double whole = 0.0, lapped = 0.0;
    *share = 0.0;
    if (lap < 0) return true;
    if (!measure_flatten(seam->path.curves, seam->path.curve_count, NULL, CHECK_SPLIT_MM, 0, &l->check->work->scratch, &edges, err))
        return false;
    for (size_t i = 0; i < edges.count; i++) {
        Spot a = edges.items[i].a, b = edges.items[i].b;
        double length = measure_gap(a, b);
        if (!(length > 0.0)) continue;
        whole += length;
        for (int side = -1; side <= 1; side += 2) {
            Spot p = {0.5 * (a.x + b.x) - side * BESIDE_MM * (b.y - a.y) / length,
                      0.5 * (a.y + b.y) + side * BESIDE_MM * (b.x - a.x) / length};
            if (measure_inside(&l->laps[lap].cut, p) && !measure_inside(&l->laps[lap].face, p)) lapped += length;
        }
    }
    *share = whole > 0.0 ? lapped / whole : 0.0;
    return true;
}

static bool check_form(LapLayer *l, const ReadSeam *seam, Error *err)
{
    double shares[2];
    ArenaMark mark = arena_mark(&l->check->work->scratch);
    const Spot at = seam->path.curve_count ? seam->path.curves[0].p[0] : (Spot){0, 0};
    bool is_lap = strcmp(seam->form, "lap") == 0;
    for (int k = 0; k < 2; k++)
        if (!lapped_share(l, seam, seam->pieces[k], &shares[k], err)) return false;
    arena_rewind(&l->check->work->scratch, mark);
    l->check->measured.lap_count += is_lap;
    if (is_lap && seam->lap_of != seam->pieces[0] && seam->lap_of != seam->pieces[1])
        fault_add(l->check->faults, "lap-missing", seam->id, at.x, at.y, "lap_of should be one of the seam's two pieces");
    for (int k = 0; k < 2; k++) {
        bool has = is_lap && seam->lap_of == seam->pieces[k];
        if (has && shares[k] < LAPPED_SHARE)
            fault_add(l->check->faults, "lap-missing", seam->id, at.x, at.y, "%s has a lap along %.0f %% of the seam; at least %.0f %% is due",
                      l->check->kit->pieces[seam->pieces[k]].id, 100.0 * shares[k], 100.0 * LAPPED_SHARE);
    }
    return true;
}

// ---- a layer ----

static bool take_piece(LapLayer *l, int piece, Edges *edges, Error *err)
{
    const ReadPiece *of = &l->check->kit->pieces[piece];
    Arena *scratch = &l->check->work->scratch;
    LapPiece *lap = &l->laps[l->lap_count];
    Edges cut = {0}, face = {0};
    *lap = (LapPiece){.piece = piece};
    l->lap_of[piece] = l->lap_count;
    if (!measure_flatten(of->outline.curves, of->outline.curve_count, NULL, INFINITY, 2 * l->lap_count, scratch, edges, err) ||
        !measure_flatten(of->face.curves, of->face.curve_count, NULL, INFINITY, 2 * l->lap_count + 1, scratch, edges, err) ||
        !measure_flatten(of->outline.curves, of->outline.curve_count, NULL, CHECK_SPLIT_MM, 0, scratch, &cut, err) ||
        !measure_flatten(of->face.curves, of->face.curve_count, NULL, INFINITY, 0, scratch, &face, err))
        return false;
    l->lap_count++;
    return measure_field(cut.items, cut.count, scratch, &lap->cut, err) &&
           measure_field(face.items, face.count, scratch, &lap->face, err);
}

// The faces that laps may lie under.
static bool take_faces(LapLayer *l, Error *err)
{
    const ReadKit *kit = l->check->kit;
    for (int s = 0; s < kit->seam_count; s++) {
        const ReadSeam *seam = &kit->seams[s];
        for (int k = 0; k < 2; k++) {
            int other = seam->pieces[1 - k];
            if (seam->lap_of != seam->pieces[k] || l->lap_of[seam->lap_of] < 0 || l->faces[other].edge_count > 0) continue;
            const ReadPath *face = &kit->pieces[other].face;
            Edges edges = {0};
            if (!measure_flatten(face->curves, face->curve_count, NULL, INFINITY, 0, &l->check->work->scratch, &edges, err) ||
                !measure_field(edges.items, edges.count, &l->check->work->scratch, &l->faces[other], err))
                return false;
        }
    }
    return true;
}

static bool check_laps_of(Check *check, int layer, Error *err)
{
    const ReadKit *kit = check->kit;
    Arena *scratch = &check->work->scratch;
    LapLayer l = {.check = check, .layer = layer};
    Edges edges = {0};
    l.laps = arena_new(scratch, LapPiece, kit->piece_count);
    l.lap_of = arena_new(scratch, int, kit->piece_count);
    l.faces = arena_new(scratch, Field, kit->piece_count);
    if (!l.laps || !l.lap_of || !l.faces) return error_memory(err);
    for (int i = 0; i < kit->piece_count; i++) l.lap_of[i] = -1;
    for (int i = 0; i < kit->piece_count; i++)
        if (kit->pieces[i].has_own_face && kit->pieces[i].layer == layer && !take_piece(&l, i, &edges, err)) return false;
    if (!take_faces(&l, err)) return false;
    for (int s = 0; s < kit->seam_count; s++)
        if (kit->seams[s].layer == layer && !check_form(&l, &kit->seams[s], err)) return false;
    if (l.lap_count == 0) return true;
    return measure_field(edges.items, edges.count, scratch, &l.edges, err) &&
           measure_scan(edges.items, edges.count, check->work, lap_row, &l, err) && check_edges(&l, err);
}

static bool has_laps(const ReadKit *kit, int layer)
{
    for (int i = 0; i < kit->piece_count; i++)
        if (kit->pieces[i].layer == layer && kit->pieces[i].has_own_face) return true;
    for (int s = 0; s < kit->seam_count; s++)
        if (kit->seams[s].layer == layer && strcmp(kit->seams[s].form, "lap") == 0) return true;
    return false;
}

bool check_laps(Check *check, Error *err)
{
    for (int layer = 0; layer < check->kit->layer_count; layer++) {
        if (!has_laps(check->kit, layer)) continue;
        ArenaMark mark = arena_mark(&check->work->scratch);
        bool done = check_laps_of(check, layer, err);
        arena_rewind(&check->work->scratch, mark);
        if (!done) return false;
    }
    return true;
}
