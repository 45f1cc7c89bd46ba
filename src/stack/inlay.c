// inlay.c - see inlay.h.
#include "stack/inlay.h"

#include "shape/overlay.h"
#include "stack/coarse.h"
#include "stack/underlap.h"

#define COARSE_MM 0.05      // input of the offset: lower only costs time, higher eats into the distance below
#define SIMPLIFY_MM 0.3     // of an edge that nobody sees: higher gives fewer nodes but needs more distance
#define CORNER_MM 0.05
#define APART_MM (UNDERLAP_INSIDE_MM + SIMPLIFY_MM + COARSE_MM)

bool inlay_neighbours(const StackOptions *options, int colour, bool *with, int colour_count)
{
    bool some = false;
    for (int i = 0; i < options->inlay_count; i++) {
        ColourPair pair = options->inlays[i];
        int other = pair.a == colour ? pair.b : pair.b == colour ? pair.a : -1;
        if (other < 0 || other >= colour_count || other == colour) continue;
        with[other] = some = true;
    }
    return some;
}

static bool keep_out(const Rings *others, Arena *own, Arena *keep, Work *work, Rings *reach, Error *err)
{
    Rings coarse, grown, simple, left;
    if (!coarse_rings(others, COARSE_MM, own, work, &coarse, err) || !overlay_offset(&coarse, APART_MM, CORNER_MM, own, work, &grown, err) ||
        !overlay_simplify(&grown, SIMPLIFY_MM, own, work, &simple, err) ||
        !overlay_rings(reach, &simple, OVERLAY_DIFFERENCE, keep, work, &left, err))
        return false;
    *reach = left;
    return true;
}

bool inlay_keep_out(const Rings *others, Arena *keep, Work *work, Rings *reach, Error *err)
{
    if (reach->count == 0 || others->count == 0) return true;
    Arena own = arena_make(work->scratch.budget_bytes); // work's is rewound by what is called here
    bool done = keep_out(others, &own, keep, work, reach, err);
    arena_free(&own);
    return done;
}
