// check_marks.c - every mark lies on the face of its piece and is covered by higher layers in the end; what is drawn by
// pen for its looks lies where nothing covers it.
#include "proof/check.h"

#include <math.h>

static bool check_mark(Check *check, const ReadPiece *piece, const ReadMark *mark, const Field *face,
                       const Field **higher, int higher_count, Error *err)
{
    Edges edges = {0};
    Spot at;
    if (!measure_flatten(mark->path.curves, mark->path.curve_count, NULL, INFINITY, 0, &check->work->scratch, &edges,
                         err))
        return false;
    bool on = true, as_it_should = true;
    for (size_t i = 0; i < edges.count && (on || as_it_should); i++) {
        if (i % 256 == 0 && !work_goes_on(check->work, err)) return false;
        Spot a = edges.items[i].a, b = edges.items[i].b;
        if (on && measure_strays(&face, 1, a, b, true, PROOF_TOLERANCE_MM, &at)) {
            on = false;
            fault_add(check->faults, "mark-off-piece", piece->id, at.x, at.y, "a %s mark leaves the face of its piece",
                      mark->kind);
        }
        if (as_it_should && measure_strays(higher, higher_count, a, b, !mark->is_drawn, PROOF_TOLERANCE_MM, &at)) {
            as_it_should = false;
            if (mark->is_drawn)
                fault_add(check->faults, "mark-covered", piece->id, at.x, at.y,
                          "a drawn detail lies below a higher layer, where nobody sees it");
            else
                fault_add(check->faults, "mark-visible", piece->id, at.x, at.y,
                          "a %s mark is covered by no higher layer and would stay in sight", mark->kind);
        }
    }
    check->measured.mark_count++;
    check->measured.drawn_count += mark->is_drawn;
    return true;
}

static bool check_piece(Check *check, const ReadPiece *piece, const Field **higher, Error *err)
{
    Arena *scratch = &check->work->scratch;
    Edges edges = {0};
    Field face;
    int higher_count = piece->is_strip ? 0 : check_higher(check, check->kit->layers[piece->layer].order, higher);
    if (piece->is_strip) { // a strip is glued behind the picture: nothing on it is ever seen
        check->measured.mark_count += piece->mark_count;
        return true;
    }
    if (!measure_flatten(piece->face.curves, piece->face.curve_count, NULL, INFINITY, 0, scratch, &edges, err) ||
        !measure_field(edges.items, edges.count, scratch, &face, err))
        return false;
    for (int k = 0; k < piece->mark_count; k++) {
        ArenaMark mark = arena_mark(scratch);
        bool done = check_mark(check, piece, &piece->marks[k], &face, higher, higher_count, err);
        arena_rewind(scratch, mark);
        if (!done) return false;
    }
    return true;
}

bool check_marks(Check *check, Error *err)
{
    const Field **higher = arena_new(&check->work->scratch, const Field *, check->kit->layer_count);
    if (!higher) return error_memory(err);
    for (int i = 0; i < check->kit->piece_count; i++) {
        if (check->kit->pieces[i].mark_count == 0) continue;
        ArenaMark mark = arena_mark(&check->work->scratch);
        bool done = check_piece(check, &check->kit->pieces[i], higher, err);
        arena_rewind(&check->work->scratch, mark);
        if (!done) return false;
    }
    return true;
}
