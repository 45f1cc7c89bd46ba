// whole.c - see whole.h.
#include "job/whole.h"

typedef struct ColoursKept {
    Separation separation;
    Key content;
} ColoursKept;

bool whole_picture(Run *run, Error *err)
{
    if (!run_begin(run, STAGE_PICTURE, err)) return false;
    const JobInput *input = &run->job->input;
    Hasher h = hasher_make("picture");
    hash_key(&h, run->job->bytes_key);
    hash_double(&h, run->options->settings->limit_px);
    Kept *kept;
    bool is_new;
    if (!run_take(run, hasher_key(&h), sizeof(Picture), &kept, &is_new, err)) return false;
    PictureOptions options = picture_defaults();
    options.limit_px = run->options->settings->limit_px;
    options.child_program = input->child_program;
    if (is_new && !picture_read(input->bytes, input->size_bytes, input->shown_name, &options, &kept->arena, &run->work,
                                kept->value, err))
        return false;
    run->out->picture = *(Picture *)kept->value;
    return true;
}

bool whole_colours(Run *run, Key *out_content, Error *err)
{
    if (!run_begin(run, STAGE_COLOURS, err)) return false;
    Hasher h = hasher_make("colours");
    hash_key(&h, run->job->bytes_key);
    hash_double(&h, run->options->settings->limit_px);
    hash_separation_options(&h, &run->replay.separation);
    Kept *kept;
    bool is_new;
    if (!run_take(run, hasher_key(&h), sizeof(ColoursKept), &kept, &is_new, err)) return false;
    ColoursKept *value = kept->value;
    if (is_new) {
        if (!separation_make(&run->out->picture, &run->replay.separation, &kept->arena, &run->work, &value->separation, err))
            return false;
        value->content = view_separation_key(&value->separation);
    }
    run->out->separation = value->separation;
    *out_content = value->content;
    return true;
}

// Coordinates reach 100 m; a very wide picture could pass that at a height that is allowed.
static bool check_width(Run *run, Error *err)
{
    const double *box = run->out->separation.box_px;
    double width_mm = run->replay.separation.figure_height_mm * (box[2] - box[0]) / (box[3] - box[1]);
    double largest_mm = 0.9 * POINT_MAX_UM / UM_PER_MM;
    if (width_mm <= largest_mm) return true;
    return error_set(err, ERROR_JOB, "at this height the piece would be %.0f m wide, more than the %.0f m that can be made; ask for less",
                     width_mm / 1000.0, largest_mm / 1000.0);
}

static bool outline_task(void *context, int unit, Work *work, Error *err)
{
    Run *run = context;
    return outline_unit(run->making.outlines, unit, &run->units.arenas[unit], work, err);
}

static bool make_outlines(Run *run, const OutlineOptions *options, Kept *kept, Error *err)
{
    if (!outline_begin(&run->out->picture, &run->out->separation, options, &run->work, &run->making.outlines, err)) return false;
    int count = outline_unit_count(run->making.outlines);
    return run_open_arenas(run, count, err) && run_units(run, count, outline_task, 0.2, 0.6, err) &&
           outline_end(run->making.outlines, &kept->arena, &run->work, kept->value, err);
}

bool whole_outlines(Run *run, Key separation_content, Error *err)
{
    if (!check_width(run, err) || !run_begin(run, STAGE_OUTLINES, err)) return false;
    OutlineOptions options = outline_defaults();
    options.figure_height_mm = run->replay.separation.figure_height_mm;
    options.offset_mm = run->replay.border_mm;
    Hasher h = hasher_make("outlines");
    hash_key(&h, run->job->bytes_key);
    hash_double(&h, run->options->settings->limit_px);
    hash_key(&h, separation_content);
    hash_double(&h, options.figure_height_mm);
    hash_double(&h, options.offset_mm);
    run->outlines_key = hasher_key(&h);
    Kept *kept;
    bool is_new;
    if (!run_take(run, run->outlines_key, sizeof(Outlines), &kept, &is_new, err)) return false;
    if (is_new && !make_outlines(run, &options, kept, err)) return false;
    run->out->outlines = *(Outlines *)kept->value;
    return replay_colours(&run->out->separation, &run->out->outlines, &run->version->arena, &run->replay, err);
}

static Key stack_key(const Run *run, const StackOptions *options)
{
    Hasher h = hasher_make("layers");
    hash_key(&h, run->outlines_key);
    hash_colours(&h, run->replay.colours, run->replay.colour_count);
    hash_stack_options(&h, options);
    bool tells_names = options->order_count > 0 || run->out->outlines.pen_detail_count > 0; // in findings
    if (tells_names) hash_names(&h, run->replay.colours, run->replay.colour_count);
    return hasher_key(&h);
}

static bool layer_task(void *context, int unit, Work *work, Error *err)
{
    Run *run = context;
    return stack_unit(run->making.stack, unit, &run->units.arenas[unit], work, err);
}

static bool make_stack(Run *run, const Outlines *named, const StackOptions *options, Kept *kept, Error *err)
{
    if (!stack_begin(named, options, &run->own, &kept->arena, &run->work, &run->making.stack, kept->value, err)) return false;
    int count = stack_unit_count(run->making.stack);
    return run_open_arenas(run, count, err) && run_units(run, count, layer_task, 0.0, 0.8, err) &&
           stack_end(run->making.stack, &run->own, &kept->arena, &run->work, err);
}

bool whole_layers(Run *run, Error *err)
{
    if (!run_begin(run, STAGE_LAYERS, err)) return false;
    Outlines named = run->out->outlines; // with the maker's names
    named.colours = (SeparationColour *)run->replay.colours;
    StackOptions options = run->replay.stack;
    options.thin_mm = 0.0; // thin parts alter no layer: they are looked for beside marks and sheets
    run->stack_key = stack_key(run, &options);
    Kept *kept;
    bool is_new;
    if (!run_take(run, run->stack_key, sizeof(Stack), &kept, &is_new, err)) return false;
    if (is_new && !make_stack(run, &named, &options, kept, err)) return false;
    run->out->stack = *(Stack *)kept->value;
    run->out->stack.colours = (SeparationColour *)run->replay.colours; // a name alone changes nothing else of the layers
    return replay_papers(&run->out->stack, &run->own, &run->replay, &run->layer_papers, err);
}
