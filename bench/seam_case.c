// seam_case.c - see seam_case.h.
#include "seam_case.h"

#include "seam_detail.h"
#include "seam_draw.h"

#include "shape/overlay.h"

#include <stdlib.h>
#include <time.h>

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static bool make_stack(const Picture *picture, double height_in, SeamPicture *out, Error *err)
{
    Separation separation;
    Outlines outlines;
    SeparationOptions separation_options = separation_defaults();
    OutlineOptions outline_options = outline_defaults();
    StackOptions stack_options = stack_defaults();
    separation_options.figure_height_mm = outline_options.figure_height_mm = height_in * 25.4;
    Arena *keep = &out->keep;
    Work *work = &out->work;
    return separation_make(picture, &separation_options, keep, work, &separation, err) &&
           outline_make(picture, &separation, &outline_options, keep, work, &outlines, err) &&
           stack_make(&outlines, &stack_options, keep, work, &out->stack, err) &&
           details_find(&out->stack, keep, work, &out->details, err);
}

bool seam_picture_make(const Art *art, double height_in, SeamPicture *out, Error *err)
{
    *out = (SeamPicture){.keep = arena_make(0), .turn = arena_make(0), .work = {.scratch = arena_make(0)}};
    Picture picture;
    Rendering how = {.longest_px = SEAM_PICTURE_PX, .has_ground = true, .ground = {255, 255, 255}};
    if (!overlay_create(NULL, &out->work.overlay, err)) return false;
    if (!art_picture(art, &how, &picture)) return error_set(err, ERROR_INPUT, "%s cannot be drawn", art->name);
    bool fine = make_stack(&picture, height_in, out, err);
    free(picture.rgba);
    return fine;
}

void seam_picture_free(SeamPicture *picture)
{
    overlay_destroy(picture->work.overlay);
    arena_free(&picture->work.scratch);
    arena_free(&picture->turn);
    arena_free(&picture->keep);
}

typedef bool Divide(const Stack *stack, int layer, const SeamOptions *options, Arena *keep, Work *work, LayerPieces *out, Error *err);

// The layer again, clear of the seams above it, as a job does it.
static bool settle(SeamPicture *picture, LayerPieces *all, int layer, const SeamOptions *options, Error *err)
{
    const Stack *stack = &picture->stack;
    SeamOptions with = *options;
    LayerPieces settled;
    bool changed;
    if (!seam_lines(all + layer + 1, stack->layer_count - layer - 1, &picture->turn, &with.above, &with.above_count, err) ||
        !seam_settle(stack, layer, &with, &all[layer], &picture->turn, &picture->work, &settled, &changed, err))
        return false;
    if (changed) all[layer] = settled;
    return true;
}

static bool divide_layer(SeamPicture *picture, int layer, const SeamOptions *options, Divide *divide, LayerPieces *all, bool settles,
                         Error *err)
{
    const Stack *stack = &picture->stack;
    SeamOptions with = *options;
    Rings places;
    with.detail = &places;
    return detail_places(&picture->details, &stack->layers[layer], &options->paper, &picture->turn, &picture->work, &places, err) &&
           divide(stack, layer, &with, &picture->turn, &picture->work, &all[layer], err) &&
           (!settles || settle(picture, all, layer, &with, err));
}

static bool divide_all(SeamPicture *picture, const SeamOptions *options, Divide *divide, LayerPieces **out, double *out_s,
                       Error *err)
{
    double start = now_s();
    *out = arena_new(&picture->turn, LayerPieces, picture->stack.layer_count);
    if (!*out) return error_memory(err);
    bool settles = divide == seam_divide && options->tries > 0;
    for (int i = picture->stack.layer_count - 1; i >= 0; i--)
        if (!divide_layer(picture, i, options, divide, *out, settles, err)) return false;
    *out_s = now_s() - start;
    return true;
}

static bool score_one(SeamPicture *picture, const SeamOptions *options, Divide *divide, bool with_necks, LayerPieces **pieces,
                      SeamScore *out, Error *err)
{
    double seconds;
    if (!divide_all(picture, options, divide, pieces, &seconds, err) ||
        !seam_measure(&picture->stack, *pieces, with_necks, &picture->work, out, err))
        return false;
    out->seconds = seconds;
    return true;
}

bool seam_case_run(SeamPicture *picture, const char *name, const char *paper, const SeamWays *ways, const char *draw_folder,
                   SeamCase *out, Error *err)
{
    Paper sheet;
    LayerPieces *ours, *grid, *joined;
    *out = (SeamCase){0};
    if (!paper_parse(paper, &sheet, err)) return false;
    SeamOptions plain = seam_defaults(&sheet), options = plain;
    if (ways->piece_weight > 0.0) options.piece_weight = ways->piece_weight;
    if (ways->only_first) options.tries = 0;
    if (ways->detail_weight >= 0.0) options.detail_weight = ways->detail_weight;
    bool fine = score_one(picture, &options, seam_divide, true, &ours, &out->ours, err);
    if (fine && !ways->only_ours && !picture->seen.layers)
        fine = in_sight_make(&picture->stack, &picture->keep, &picture->work, &picture->seen, err);
    if (fine && !ways->only_ours)
        fine = score_one(picture, &plain, seam_divide_grid, true, &grid, &out->grid, err) &&
               score_one(picture, &plain, seam_divide_joined_grid, false, &joined, &out->joined, err) &&
               seam_bound(&picture->seen, &sheet, &picture->work, &out->bound_mm, err);
    for (int i = 0; fine && i < picture->stack.layer_count; i++) {
        if (!ways->only_ours) out->layers_over += ours[i].piece_count > grid[i].piece_count;
        if (draw_folder) seam_draw(draw_folder, name, &picture->stack, &ours[i], paper);
    }
    if (fine && draw_folder) fine = seam_draw_whole(draw_folder, name, &picture->stack, ours, paper, &picture->work, err);
    arena_rewind(&picture->turn, (ArenaMark){0});
    return fine;
}

bool seam_case_time(SeamPicture *picture, const char *paper, double *out_s, int *out_pieces, Error *err)
{
    Paper sheet;
    LayerPieces *pieces;
    if (!paper_parse(paper, &sheet, err)) return false;
    SeamOptions options = seam_defaults(&sheet);
    if (!divide_all(picture, &options, seam_divide, &pieces, out_s, err)) return false;
    *out_pieces = 0;
    for (int i = 0; i < picture->stack.layer_count; i++) *out_pieces += pieces[i].piece_count;
    arena_rewind(&picture->turn, (ArenaMark){0});
    return true;
}
