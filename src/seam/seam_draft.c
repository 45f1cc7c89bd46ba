// seam_draft.c - see seam_draft.h.
#include "seam/seam_draft.h"

static bool copy_plan(const Plan *plan, Arena *keep, Plan *out, Error *err)
{
    *out = *plan;
    int routes = 0;
    for (int s = 0; s < plan->seam_count; s++) routes += plan->seams[s].count;
    out->nodes = arena_copy(keep, plan->nodes, (size_t)plan->node_count, sizeof *plan->nodes);
    out->route = arena_copy(keep, plan->route, (size_t)routes, sizeof *plan->route);
    out->seams = arena_copy(keep, plan->seams, (size_t)plan->seam_count, sizeof *plan->seams);
    return out->nodes && out->route && out->seams ? true : error_memory(err);
}

bool seam_draft_make(const PartPlan *plans, int part_count, const FixedLoss *losses, int loss_count, Arena *keep,
                const SeamDraft **out, Error *err)
{
    SeamDraft *draft = arena_new(keep, SeamDraft, 1);
    if (!draft) return error_memory(err);
    *draft = (SeamDraft){.plans = arena_new(keep, Plan, part_count), .part_count = part_count, .loss_count = loss_count};
    draft->losses = arena_copy(keep, losses, (size_t)loss_count, sizeof *losses);
    if (!draft->plans || !draft->losses) return error_memory(err);
    for (int p = 0; p < part_count; p++)
        if (plans[p].plan && !copy_plan(plans[p].plan, keep, &draft->plans[p], err)) return false;
    *out = draft;
    return true;
}
