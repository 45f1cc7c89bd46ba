// bounds.c - see bounds.h.
#include "mark/bounds.h"

#include "mark/clip.h"
#include "shape/overlay.h"

#define CORNER_MM 0.02 // facets cut round corners by as much: added to the distance that is to be kept

bool bounds_make(const Stack *stack, const LayerPieces *pieces, int layer, double hide_mm, Arena *keep, Work *work,
                 Bounds *out, Error *err)
{
    *out = (Bounds){.layer = layer, .face_count = pieces->piece_count};
    out->layers = arena_new(keep, Cover, stack->layer_count);
    out->faces = arena_new(keep, Cover, pieces->piece_count);
    if (!out->layers || !out->faces) return error_memory(err);
    const Rings *cover = &stack->layers[layer].cover;
    if (cover->count == 0) return true;
    if (!overlay_offset(cover, -hide_mm - CORNER_MM, CORNER_MM, keep, work, &out->hidden, err)) return false;
    if (out->hidden.count == 0) return true;
    if (!cover_make(&out->hidden, keep, &out->safe, err)) return false;
    for (int i = layer + 1; i < stack->layer_count - 1; i++)
        if (!cover_make(&stack->layers[i].rings, keep, &out->layers[i], err)) return false;
    for (int i = 0; i < pieces->piece_count; i++) {
        if (!work_goes_on(work, err)) return false;
        if (!box_overlap(rings_box(&pieces->pieces[i].rings), out->safe.box)) continue;
        if (!clip_face(&pieces->pieces[i], keep, work, &out->faces[i], err)) return false;
    }
    return true;
}
