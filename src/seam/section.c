// section.c - see section.h.
#include "seam/section.h"

#include "seam/section_charge.h"

#include <math.h>
#include <stdlib.h>

#define STEP_MM 3.0
#define STEPS_MOST 3000 // of a long piece: coarser steps
#define EVEN_IN_A_MM 0.001  // a section that is as large as its neighbours is worth this much seam a mm
#define SMALL_SHARE 0.25    // of a sheet: a part under it is small
#define SEEN_MM 50.8        // of a cut in a part that could stay whole: more is not worth it

typedef struct Choice { // of the lines of one direction
    double *at_mm;
    int count;
    double charge_in;
} Choice;

typedef struct Places {
    double *at_mm;      // by step; ends included
    double *charge_in;
    int count;
} Places;

// As few sections as possible come from steps that divide the length evenly: even lines lie on a step.
static int fewest(double length_mm, double limit_mm)
{
    return length_mm <= limit_mm ? 1 : (int)ceil(length_mm / limit_mm - 1e-9);
}

static bool make_places(const SectionGround *ground, int axis, int sections, Arena *scratch, Work *work, Places *out, Error *err)
{
    double length_mm = axis == 0 ? ground->stack->width_mm : ground->stack->height_mm;
    int steps = sections * (int)ceil(length_mm / sections / fmax(STEP_MM, length_mm / STEPS_MOST));
    out->count = steps + 1;
    out->at_mm = arena_new(scratch, double, steps + 1);
    out->charge_in = arena_new(scratch, double, steps + 1);
    if (!out->at_mm || !out->charge_in) return error_memory(err);
    for (int i = 0; i <= steps; i++) out->at_mm[i] = length_mm * i / steps;
    return section_charge(ground, axis, out->at_mm, out->count, work, out->charge_in, err);
}

// The cheapest places for sections - 1 lines, no two neighbours farther apart than the limit.
static bool choose_lines(const Places *places, int sections, double limit_mm, Arena *keep, Work *work, Choice *out, Error *err)
{
    int n = places->count;
    Arena *scratch = &work->scratch;
    double even_mm = places->at_mm[n - 1] / sections;
    double *best = arena_new(scratch, double, (size_t)n * (size_t)sections);
    int *from = arena_new(scratch, int, (size_t)n * (size_t)sections);
    *out = (Choice){arena_new(keep, double, sections), sections - 1, INFINITY};
    if (!best || !from || !out->at_mm) return error_memory(err);
    for (int line = 0; line < sections; line++) { // line 0 is the first edge
        if (!work_goes_on(work, err)) return false;
        for (int i = 0; i < n; i++) {
            double *cost = &best[line * n + i];
            *cost = line == 0 && i == 0 ? 0.0 : INFINITY;
            for (int k = i - 1; line > 0 && k >= 0 && places->at_mm[i] - places->at_mm[k] <= limit_mm + 1e-9; k--) {
                double sum = best[(line - 1) * n + k] + places->charge_in[i] + EVEN_IN_A_MM * fabs(places->at_mm[i] - even_mm * line);
                if (sum >= *cost) continue;
                *cost = sum;
                from[line * n + i] = k;
            }
        }
    }
    int last = -1;
    for (int i = 0; i < n; i++) {
        double cost = best[(sections - 1) * n + i];
        if (places->at_mm[n - 1] - places->at_mm[i] > limit_mm + 1e-9 || cost >= out->charge_in) continue;
        out->charge_in = cost;
        last = i;
    }
    for (int line = sections - 1; line > 0 && last >= 0; last = from[line--* n + last]) out->at_mm[line - 1] = places->at_mm[last];
    return true;
}

// Both directions for one way to hold the size; scratch holds what is chosen.
static bool choose_both(const SectionGround *ground, const double size_mm[2], Arena *keep, Work *work, Choice out[2], Error *err)
{
    for (int axis = 0; axis < 2; axis++) {
        double length_mm = axis == 0 ? ground->stack->width_mm : ground->stack->height_mm;
        double limit_mm = size_mm[axis] - SECTION_SPARE_MM;
        Places places;
        int sections = fewest(length_mm, limit_mm);
        if (sections > SECTION_MOST_LINES)
            return error_set(err, ERROR_JOB, "sections of %.0f x %.0f mm would be more than %d in a row; ask for larger ones",
                             size_mm[0], size_mm[1], SECTION_MOST_LINES);
        ArenaMark mark = arena_mark(&work->scratch);
        // Whole steps may just miss the limit.
        for (out[axis].charge_in = INFINITY; !isfinite(out[axis].charge_in); sections++) {
            if (!make_places(ground, axis, sections, &work->scratch, work, &places, err)) return false;
            if (!choose_lines(&places, sections, limit_mm, keep, work, &out[axis], err)) return false;
        }
        arena_rewind(&work->scratch, mark);
    }
    return true;
}

static int section_count(const Choice both[2])
{
    return (both[0].count + 1) * (both[1].count + 1);
}

static bool put_lines(const Stack *stack, const Choice both[2], Arena *keep, SectionPlan *out, Error *err)
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
    Choice upright[2], turned[2], *taken = upright;
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
