// lap_order.c - see lap_order.h.
#include "seam/lap_order.h"

static int next_to_join(const LayerPieces *pieces, const double *to_done, const bool *done)
{
    int best = -1;
    for (int i = 0; i < pieces->piece_count; i++) {
        if (done[i]) continue;
        bool more = best < 0 || to_done[i] > to_done[best] ||
                    (to_done[i] == to_done[best] && pieces->pieces[i].area_mm2 > pieces->pieces[best].area_mm2);
        if (more) best = i;
    }
    return best;
}

bool lap_order(const LayerPieces *pieces, Arena *keep, Work *work, int **out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    double *to_done = arena_new(&work->scratch, double, pieces->piece_count);
    bool *done = arena_new(&work->scratch, bool, pieces->piece_count);
    *out = arena_new(keep, int, pieces->piece_count);
    if (!to_done || !done || !*out) return error_memory(err);
    for (int rank = 0; rank < pieces->piece_count; rank++) {
        int next = next_to_join(pieces, to_done, done);
        if (!work_goes_on(work, err)) return false;
        done[next] = true;
        (*out)[next] = rank;
        for (int s = 0; s < pieces->seam_count; s++) {
            const Seam *seam = &pieces->seams[s];
            if (seam->pieces[0] == next) to_done[seam->pieces[1]] += seam->length_mm;
            if (seam->pieces[1] == next) to_done[seam->pieces[0]] += seam->length_mm;
        }
    }
    arena_rewind(&work->scratch, mark);
    return true;
}
