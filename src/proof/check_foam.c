// check_foam.c - foam squares: only under pieces of raised layers, wherever one is turned to at least 4 mm inside the edge of its piece, no
// two of one piece on one another.
#include "proof/check.h"

#include <math.h>

#define FROM_EDGE_MM 4.0
#define HALF_DIAGONAL 0.70710678 // of a side: from the middle to a corner

static void report(const Check *check, const char *kind, const ReadPiece *piece, Spot at, const char *text)
{
    fault_add(check->faults, kind, piece->id, at.x, at.y, "%s", text);
}

static void check_square(Check *check, const ReadPiece *piece, const Field *field, int index)
{
    double half = HALF_DIAGONAL * check->kit->foam_square_mm, room = half + FROM_EDGE_MM;
    Spot p = piece->foam[index];
    bool inside = measure_inside(field, p) && measure_distance(field, p, room, -2, NULL) >= room - PROOF_TOLERANCE_MM;
    if (!inside) report(check, "foam-off-piece", piece, p, "a foam square comes nearer than 4 mm to the edge of its piece");
    for (int k = 0; k < index; k++)
        if (measure_gap(p, piece->foam[k]) < 2.0 * half - PROOF_TOLERANCE_MM) report(check, "foam-overlaps", piece, p, "two foam squares lie on one another");
}

static bool check_piece(Check *check, const ReadPiece *piece, Error *err)
{
    const ReadKit *kit = check->kit;
    Edges edges = {0};
    Field field;
    Arena *scratch = &check->work->scratch;
    if (piece->is_strip || !kit->layers[piece->layer].raised || kit->foam_square_mm <= 0.0) {
        report(check, "foam-not-raised", piece, piece->foam[0], "foam squares lie under a piece whose layer is not raised");
        return true;
    }
    if (!measure_flatten(piece->face.curves, piece->face.curve_count, NULL, INFINITY, 0, scratch, &edges, err) ||
        !measure_field(edges.items, edges.count, scratch, &field, err))
        return false;
    for (int i = 0; i < piece->foam_count; i++) check_square(check, piece, &field, i);
    check->measured.foam_count += piece->foam_count;
    return true;
}

bool check_foam(Check *check, Error *err)
{
    for (int i = 0; i < check->kit->piece_count; i++) {
        if (check->kit->pieces[i].foam_count == 0) continue;
        ArenaMark mark = arena_mark(&check->work->scratch);
        bool done = work_goes_on(check->work, err) && check_piece(check, &check->kit->pieces[i], err);
        arena_rewind(&check->work->scratch, mark);
        if (!done) return false;
    }
    return true;
}
