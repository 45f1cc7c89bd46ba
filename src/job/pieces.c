// pieces.c - see pieces.h.
#include "job/pieces.h"

#include <math.h>

static bool run_task(void *context, int unit, Work *work, Error *err)
{
    Run *run = context;
    const Task *task = &run->tasks[unit];
    int layer = task->index;
    if (task->kind == TASK_THIN)
        return stack_find_thin(&run->out->stack, run->replay.stack.thin_mm, &task->kept->arena, work, task->kept->value, err);
    return seam_divide(&run->seam_views[layer], layer, &run->seam_options[layer], &task->kept->arena, work, task->kept->value, err);
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

static bool prepare_layer(Run *run, int layer, Error *err)
{
    Stack *view = &run->seam_views[layer];
    SeamOptions *options = &run->seam_options[layer];
    if (!view_for_seams(&run->out->stack, layer, &run->own, view, err)) return false;
    *options = seam_defaults(&run->layer_papers[layer]);
    options->wishes = run->seam_wishes[layer];
    Key key = view_seams_key(view, layer, options);
    if (run->options->unrefined && options->tries > 0 && !run_knows(run, key)) {
        options->tries = 0;
        key = view_seams_key(view, layer, options);
    }
    bool is_new;
    if (!run_take(run, key, sizeof(LayerPieces), &run->piece_kept[layer], &is_new, err)) return false;
    double weight = seam_weight(&view->layers[layer], &options->paper);
    if (is_new) run_add_task(run, (Task){TASK_PIECES, layer, weight, run->piece_kept[layer]});
    return true;
}

// One look at the whole stack; it begins first, since nothing tells how long it takes against the seams.
static bool prepare_thin(Run *run, Error *err)
{
    Hasher h = hasher_make("thin parts");
    hash_key(&h, run->stack_key);
    hash_names(&h, run->out->stack.colours, run->out->stack.colour_count);
    hash_double(&h, run->replay.stack.thin_mm);
    bool is_new;
    if (!run_take(run, hasher_key(&h), sizeof(Findings), &run->thin_kept, &is_new, err)) return false;
    if (is_new) run_add_task(run, (Task){TASK_THIN, 0, INFINITY, run->thin_kept});
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
    Stack *view = &run->seam_views[layer];
    SeamOptions *options = &run->seam_options[layer];
    int above = run->out->stack.layer_count - layer - 1;
    const LayerPieces *divided = run->piece_kept[layer]->value;
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
    run->piece_kept[layer] = kept;
    run->out->pieces[layer] = settled->pieces;
    return true;
}

bool pieces_make(Run *run, Error *err)
{
    if (!run_begin(run, STAGE_SEAMS, err)) return false;
    int count = run->out->stack.layer_count;
    run->seam_views = arena_new(&run->own, Stack, count);
    run->seam_options = arena_new(&run->own, SeamOptions, count);
    run->piece_kept = arena_new(&run->version->arena, Kept *, count);
    run->out->pieces = arena_new(&run->version->arena, LayerPieces, count);
    if (!run->seam_views || !run->seam_options || !run->piece_kept || !run->out->pieces) return error_memory(err);
    if (!replay_seams(&run->out->stack, &run->version->arena, &run->work, &run->replay, &run->seam_wishes, err)) return false;
    if (!run_open_tasks(run, count + 1, err)) return false;
    for (int layer = 0; layer < count; layer++)
        if (!work_goes_on(&run->work, err) || !prepare_layer(run, layer, err)) return false;
    run->thin_kept = NULL;
    if (!run->options->unrefined && !prepare_thin(run, err)) return false;
    if (!run_tasks(run, run_task, err)) return false;
    for (int layer = count - 1; layer >= 0; layer--)
        if (!work_goes_on(&run->work, err) || !settle_layer(run, layer, err)) return false;
    return true;
}
