// check_laps.c - pieces that are cut larger than their face: the face is cut whole, and what reaches beyond it ends up
// below a neighbour of its own layer or below a higher layer.
#include "proof/check.h"

#include <math.h>

typedef struct Lap {
    Check *check;
    int piece;
    const Field *edges;   // outline (owner 0) and face (owner 1)
    const Field **covers; // its own layer and those above
    int cover_count;
} Lap;

static bool near_edge(const Field *field, Spot p)
{
    return measure_distance(field, p, 2.0 * PROOF_TOLERANCE_MM, -2, NULL) <= PROOF_TOLERANCE_MM;
}

static void look_at_lap(Lap *lap, Spot p, bool in_face)
{
    const char *id = lap->check->kit->pieces[lap->piece].id;
    if (near_edge(lap->edges, p)) return;
    if (in_face) {
        fault_add(lap->check->faults, "face-not-cut", id, p.x, p.y, "a place of the face lies outside what is cut");
        return;
    }
    for (int i = 0; i < lap->cover_count; i++)
        if (measure_inside(lap->covers[i], p) || near_edge(lap->covers[i], p)) return;
    fault_add(lap->check->faults, "lap-visible", id, p.x, p.y, "what is cut beyond the face is covered by nothing");
}

static bool lap_row(void *data, double y, const ScanHit *hits, int count, Error *err)
{
    (void)err;
    bool inside[2] = {false, false};
    for (int i = 0; i + 1 < count; i++) {
        inside[hits[i].owner] = !inside[hits[i].owner];
        double wide = hits[i + 1].x - hits[i].x;
        if (inside[0] == inside[1] || wide <= 2.0 * PROOF_TOLERANCE_MM) continue;
        for (int k = 1; k < 6; k++) look_at_lap(data, (Spot){hits[i].x + k / 6.0 * wide, y}, inside[1]);
    }
    return true;
}

static bool check_lap(Check *check, int index, Error *err)
{
    const ReadPiece *piece = &check->kit->pieces[index];
    Arena *scratch = &check->work->scratch;
    Edges edges = {0};
    Field field;
    Lap lap = {.check = check, .piece = index, .edges = &field};
    lap.covers = arena_new(scratch, const Field *, check->kit->layer_count + 1);
    if (!lap.covers) return error_memory(err);
    lap.covers[0] = &check->layers[piece->layer].field;
    lap.cover_count = 1 + check_higher(check, check->kit->layers[piece->layer].order, lap.covers + 1);
    return measure_flatten(piece->outline.curves, piece->outline.curve_count, NULL, INFINITY, 0, scratch, &edges,
                           err) &&
           measure_flatten(piece->face.curves, piece->face.curve_count, NULL, INFINITY, 1, scratch, &edges, err) &&
           measure_field(edges.items, edges.count, scratch, &field, err) &&
           measure_scan(edges.items, edges.count, check->work, lap_row, &lap, err);
}

bool check_laps(Check *check, Error *err)
{
    for (int i = 0; i < check->kit->piece_count; i++) {
        if (!check->kit->pieces[i].has_own_face) continue;
        ArenaMark mark = arena_mark(&check->work->scratch);
        bool done = check_lap(check, i, err);
        arena_rewind(&check->work->scratch, mark);
        if (!done) return false;
    }
    return true;
}
