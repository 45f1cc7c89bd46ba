// raise.c - see raise.h.
#include "stack/raise.h"

#include "shape/overlay.h"

#include <stdio.h>

// beside[a * colours + b]: regions of both colours share an arc.
static bool find_beside(const Outlines *outlines, Arena *scratch, bool **out, Error *err)
{
    int colours = outlines->colour_count;
    bool *beside = *out = arena_new(scratch, bool, (size_t)colours *(size_t)colours);
    if (!beside) return error_memory(err);
    for (int i = 0; i < outlines->arc_count; i++) {
        int a = outlines->regions[outlines->arcs[i].left].label - 1, b = outlines->regions[outlines->arcs[i].right].label - 1;
        if (a >= 0 && b >= 0) beside[a * colours + b] = beside[b * colours + a] = true;
    }
    return true;
}

static bool tell_base(const Outlines *outlines, int colour, Arena *keep, Stack *out, Error *err)
{
    char text[120];
    snprintf(text, sizeof text, "%.40s on foam squares: it is the base, which everything lies on", outlines->colours[colour].name);
    return findings_add(&out->findings, keep, "edit-not-kept", text, 0.0, 0.0) || error_memory(err);
}

static bool take_asked(const Outlines *outlines, const StackOptions *options, const int *order, int layer_count, Arena *keep,
                       bool *asked, Stack *out, Error *err)
{
    for (int i = 0; i < options->raised_count; i++) {
        StackRaised wish = options->raised[i];
        bool found = false;
        if (wish.colour < 0 && (wish.layer < 1 || wish.layer >= layer_count))
            return wish.layer == 0 ? error_set(err, ERROR_JOB, "layer A is the base: it lies on no foam squares")
                                   : error_set(err, ERROR_JOB, "a layer is to be raised that is not there: above the base there %s only %d", layer_count == 2 ? "is" : "are", layer_count - 1);
        if (wish.colour < 0) asked[wish.layer] = true;
        for (int layer = 1; layer < layer_count && wish.colour >= 0; layer++) {
            if (order[layer - 1] != wish.colour) continue;
            asked[layer] = found = true;
        }
        if (wish.colour >= 0 && !found && !tell_base(outlines, wish.colour, keep, out, err)) return false;
    }
    return true;
}

bool raise_find(const Outlines *outlines, const StackOptions *options, const int *order, int layer_count, Arena *keep, Work *work,
                bool *out_asked, bool *out_raised, Stack *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    bool *beside;
    for (int layer = 0; layer < layer_count; layer++) out_asked[layer] = out_raised[layer] = false;
    if (options->raised_count == 0) return true;
    if (!take_asked(outlines, options, order, layer_count, keep, out_asked, out, err) || !find_beside(outlines, &work->scratch, &beside, err)) return false;
    for (int layer = 1; layer < layer_count; layer++) {
        out_raised[layer] = out_asked[layer];
        for (int below = 1; below < layer && out->underlap_mm > 0.0; below++)
            out_raised[layer] = out_raised[layer] || (out_raised[below] && beside[order[below - 1] * outlines->colour_count + order[layer - 1]]);
    }
    arena_rewind(&work->scratch, mark);
    return true;
}

bool raise_reach(const Rings *reach, const Rings *wide, const Rings *raised, Arena *keep, Work *work, Rings *out, Error *err)
{
    Rings below;
    Arena own = arena_make(work->scratch.budget_bytes);
    bool done = overlay_rings(wide, raised, OVERLAY_INTERSECTION, &own, work, &below, err) &&
                overlay_rings(reach, &below, OVERLAY_UNION, keep, work, out, err);
    arena_free(&own);
    return done;
}
