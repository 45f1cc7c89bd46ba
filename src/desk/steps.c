// steps.c - the steps of putting together, as the guide of the kit has them.
#include "desk/shown.h"

#include "kit/guide_steps.h"

static bool copy_step(Steps *steps, Step *out, int layer, int first_piece, const GuideStep *step, Error *err)
{
    int *pieces = arena_new(&steps->arena, int, step->piece_count);
    *out = (Step){.layer = layer, .joins = step->kind == GUIDE_STEP_JOIN || step->kind == GUIDE_STEP_UNITE,
                  .title = arena_text(&steps->arena, step->title), .words = arena_text(&steps->arena, step->words ? step->words : ""),
                  .pieces = pieces, .piece_count = step->piece_count, .minutes = step->minutes};
    const char **lines = arena_new(&steps->arena, const char *, step->line_count);
    out->lines = lines;
    if (!pieces || !lines || !out->title || !out->words) return error_memory(err);
    for (; out->line_count < step->line_count; out->line_count++) {
        lines[out->line_count] = arena_text(&steps->arena, step->lines[out->line_count]);
        if (!lines[out->line_count]) return error_memory(err);
    }
    for (int i = 0; i < step->piece_count; i++) pieces[i] = first_piece + step->pieces[i];
    return true;
}

static bool has(const int *pieces, int count, int piece)
{
    for (int i = 0; i < count; i++)
        if (pieces[i] == piece) return true;
    return false;
}

// All that lies under the step's pieces, each once.
static bool find_below(Steps *steps, Step *step, const GuideBelow *below, Error *err)
{
    int *pieces = arena_new(&steps->arena, int, step->piece_count * GUIDE_BELOW_MOST);
    step->below = pieces;
    if (!pieces) return error_memory(err);
    for (int i = 0; i < step->piece_count; i++) {
        const GuideBelow *of = &below[step->pieces[i]];
        for (int k = 0; k < of->count; k++)
            if (!has(pieces, step->below_count, of->pieces[k])) pieces[step->below_count++] = of->pieces[k];
    }
    return true;
}

static bool take_layer(const Draft *draft, int layer, const GuideBelow *below, Arena *own, Work *work, Steps *steps, size_t *capacity,
                       Error *err)
{
    GuideSteps of_layer;
    if (!guide_steps(draft, layer, below, own, work, &of_layer, err)) return false;
    for (int i = 0; i < of_layer.count; i++) {
        if (of_layer.items[i].kind == GUIDE_STEP_TURN) continue; // no piece of its own: nothing to tick
        Step *items = arena_grow(&steps->arena, steps->items, (size_t)steps->count, capacity, sizeof *items);
        if (!items) return error_memory(err);
        steps->items = items;
        if (!copy_step(steps, &items[steps->count], layer, draft->layers[layer].first_piece, &of_layer.items[i], err)) return false;
        if (!items[steps->count].joins && !find_below(steps, &items[steps->count], below, err)) return false;
        steps->count++;
    }
    return true;
}

static bool take_layers(const Job *job, const Settings *settings, Arena *own, Work *work, Steps *steps, Error *err)
{
    KitInput input = {.name = job->input.kit_name, .stack = &job->stack, .layer_pieces = job->pieces, .layer_marks = job->marks,
                      .papers = job->papers, .paper_count = job->paper_count,
                      .cutter = settings->has_cutter ? &settings->cutter : NULL, .sections = job->sections, .options = settings->kit};
    Draft draft;
    GuideBelow *below;
    size_t capacity = 0;
    if (!draft_make(&input, own, work, &draft, err) || !guide_below(&draft, own, work, &below, err)) return false;
    for (int l = 0; l < job->stack.layer_count; l++)
        if (!take_layer(&draft, l, below, own, work, steps, &capacity, err)) return false;
    return true;
}

bool steps_make(const Job *job, const Settings *settings, int64_t revision, Work *work, Steps **out, Error *err)
{
    Arena arena = arena_make(0), own = arena_make(0);
    Steps *steps = arena_new(&arena, Steps, 1);
    *out = steps;
    if (!steps) return error_memory(err);
    *steps = (Steps){.arena = arena, .users = 1, .revision = revision};
    bool done = take_layers(job, settings, &own, work, steps, err);
    arena_free(&own);
    if (done) return true;
    steps_release(steps);
    *out = NULL;
    return false;
}

void steps_release(Steps *steps)
{
    if (!steps || --steps->users > 0) return;
    Arena arena = steps->arena;
    arena_free(&arena);
}
