// pieces.c - see pieces.h.
#include "job/pieces.h"

#include "seam/detail.h"

#include <math.h>

static bool run_task(void *context, int unit, Work *work, Error *err)
{
    Run *run = context;
    const Task *task = &run->units.tasks[unit];
    int layer = task->index % run->out->stack.layer_count;
    if (task->kind == TASK_THIN)
        return stack_find_thin(&run->out->stack, run->replay.stack.thin_mm, &task->kept->arena, work, task->kept->value, err);
    return seam_divide(&run->seams.views[layer], layer, &run->seams.options[task->index], &task->kept->arena, work, task->kept->value, err);
}

// How many sheets' worth of work the division is: parts that fit one as they are cost next to nothing.
static double seam_weight(const Layer *layer, const Paper *paper)
{
    Space space = paper_fit_space(paper);
    double weight = 0.0, long_mm = fmax(space.width_mm, space.height_mm), short_mm = fmin(space.width_mm, space.height_mm);
    for (int i = 0; i < layer->rings.count; i++) {
        Box box = ring_box(&layer->rings.items[i]);
        double width_mm = box_width_mm(box), height_mm = box_height_mm(box);
        if (fmax(width_mm, height_mm) <= long_mm && fmin(width_mm, height_mm) <= short_mm) continue;
        weight += width_mm * height_mm / (long_mm * short_mm) * layer->rings.items[i].count;
    }
    return weight;
}

// `at` is where its options and result stand: the layer, or for what is asked besides (fewer.h) as many layers later.
static bool prepare_division(Run *run, int layer, int at, Error *err)
{
    const Stack *view = &run->seams.views[layer];
    SeamOptions *options = &run->seams.options[at];
    Key key = view_seams_key(view, layer, options);
    if (run->options->unrefined && options->tries > 0 && !run_knows(run, key)) {
        options->tries = 0;
        key = view_seams_key(view, layer, options);
    }
    bool is_new;
    if (!run_take(run, key, sizeof(LayerPieces), &run->kept.pieces[at], &is_new, err)) return false;
    double weight = seam_weight(&view->layers[layer], &options->paper);
    if (is_new) run_add_task(run, (Task){TASK_PIECES, at, weight, run->kept.pieces[at]});
    return true;
}

static bool prepare_layer(Run *run, int layer, Error *err)
{
    SeamOptions *options = &run->seams.options[layer];
    int asked = layer + run->out->stack.layer_count;
    if (!view_for_seams(&run->out->stack, layer, &run->own, &run->seams.views[layer], err)) return false;
    *options = seam_defaults(&run->layer_papers[layer]);
    options->wishes = run->seams.wishes[layer];
    options->form = run->seams.forms[layer].form;
    Rings *detail = arena_new(&run->own, Rings, 1);
    if (!detail) return error_memory(err);
    if (!detail_places(&run->seams.details, &run->out->stack.layers[layer], &options->paper, &run->own, &run->work, detail, err))
        return false;
    options->detail = detail;
    run->seams.options[asked] = *options;
    run->seams.options[asked].piece_weight = fewer_piece_weight(run->replay.fewer, options->piece_weight);
    if (!prepare_division(run, layer, layer, err)) return false;
    return run->replay.fewer == FEWER_NEITHER || prepare_division(run, layer, asked, err);
}

// Of the usual division and the one that was asked for besides; gives the options of the one that is taken.
static SeamOptions *take_division(Run *run, int layer)
{
    int asked = layer + run->out->stack.layer_count;
    Kept **kept = run->kept.pieces;
    if (run->replay.fewer == FEWER_NEITHER ||
        !fewer_takes(run->replay.fewer, kept[asked]->value, kept[layer]->value, &run->seams.options[layer]))
        return &run->seams.options[layer];
    kept[layer] = kept[asked];
    return &run->seams.options[asked];
}

static bool tell_bare(Run *run, int layer, Error *err)
{
    if (!run->seams.forms[layer].bare || run->out->pieces[layer].seam_count == 0) return true;
    return replay_tell_bare(&run->out->stack, layer, &run->out->pieces[layer], &run->version->arena, &run->replay, err);
}

// One look at the whole stack; it begins first, since nothing tells how long it takes against the seams.
static bool prepare_thin(Run *run, Error *err)
{
    Hasher h = hasher_make("thin parts");
    hash_key(&h, run->stack_key);
    hash_names(&h, run->out->stack.colours, run->out->stack.colour_count);
    hash_double(&h, run->replay.stack.thin_mm);
    bool is_new;
    if (!run_take(run, hasher_key(&h), sizeof(Findings), &run->kept.thin, &is_new, err)) return false;
    if (is_new) run_add_task(run, (Task){TASK_THIN, 0, INFINITY, run->kept.thin});
    return true;
}

typedef struct Settled {
    LayerPieces pieces;
    bool changed; // else the layer stays as it was divided
} Settled;

// Layer by layer from the top: each looks at the final seams above it. Little is done, and only where seams run along
// one another, so that it need not be shared among threads. A first answer's own layers wait for the refinement.
static bool settle_layer(Run *run, int layer, Error *err)
{
    Stack *view = &run->seams.views[layer];
    SeamOptions *options = take_division(run, layer);
    int above = run->out->stack.layer_count - layer - 1;
    const LayerPieces *divided = run->kept.pieces[layer]->value;
    Kept *kept;
    bool is_new;
    run->out->pieces[layer] = *divided;
    if (above == 0 || options->tries == 0 || divided->seam_count == 0) return true;
    if (!seam_lines(run->out->pieces + layer + 1, above, &run->own, &options->above, &options->above_count, err))
        return false;
    Hasher h = hasher_make("settled seams");
    hash_key(&h, view_seams_key(view, layer, options));
    if (!run_take(run, hasher_key(&h), sizeof(Settled), &kept, &is_new, err)) return false;
    Settled *settled = kept->value;
    if (is_new && !seam_settle(view, layer, options, divided, &kept->arena, &run->work, &settled->pieces,
                               &settled->changed, err))
        return false;
    if (!settled->changed) return true;
    run->kept.pieces[layer] = kept;
    run->out->pieces[layer] = settled->pieces;
    return true;
}

// The lines are the same for all layers, so they are chosen before any layer is divided. It is quick enough to be done anew.
static bool plan_sections(Run *run, Error *err)
{
    const double *asked_mm = run->options->settings->sections_mm;
    Arena *keep = &run->version->arena;
    run->seams.sections = (SectionPlan){0};
    run->out->sections = NULL;
    if (asked_mm[0] <= 0.0) return true;
    if (!section_plan(&run->out->stack, run->layer_papers, asked_mm, keep, &run->work, &run->seams.sections, err)) return false;
    for (int layer = 0; layer < run->out->stack.layer_count; layer++)
        if (!section_wish(&run->seams.sections, layer, keep, &run->seams.wishes[layer], err)) return false;
    if (run->seams.sections.line_count == 0) return true;
    SectionPlan *kept = arena_new(keep, SectionPlan, 1);
    if (!kept) return error_memory(err);
    *kept = run->seams.sections;
    run->out->sections = kept;
    return true;
}

bool pieces_make(Run *run, Error *err)
{
    if (!run_begin(run, STAGE_SEAMS, err)) return false;
    int count = run->out->stack.layer_count;
    run->seams.views = arena_new(&run->own, Stack, count);
    run->seams.options = arena_new(&run->own, SeamOptions, 2 * (size_t)count);
    run->kept.pieces = arena_new(&run->version->arena, Kept *, 2 * (size_t)count);
    run->out->pieces = arena_new(&run->version->arena, LayerPieces, count);
    if (!run->seams.views || !run->seams.options || !run->kept.pieces || !run->out->pieces) return error_memory(err);
    if (!replay_seams(&run->out->stack, &run->version->arena, &run->work, &run->replay, &run->seams.wishes, err)) return false;
    if (!replay_forms(&run->out->stack, &run->version->arena, &run->work, &run->replay, &run->seams.forms, err)) return false;
    if (!details_find(&run->out->stack, &run->own, &run->work, &run->seams.details, err)) return false;
    if (!plan_sections(run, err) || !run_open_tasks(run, 2 * count + 1, err)) return false;
    for (int layer = 0; layer < count; layer++)
        if (!work_goes_on(&run->work, err) || !prepare_layer(run, layer, err)) return false;
    run->kept.thin = NULL;
    bool wants_thin = !run->options->unrefined && !run->options->only_pieces && !run->options->only_numbers;
    if (wants_thin && !prepare_thin(run, err)) return false;
    if (!run_tasks(run, run_task, err)) return false;
    for (int layer = count - 1; layer >= 0; layer--)
        if (!work_goes_on(&run->work, err) || !settle_layer(run, layer, err) || !tell_bare(run, layer, err)) return false;
    return true;
}
