// hidden.c - see hidden.h.
#include "job/hidden.h"

#include "shape/overlay.h"

#define COVERED_BY_MM 3.0   // as hidden seams are
#define OFFSET_OFF_MM 0.1   // offsets are exact to a hundredth of their distance, and cut round corners
#define CORNER_MM 0.02
#define NOTHING_MM2 0.001

static bool is_inside(const Rings *piece, const Rings *cover, Work *work, bool *out, Error *err)
{
    Rings rest;
    *out = false;
    Box box = rings_box(piece);
    if (cover->count == 0 || !box_overlap(box, rings_box(cover))) return true;
    for (int r = 0; r < piece->count; r++) // most pieces look out somewhere: quickly told
        if (!rings_contain(cover, piece->items[r].points[0])) return true;
    ArenaMark mark = arena_mark(&work->scratch);
    Arena own = arena_make(work->scratch.budget_bytes);
    bool done = overlay_rings(piece, cover, OVERLAY_DIFFERENCE, &own, work, &rest, err);
    if (done) *out = rings_area_mm2(&rest) < NOTHING_MM2;
    arena_free(&own);
    arena_rewind(&work->scratch, mark);
    return done;
}

bool hidden_find(Run *run, bool **out, Error *err)
{
    const LayerPieces *base = &run->out->pieces[0];
    const Layer *layer = &run->out->stack.layers[0];
    Rings cover;
    *out = arena_new(&run->own, bool, base->piece_count);
    if (!*out) return error_memory(err);
    if (!run->options->settings->hidden_from_scrap || layer->cover.count == 0) return true;
    if (!overlay_offset(&layer->cover, -(COVERED_BY_MM + OFFSET_OFF_MM), CORNER_MM, &run->own, &run->work, &cover, err)) return false;
    for (int i = 0; i < base->piece_count; i++)
        if (!work_goes_on(&run->work, err) || !is_inside(piece_cut(&base->pieces[i]), &cover, &run->work, &(*out)[i], err)) return false;
    return true;
}
