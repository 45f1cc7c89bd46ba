// seam.c - see seam.h: each part of the layer is kept whole or divided; the best division that stands all checks wins.
#include "seam/seam.h"

#include "seam/choose.h"
#include "seam/finish.h"

#define LEAST_USABLE_MM 25.4 // of a sheet's side: below it nothing but confetti comes out
#define FINISH_TRIES 24      // failed plans a layer before it is given up

SeamOptions seam_defaults(const Paper *paper)
{
    return (SeamOptions){
        .paper = *paper,
        .hidden_by_mm = 3.0,
        .hidden_weight = 0.08,
        .piece_weight = 4.0,
        .least_long_mm = 50.8,
        .least_wide_mm = 19.05,
        .least_neck_mm = 12.7,
    };
}

void layer_letter(int layer, char out[8])
{
    static const char letters[] = "ABCDEFGHJKLMNPQRSTUVWXYZ"; // I and O look like 1 and 0
    char back[8];
    int n = 0, at = 0;
    for (int rest = layer + 1; rest > 0 && n < 7; rest = (rest - 1) / 24) back[n++] = letters[(rest - 1) % 24];
    while (n > 0) out[at++] = back[--n];
    out[at] = 0;
}

typedef struct Dividing {
    const Stack *stack;
    const Layer *layer;
    const SeamOptions *options;
    ChooseWay choose;
    Arena store; // what outlives a step but not the layer
    Arena *keep;
    Work *work;
    Space space;
    Hiding hiding;
    FitMemo memo;
    Part *parts;
    NetGround *grounds; // of divided parts
    Candidates *candidates;
    int *chosen; // by part: index of the candidate in use
    PartPlan *plans;
    int part_count;
} Dividing;

static bool check_paper(const SeamOptions *options, Space space, Error *err)
{
    if (space.width_mm >= LEAST_USABLE_MM && space.height_mm >= LEAST_USABLE_MM) return true;
    return error_set(
        err, ERROR_JOB,
        "paper %s leaves %.0f x %.0f mm for a piece, too little to divide a layer for; letter or a4 would work",
        options->paper.id, space.width_mm, space.height_mm);
}

static bool find_parts(Dividing *d, Error *err)
{
    const Area *area = &d->layer->area;
    size_t room = (size_t)area->ring_count;
    d->parts = arena_new(&d->store, Part, room);
    d->grounds = arena_new(&d->store, NetGround, room);
    d->candidates = arena_new(&d->store, Candidates, room);
    d->chosen = arena_new(&d->store, int, room);
    d->plans = arena_new(&d->store, PartPlan, room);
    if (!d->parts || !d->grounds || !d->candidates || !d->chosen || !d->plans) return error_memory(err);
    for (int r = 0; r < area->ring_count; r++) {
        if (area->rings[r].outer != r) continue;
        Part *part = &d->parts[d->part_count];
        if (!part_make(&d->stack->chains, area, r, d->part_count, &d->store, part, err)) return false;
        d->plans[d->part_count++].part = part;
    }
    return true;
}

static bool make_plan(Dividing *d, int p, Error *err)
{
    Plan *plan = arena_new(&d->store, Plan, 1);
    if (!plan) return error_memory(err);
    d->plans[p].plan = plan;
    return choose_plan(&d->grounds[p], &d->candidates[p].items[d->chosen[p]], d->options, &d->store, d->work, plan,
                       err);
}

static bool plan_part(Dividing *d, int p, Error *err)
{
    const Part *part = &d->parts[p];
    if (hull_fits(part->hull, part->hull_count, d->space, &d->plans[p].fit)) return true;
    if (!check_paper(d->options, d->space, err)) return false;
    Rings rings;
    Cover *outline = arena_new(&d->store, Cover, 1);
    if (!outline) return error_memory(err);
    if (!area_rings(&d->stack->chains, &part->area, &d->store, &rings, err)) return false;
    if (!cover_make(&rings, &d->store, outline, err)) return false;
    d->grounds[p] = (NetGround){part, &d->stack->chains, &d->hiding, outline, d->space, &d->memo};
    if (!choose_divisions(&d->grounds[p], d->options, d->choose, &d->store, d->work, &d->candidates[p], err))
        return false;
    return make_plan(d, p, err);
}

// A plan that looked well may fail the exact checks; the next best one takes its place.
static bool finish(Dividing *d, LayerPieces *out, Error *err)
{
    for (int i = 0; i < FINISH_TRIES; i++) {
        int failed;
        int layer = (int)(d->layer - d->stack->layers);
        ArenaMark mark = arena_mark(&d->work->scratch);
        bool fine = finish_layer(d->stack, layer, d->plans, d->part_count, d->options, &d->hiding, d->keep, d->work,
                                 out, &failed, err);
        arena_rewind(&d->work->scratch, mark);
        if (!fine) return false;
        if (failed < 0) return true;
        if (++d->chosen[failed] >= d->candidates[failed].count) break;
        if (!make_plan(d, failed, err)) return false;
    }
    return error_set(err, ERROR_JOB, "a part of layer %d cannot be divided cleanly for %s; try another paper or height",
                     (int)(d->layer - d->stack->layers) + 1, d->options->paper.id);
}

static bool tell_slivers(const Dividing *d, LayerPieces *out, Error *err)
{
    for (int p = 0; p < d->part_count; p++) {
        if (!d->plans[p].plan || d->plans[p].plan->judgement.slivers == 0) continue;
        Point at = d->parts[p].hull[0];
        if (!findings_add(
                &out->findings, d->keep, "narrow-piece",
                "dividing this part for the paper makes a piece that is shorter or narrower than it should be",
                at.x / UM_PER_MM, at.y / UM_PER_MM))
            return error_memory(err);
    }
    return true;
}

static bool run(Dividing *d, LayerPieces *out, Error *err)
{
    if (!hiding_make(&d->layer->cover, d->options->hidden_by_mm, &d->store, &d->hiding, err)) return false;
    if (!memo_make(d->space, &d->store, &d->memo, err) || !find_parts(d, err)) return false;
    for (int p = 0; p < d->part_count; p++)
        if (!plan_part(d, p, err)) return false;
    return finish(d, out, err) && tell_slivers(d, out, err);
}

static bool divide(const Stack *stack, int layer, const SeamOptions *options, ChooseWay choose, Arena *keep, Work *work,
                   LayerPieces *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Dividing d = {.stack = stack,
                  .layer = &stack->layers[layer],
                  .options = options,
                  .choose = choose,
                  .store = arena_make(work->scratch.budget_bytes),
                  .keep = keep,
                  .work = work,
                  .space = paper_fit_space(&options->paper)};
    bool fine = run(&d, out, err);
    arena_free(&d.store);
    arena_rewind(&work->scratch, mark);
    if (!fine) *out = (LayerPieces){0};
    return fine;
}

bool seam_divide(const Stack *stack, int layer, const SeamOptions *options, Arena *keep, Work *work, LayerPieces *out,
                 Error *err)
{
    return divide(stack, layer, options, CHOOSE_BEST, keep, work, out, err);
}

bool seam_divide_grid(const Stack *stack, int layer, const SeamOptions *options, Arena *keep, Work *work,
                      LayerPieces *out, Error *err)
{
    return divide(stack, layer, options, CHOOSE_GRID, keep, work, out, err);
}
