// section.c - see section.h.
#include "seam/section.h"

#include "seam/section_charge.h"
#include "shape/parting.h"

#include <math.h>

#define SMALL_SHARE 0.25    // of a sheet: a part under it is small
#define SEEN_MM 50.8        // of a cut in a part that could stay whole: more is not worth it

typedef struct Charging {
    const SectionGround *ground;
    int axis;
} Charging;

static bool charge(void *data, const double *at_mm, int count, Work *work, double *out_in, Error *err)
{
    const Charging *charging = data;
    return section_charge(charging->ground, charging->axis, at_mm, count, work, out_in, err);
}

// Both directions for one way to hold the size.
static bool choose_both(const SectionGround *ground, const double size_mm[2], Arena *keep, Work *work, Parting out[2], Error *err)
{
    for (int axis = 0; axis < 2; axis++) {
        Charging charging = {ground, axis};
        double length_mm = axis == 0 ? ground->stack->width_mm : ground->stack->height_mm;
        if (!parting_choose(length_mm, size_mm[axis] - SECTION_SPARE_MM, charge, &charging, keep, work, &out[axis], err)) return false;
    }
    return true;
}

static int section_count(const Parting both[2])
{
    return (both[0].count + 1) * (both[1].count + 1);
}

static bool put_lines(const Stack *stack, const Parting both[2], Arena *keep, SectionPlan *out, Error *err)
{
    const double out_mm = 20.0; // beyond the paper, so that no end lies on it
    out->lines = arena_new(keep, SeamLine, both[0].count + both[1].count);
    if (!out->lines) return error_memory(err);
    for (int axis = 0; axis < 2; axis++) {
        out->at[axis] = arena_new(keep, int32_t, both[axis].count);
        out->count[axis] = both[axis].count;
        if (!out->at[axis]) return error_memory(err);
        for (int i = 0; i < both[axis].count; i++) {
            Point *ends = arena_new(keep, Point, 2);
            if (!ends) return error_memory(err);
            double at = both[axis].at_mm[i];
            out->at[axis][i] = (int32_t)lround(at * UM_PER_MM);
            ends[0] = axis == 0 ? point_from_mm(at, -out_mm) : point_from_mm(-out_mm, at);
            ends[1] = axis == 0 ? point_from_mm(at, stack->height_mm + out_mm) : point_from_mm(stack->width_mm + out_mm, at);
            out->lines[out->line_count++] = (SeamLine){ends, 2};
        }
    }
    return true;
}

// ---- what stays whole ----

static bool stays_whole(const SectionGround *ground, const SectionPart *part, const SectionCut *cuts, int count)
{
    double seen_mm = 0.0;
    bool narrow = false;
    for (int i = 0; i < count; i++) {
        if (cuts[i].part != part->index) continue;
        seen_mm += cuts[i].visible_mm;
        narrow = narrow || cuts[i].beside_mm < ground->least_wide_mm;
    }
    if (part->layer == 0) return narrow; // nothing lies under it: whole it would be a piece without a place
    return narrow || seen_mm > SEEN_MM || part->sheet_share < SMALL_SHARE;
}

static bool choose_whole(const SectionGround *ground, SectionPlan *plan, Arena *keep, Work *work, Error *err)
{
    const Stack *stack = ground->stack;
    plan->whole = arena_new(keep, bool *, stack->layer_count);
    plan->part_count = arena_new(keep, int, stack->layer_count);
    if (!plan->whole || !plan->part_count) return error_memory(err);
    for (int layer = 0; layer < stack->layer_count; layer++) {
        const SectionLayer *of = &ground->layers[layer];
        plan->part_count[layer] = of->part_count;
        plan->whole[layer] = arena_new(keep, bool, of->part_count);
        if (!plan->whole[layer]) return error_memory(err);
        ArenaMark mark = arena_mark(&work->scratch);
        SectionCut *cuts;
        int count;
        if (!section_cuts(ground, layer, plan->at, plan->count, work, &cuts, &count, err)) return false;
        for (int p = 0; p < of->part_count; p++)
            plan->whole[layer][p] = of->parts[p].fits && stays_whole(ground, &of->parts[p], cuts, count);
        arena_rewind(&work->scratch, mark);
    }
    return true;
}

static bool plan_sections(const Stack *stack, const Paper *papers, const double asked_mm[2], Arena *keep, Work *work, SectionPlan *out,
                          Error *err)
{
    SectionGround ground;
    Parting upright[2], turned[2], *taken = upright;
    const double swapped_mm[2] = {asked_mm[1], asked_mm[0]};
    if (!section_ground(stack, papers, &work->scratch, work, &ground, err)) return false;
    if (!choose_both(&ground, asked_mm, keep, work, upright, err)) return false;
    if (asked_mm[0] != asked_mm[1]) {
        if (!choose_both(&ground, swapped_mm, keep, work, turned, err)) return false;
        int more = section_count(turned) - section_count(upright);
        double dearer = turned[0].charge_in + turned[1].charge_in - upright[0].charge_in - upright[1].charge_in;
        if (more < 0 || (more == 0 && dearer < 0.0)) taken = turned;
    }
    for (int k = 0; k < 2; k++) out->asked_mm[k] = taken == turned ? swapped_mm[k] : asked_mm[k];
    return put_lines(stack, taken, keep, out, err) && choose_whole(&ground, out, keep, work, err);
}

bool section_plan(const Stack *stack, const Paper *papers, const double asked_mm[2], Arena *keep, Work *work, SectionPlan *out,
                  Error *err)
{
    *out = (SectionPlan){0};
    if (!(asked_mm[0] >= SECTION_LEAST_MM && asked_mm[1] >= SECTION_LEAST_MM))
        return error_set(err, ERROR_JOB, "sections of %.0f x %.0f mm are too small; each side should be %.0f mm or more", asked_mm[0],
                         asked_mm[1], SECTION_LEAST_MM);
    ArenaMark mark = arena_mark(&work->scratch);
    bool fine = plan_sections(stack, papers, asked_mm, keep, work, out, err);
    arena_rewind(&work->scratch, mark);
    if (!fine) *out = (SectionPlan){0};
    return fine;
}

bool section_wish(const SectionPlan *plan, int layer, Arena *keep, SeamWishes *wishes, Error *err)
{
    if (plan->line_count == 0) return true;
    SeamLine *lines = arena_new(keep, SeamLine, plan->line_count + wishes->fixed_count);
    if (!lines) return error_memory(err);
    for (int i = 0; i < plan->line_count; i++) lines[i] = plan->lines[i];
    for (int i = 0; i < wishes->fixed_count; i++) lines[plan->line_count + i] = wishes->fixed[i];
    wishes->fixed = lines;
    wishes->fixed_count += plan->line_count;
    wishes->section_count = plan->line_count;
    wishes->whole = plan->whole[layer];
    wishes->whole_count = plan->part_count[layer];
    return true;
}
