// pieces.c - see pieces.h.
#include "job/pieces.h"

static bool divide_layer(void *context, int unit, Work *work, Error *err)
{
    Run *run = context;
    int layer = run->tasks[unit].index;
    Kept *kept = run->tasks[unit].kept;
    return seam_divide(&run->seam_views[layer], layer, &run->seam_options[layer], &kept->arena, work, kept->value, err);
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
    double weight = box_height_mm(rings_box(&view->layers[layer].rings)) * run_point_count(&view->layers[layer].rings);
    if (is_new) run_add_task(run, (Task){TASK_PIECES, layer, weight, run->piece_kept[layer]});
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
    if (!run_open_tasks(run, count, err)) return false;
    for (int layer = 0; layer < count; layer++)
        if (!work_goes_on(&run->work, err) || !prepare_layer(run, layer, err)) return false;
    if (!run_tasks(run, divide_layer, err)) return false;
    for (int layer = 0; layer < count; layer++) run->out->pieces[layer] = *(LayerPieces *)run->piece_kept[layer]->value;
    return true;
}
