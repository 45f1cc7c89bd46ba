// attempt.c - see attempt.h: each part of the layer is kept whole or divided; the best division that stands all checks
// wins.
#include "seam/attempt.h"

#include "seam/bisect.h"
#include "seam/finish.h"
#include "seam/frozen.h"
#include "seam/lap.h"
#include "seam/plumb.h"
#include "seam/rework.h"

#include <string.h>

#define LEAST_USABLE_MM 25.4 // of a sheet's side: below it nothing but confetti comes out
#define FINISH_TRIES 24      // failed plans a layer before it is given up
#define MOST_BISECTIONS 60   // of parts that cannot be divided otherwise
#define SLIT_TRIES 6         // of them, with one and the same seam that has one piece on both sides

typedef struct Attempt {
    const AttemptInput *in;
    Arena store; // what outlives a step but not the attempt
    Arena *keep;
    Work *work;
    Space space;
    Cuts cuts;
    Part *parts;
    NetGround *grounds; // of divided parts
    Candidates *candidates;
    int *chosen; // by part: index of the candidate in use
    PartPlan *plans;
    int part_count;
    int stuck; // a part that cannot be divided, or -1
    bool bisected; // the search has cut the layer itself
    FixedLoss *loss;
} Attempt;

static bool check_paper(const SeamOptions *options, Space space, Error *err)
{
    if (space.width_mm >= LEAST_USABLE_MM && space.height_mm >= LEAST_USABLE_MM) return true;
    return error_set(
        err, ERROR_JOB,
        "paper %s leaves %.0f x %.0f mm for a piece, too little to divide a layer for; letter or a4 would work",
        options->paper.id, space.width_mm, space.height_mm);
}

static bool find_parts(Attempt *a, Error *err)
{
    size_t room = a->cuts.plot_count;
    a->parts = arena_new(&a->store, Part, room);
    a->grounds = arena_new(&a->store, NetGround, room);
    a->candidates = arena_new(&a->store, Candidates, room);
    a->chosen = arena_new(&a->store, int, room);
    a->plans = arena_new(&a->store, PartPlan, room);
    if (!a->parts || !a->grounds || !a->candidates || !a->chosen || !a->plans) return error_memory(err);
    for (size_t p = 0; p < room; p++) {
        const Plot *plot = &a->cuts.plots[p];
        int outer = 0;
        while (plot->area.rings[outer].outer != outer) outer++;
        if (!part_make(&a->cuts.chains, &plot->area, outer, plot->part, &a->store, &a->parts[p], err)) return false;
        if (!part_note_cuts(&a->parts[p], &a->cuts, &a->store, err)) return false;
        a->plans[a->part_count].part = &a->parts[p];
        if (plot->frozen >= 0) a->plans[a->part_count].id = a->in->options->wishes.frozen[plot->frozen].id;
        a->part_count++;
    }
    return true;
}

static void lose_cut(Attempt *a, int cut, FixedFault fault)
{
    *a->loss = (FixedLoss){a->cuts.items[cut].line, a->cuts.items[cut].middle, fault, -1};
}

// Gives up the last fixed seam beside a part that cannot be divided; false when there is none.
static bool lose_beside(Attempt *a, int p)
{
    const Area *area = &a->parts[p].area;
    for (size_t c = a->cuts.count; c-- > 0;) {
        if (a->cuts.items[c].line < 0) continue;
        for (int l = 0; l < area->link_count; l++) {
            if (area->links[l].chain != a->cuts.items[c].chain) continue;
            lose_cut(a, (int)c, FIXED_UNDIVIDED);
            return true;
        }
    }
    return false;
}

static bool make_plan(Attempt *a, int p, Error *err)
{
    Plan *plan = arena_new(&a->store, Plan, 1);
    if (!plan) return error_memory(err);
    a->plans[p].plan = plan;
    return choose_plan(&a->grounds[p], &a->candidates[p].items[a->chosen[p]], a->in->options, &a->store, a->work, plan,
                       err);
}

// Seams that lean a little are laid level or upright: that plan is tried first.
static bool plumb_part(Attempt *a, int p, Error *err)
{
    Candidates *c = &a->candidates[p];
    Plan plan, *made = arena_new(&a->store, Plan, 1);
    Candidate *items = arena_new(&a->store, Candidate, c->count + 1);
    bool better;
    if (!made || !items) return error_memory(err);
    if (!choose_plan(&a->grounds[p], &c->items[0], a->in->options, &a->store, a->work, &plan, err)) return false;
    if (!plumb_plan(&a->grounds[p], &plan, a->in->options, &a->store, a->work, made, &better, err)) return false;
    if (!better) return true;
    items[0] = c->items[0];
    items[0].judgement = made->judgement;
    items[0].plan = made;
    memcpy(items + 1, c->items, (size_t)c->count * sizeof *items);
    *c = (Candidates){items, c->count + 1};
    return true;
}

static bool wants_plumb(const Attempt *a, int p)
{
    return a->in->options->tries > 0 && a->in->choose == CHOOSE_BEST && !a->parts[p].twin;
}

// The division of the draft, before it what is better now.
static bool settle_part(Attempt *a, int p, Error *err)
{
    Arena *scratch = &a->work->scratch;
    Reworked reworked;
    Plan *plan = arena_new(&a->store, Plan, 1);
    Candidate *items = arena_new(&a->store, Candidate, 2);
    const Plan *old = &a->in->draft->plans[p];
    if (!plan || !items) return error_memory(err);
    items[0] = (Candidate){.judgement = old->judgement, .plan = old};
    a->candidates[p] = (Candidates){items, 1};
    if (a->parts[p].twin) return true;
    if (!rework_settle(&a->grounds[p], old, a->in->options, &a->store, a->work, &reworked, err)) return false;
    if (reworked.kept == 0) return true;
    ArenaMark mark = arena_mark(scratch);
    bool fine = plan_make(&reworked.net, &reworked.joined, &reworked.judgement, &a->store, scratch, plan, err);
    arena_rewind(scratch, mark);
    items[1] = items[0];
    items[0] = (Candidate){.judgement = reworked.judgement, .plan = plan};
    a->candidates[p].count = 2;
    *a->in->changed = true;
    return fine && (!wants_plumb(a, p) || plumb_part(a, p, err));
}

static bool plan_part(Attempt *a, int p, Error *err)
{
    const Part *part = &a->parts[p];
    const Paper *paper = piece_paper(a->in->options, a->plans[p].id);
    if (hull_fits(part->hull, part->hull_count, paper_fit_space(paper), &a->plans[p].fit)) {
        int slit = part->twin && !a->plans[p].id ? cuts_slit_of(&a->cuts, &a->cuts.plots[p]) : -1;
        if (slit >= 0) lose_cut(a, slit, FIXED_ONE_SIDED);
        return true;
    }
    if (a->plans[p].id)
        return error_set(err, ERROR_JOB, "piece %s is cut already, and does not fit %s; this change would alter it",
                         a->plans[p].id, paper->id);
    if (!check_paper(a->in->options, a->space, err)) return false;
    Rings rings;
    Cover *outline = arena_new(&a->store, Cover, 1);
    if (!outline) return error_memory(err);
    if (!area_rings(&a->cuts.chains, &part->area, &a->store, &rings, err)) return false;
    if (!cover_make(&rings, &a->store, outline, err)) return false;
    a->grounds[p] = (NetGround){.part = part,
                                .chains = &a->cuts.chains,
                                .hiding = a->in->hiding,
                                .avoid = a->in->avoid,
                                .outline = outline,
                                .space = a->space,
                                .memo = a->in->memo};
    if (a->in->draft) return settle_part(a, p, err) && make_plan(a, p, err);
    if (choose_divisions(&a->grounds[p], a->in->options, a->in->choose, &a->store, a->work, &a->candidates[p], err))
        return (!wants_plumb(a, p) || plumb_part(a, p, err)) && make_plan(a, p, err);
    if (err->kind != ERROR_JOB) return false;
    a->stuck = p;
    return true;
}

// The part that a cut runs through as a slit.
static int part_with_slit(const Attempt *a, int cut)
{
    for (int p = 0; p < a->part_count; p++)
        if (a->plans[p].plan && cuts_slit_of(&a->cuts, &a->cuts.plots[p]) >= 0)
            for (int l = 0; l < a->parts[p].area.link_count; l++)
                if (a->parts[p].area.links[l].chain == a->cuts.items[cut].chain) return p;
    return -1;
}

static bool give_up(Attempt *a, int part, Error *err)
{
    a->stuck = part;
    char letter[8];
    layer_letter(a->in->layer, letter);
    error_set(err, ERROR_JOB, "a part of layer %s cannot be divided cleanly for %s; try another paper or height",
              letter, a->in->options->paper.id);
    return part >= 0;
}

// A plan that looked well may fail the exact checks; the next best one takes its place.
static bool finish(Attempt *a, LayerPieces *out, Error *err)
{
    int failed = -1;
    for (int i = 0, slits = 0; i < FINISH_TRIES; i++) {
        FinishFault fault;
        ArenaMark mark = arena_mark(&a->work->scratch);
        bool fine = finish_layer(&a->cuts, a->in->layer, a->plans, a->part_count, a->in->options, a->in->hiding,
                                 a->keep, a->work, out, &fault, err);
        arena_rewind(&a->work->scratch, mark);
        if (!fine) return false;
        if (fault.part < 0 && fault.cut < 0) return true;
        failed = fault.part >= 0 ? fault.part : part_with_slit(a, fault.cut);
        bool more = failed >= 0 && a->chosen[failed] + 1 < a->candidates[failed].count;
        if (fault.cut >= 0 && a->cuts.items[fault.cut].line >= 0 && (!more || ++slits > SLIT_TRIES)) {
            lose_cut(a, fault.cut, FIXED_ONE_SIDED);
            return true;
        }
        if (!more) break;
        a->chosen[failed]++;
        if (!make_plan(a, failed, err)) return false;
    }
    return give_up(a, failed, err);
}

static bool tell_slivers(const Attempt *a, LayerPieces *out, Error *err)
{
    for (int p = 0; p < a->part_count; p++) {
        if (!a->plans[p].plan || a->plans[p].plan->judgement.slivers == 0) continue;
        Point at = a->parts[p].hull[0];
        if (!findings_add(
                &out->findings, a->keep, "narrow-piece",
                "dividing this part for the paper makes a piece that is shorter or narrower than it should be",
                at.x / UM_PER_MM, at.y / UM_PER_MM))
            return error_memory(err);
    }
    return true;
}

// Stops at the first part that is stuck, with the reason in err.
static bool divide_all(Attempt *a, LayerPieces *out, Error *err)
{
    a->stuck = -1;
    a->part_count = 0;
    if (!find_parts(a, err)) return false;
    for (int p = 0; p < a->part_count && a->stuck < 0 && a->loss->fault == FIXED_KEPT; p++)
        if (!plan_part(a, p, err)) return false;
    if (a->in->draft && !*a->in->changed) return true;
    return a->stuck >= 0 || a->loss->fault != FIXED_KEPT || finish(a, out, err);
}

static bool run(Attempt *a, bool *touches, LayerPieces *out, Error *err)
{
    const AttemptInput *in = a->in;
    if (!cuts_start(&in->stack->chains, &in->stack->layers[in->layer].area, &a->store, &a->cuts, err)) return false;
    if (!frozen_cut(&in->options->wishes, &in->stack->layers[in->layer].rings, &a->cuts, a->work, err)) return false;
    if (!fixed_cut(&in->options->wishes, in->losses, in->loss_count, &a->cuts, a->work, touches, a->loss, err))
        return false;
    for (int i = 0; a->loss->fault == FIXED_KEPT; i++) {
        ArenaMark mark = arena_mark(a->keep);
        if (!divide_all(a, out, err)) return false;
        if (a->stuck < 0) break;
        arena_rewind(a->keep, mark);
        bool more = false;
        a->bisected = true;
        if (a->cuts.count > 0 && i < MOST_BISECTIONS &&
            !bisect_plot(&a->cuts, a->stuck, &a->parts[a->stuck], in->hiding, in->options, a->work, &more, err))
            return false;
        if (!more && !lose_beside(a, a->stuck)) return false; // err says why since the part got stuck
    }
    if (a->loss->fault != FIXED_KEPT || (in->draft && !*in->changed)) return true;
    if (!a->bisected && in->choose == CHOOSE_BEST &&
        !seam_draft_make(a->plans, a->part_count, in->losses, in->loss_count, a->keep, &out->draft, err))
        return false;
    return frozen_check(&in->options->wishes, out, a->work, err) && tell_slivers(a, out, err);
}

bool attempt_layer(const AttemptInput *input, Arena *keep, Work *work, bool *touches, FixedLoss *out_loss,
                   LayerPieces *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Attempt a = {.in = input,
                 .store = arena_make(work->scratch.budget_bytes),
                 .keep = keep,
                 .work = work,
                 .space = lap_space(input->options),
                 .loss = out_loss};
    *out_loss = (FixedLoss){0};
    bool fine = run(&a, touches, out, err);
    arena_free(&a.store);
    arena_rewind(&work->scratch, mark);
    return fine;
}
