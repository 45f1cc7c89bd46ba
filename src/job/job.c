// job.c - the rooms in their order; see job.h.
// What is one value for the whole picture runs here; layers and papers run as units (units.h).
#include "job/job.h"

#include "job/units.h"
#include "shape/overlay.h"

#include <stdio.h>
#include <string.h>

typedef struct Run {
    const JobInput *input;
    const Settings *settings;
    const JobWatch *watch;
    Job *job;
    Work work;
} Run;

static bool begin(Run *run, const char *stage, Error *err)
{
    if (run->watch && run->watch->stage) run->watch->stage(run->watch->context, stage);
    arena_rewind(&run->work.scratch, (ArenaMark){0});
    return work_goes_on(&run->work, err);
}

static bool read_picture(Run *run, Error *err)
{
    if (!begin(run, "picture", err)) return false;
    PictureOptions options = picture_defaults();
    options.limit_px = run->settings->limit_px;
    options.child_program = run->input->child_program;
    return picture_read(run->input->bytes, run->input->size_bytes, run->input->shown_name, &options, &run->job->keep,
                        &run->work, &run->job->picture, err);
}

static double figure_height_mm(const Settings *settings)
{
    return settings->height_mm - 2.0 * settings->border_mm;
}

static bool separate(Run *run, Error *err)
{
    if (!begin(run, "colours", err)) return false;
    SeparationOptions options = separation_defaults();
    if (run->settings->height_mm > 0.0) options.figure_height_mm = figure_height_mm(run->settings);
    options.smallest_area_px = run->settings->smallest_area_px;
    return separation_make(&run->job->picture, &options, &run->job->keep, &run->work, &run->job->separation, err);
}

// Coordinates reach 100 m; a very wide picture could pass that at a height that is allowed.
static bool check_width(Run *run, Error *err)
{
    const double *box = run->job->separation.box_px;
    double width_mm = figure_height_mm(run->settings) * (box[2] - box[0]) / (box[3] - box[1]);
    double largest_mm = 0.9 * POINT_MAX_UM / UM_PER_MM;
    if (width_mm <= largest_mm) return true;
    return error_set(err, ERROR_JOB, "at this height the piece would be %.0f m wide, more than the %.0f m that can be made; ask for less",
                     width_mm / 1000.0, largest_mm / 1000.0);
}

static bool outline(Run *run, Error *err)
{
    if (!check_width(run, err) || !begin(run, "outlines", err)) return false;
    OutlineOptions options = outline_defaults();
    options.figure_height_mm = figure_height_mm(run->settings);
    options.offset_mm = run->settings->border_mm;
    return outline_make(&run->job->picture, &run->job->separation, &options, &run->job->keep, &run->work,
                        &run->job->outlines, err);
}

// A paper that is named for a layer that is not there would silently do nothing: say so.
static bool check_paper_letters(Run *run, Error *err)
{
    int layer_count = run->job->stack.layer_count;
    char last[8];
    layer_letter(layer_count - 1, last);
    for (int i = 0; i < run->settings->paper_count; i++) {
        const char *wanted = run->settings->papers[i].layer;
        bool found = !wanted[0];
        for (int layer = 0; layer < layer_count && !found; layer++) {
            char letter[8];
            layer_letter(layer, letter);
            found = strcmp(letter, wanted) == 0;
        }
        if (!found)
            return error_set(err, ERROR_JOB, "--paper %s=... names a layer that is not there; this picture has the layers A to %s",
                             wanted, last);
    }
    return true;
}

static bool stack(Run *run, Error *err)
{
    if (!begin(run, "layers", err)) return false;
    StackOptions options = stack_defaults();
    options.way = run->settings->way;
    options.border_mm = run->settings->border_mm;
    return stack_make(&run->job->outlines, &options, &run->job->keep, &run->work, &run->job->stack, err) &&
           check_paper_letters(run, err);
}

// Keep arenas for `count` more units.
static Arena *more_keeps(Job *job, int count)
{
    Arena *all = arena_new(&job->keep, Arena, job->unit_count + count);
    if (!all) return NULL;
    if (job->unit_count) memcpy(all, job->unit_keeps, (size_t)job->unit_count * sizeof *all);
    for (int i = 0; i < count; i++) all[job->unit_count + i] = arena_make(0);
    job->unit_keeps = all;
    job->unit_count += count;
    return all + job->unit_count - count;
}

static bool run_units(Run *run, int count, UnitRun unit, Error *err)
{
    Arena *keeps = more_keeps(run->job, count);
    if (!keeps) return error_memory(err);
    return units_run(count, run->settings->threads, unit, run, keeps, run->work.cancel, err);
}

static bool divide_layer(void *context, int layer, Arena *keep, Work *work, Error *err)
{
    Run *run = context;
    SeamOptions options = seam_defaults(settings_paper(run->settings, layer));
    return seam_divide(&run->job->stack, layer, &options, keep, work, &run->job->pieces[layer], err);
}

static bool divide(Run *run, Error *err)
{
    if (!begin(run, "seams", err)) return false;
    Job *job = run->job;
    job->pieces = arena_new(&job->keep, LayerPieces, job->stack.layer_count);
    if (!job->pieces) return error_memory(err);
    return run_units(run, job->stack.layer_count, divide_layer, err);
}

static bool mark_one_layer(void *context, int layer, Arena *keep, Work *work, Error *err)
{
    Run *run = context;
    MarkOptions options = mark_defaults(run->settings->line);
    return mark_layer(&run->job->stack, run->job->pieces, layer, &options, keep, work, &run->job->marks[layer], err);
}

static bool mark(Run *run, Error *err)
{
    if (!begin(run, "marks", err)) return false;
    Job *job = run->job;
    job->marks = arena_new(&job->keep, LayerMarks, job->stack.layer_count);
    if (!job->marks) return error_memory(err);
    return run_units(run, job->stack.layer_count, mark_one_layer, err);
}

static bool same_paper(const KitPaper *entry, const Paper *paper, Srgb8 colour)
{
    return strcmp(entry->paper.id, paper->id) == 0 && memcmp(&entry->colour, &colour, sizeof colour) == 0;
}

static KitPaper *find_paper(Job *job, const Paper *paper, const SeparationColour *colour)
{
    for (int i = 0; i < job->paper_count; i++)
        if (same_paper(&job->papers[i], paper, colour->colour)) return &job->papers[i];
    KitPaper *entry = &job->papers[job->paper_count++];
    *entry = (KitPaper){.paper = *paper, .colour = colour->colour};
    snprintf(entry->id, sizeof entry->id, "%s-%s", paper->id, colour->name);
    snprintf(entry->colour_name, sizeof entry->colour_name, "%s", colour->name);
    return entry;
}

// Two papers of one colour take their size into the name, so that no two sheets have one name.
static void name_apart(Job *job)
{
    for (int i = 0; i < job->paper_count; i++) {
        KitPaper *entry = &job->papers[i];
        bool shared = false;
        for (int j = 0; j < job->paper_count; j++)
            shared = shared || (j != i && memcmp(&entry->colour, &job->papers[j].colour, sizeof entry->colour) == 0);
        if (shared) snprintf(entry->colour_name, sizeof entry->colour_name, "%.31s", entry->id);
    }
}

// One KitPaper for each kind and colour of paper, in the order in which the layers first use them.
static bool gather_papers(Run *run, Error *err)
{
    Job *job = run->job;
    int all_pieces = 0;
    for (int layer = 0; layer < job->stack.layer_count; layer++) all_pieces += job->pieces[layer].piece_count;
    job->papers = arena_new(&job->keep, KitPaper, job->stack.layer_count);
    if (!job->papers) return error_memory(err);

    for (int layer = 0; layer < job->stack.layer_count; layer++) {
        const SeparationColour *colour = &job->stack.colours[job->stack.layers[layer].colour];
        KitPaper *entry = find_paper(job, settings_paper(run->settings, layer), colour);
        if (!entry->pieces) {
            entry->layers = arena_new(&job->keep, int, all_pieces);
            entry->pieces = arena_new(&job->keep, int, all_pieces);
            if (!entry->layers || !entry->pieces) return error_memory(err);
        }
        for (int piece = 0; piece < job->pieces[layer].piece_count; piece++) {
            entry->layers[entry->piece_count] = layer;
            entry->pieces[entry->piece_count++] = piece;
        }
    }
    name_apart(job);
    return true;
}

static bool nest_paper(void *context, int unit, Arena *keep, Work *work, Error *err)
{
    Job *job = ((Run *)context)->job;
    KitPaper *entry = &job->papers[unit];
    NestOptions options = nest_defaults(&entry->paper);
    entry->gap_mm = options.gap_mm;
    NestItem *items = arena_new(keep, NestItem, entry->piece_count);
    if (!items) return error_memory(err);
    for (int i = 0; i < entry->piece_count; i++) {
        const Piece *piece = &job->pieces[entry->layers[i]].pieces[entry->pieces[i]];
        items[i] = (NestItem){.rings = &piece->rings, .fit = piece->fit};
    }
    return nest_pieces(items, entry->piece_count, &options, keep, work, &entry->nest, err);
}

static bool nest(Run *run, Error *err)
{
    if (!begin(run, "sheets", err)) return false;
    return gather_papers(run, err) && run_units(run, run->job->paper_count, nest_paper, err);
}

static bool write_kit(Run *run, Error *err)
{
    if (!begin(run, "files", err)) return false;
    Job *job = run->job;
    KitInput input = {
        .name = run->input->kit_name,
        .stack = &job->stack,
        .layer_pieces = job->pieces,
        .layer_marks = job->marks,
        .papers = job->papers,
        .paper_count = job->paper_count,
    };
    return kit_make(&input, &job->keep, &run->work, &job->kit, err);
}

static bool run_start(Run *run, Error *err)
{
    *run->job = (Job){.keep = arena_make(0)};
    run->work = (Work){.scratch = arena_make(0), .cancel = run->watch ? run->watch->cancel : NULL};
    return overlay_create(run->work.cancel, &run->work.overlay, err);
}

static void run_end(Run *run)
{
    overlay_destroy(run->work.overlay);
    arena_free(&run->work.scratch);
}

bool job_colours(const JobInput *input, const Settings *settings, const JobWatch *watch, Job *out, Error *err)
{
    Run run = {.input = input, .settings = settings, .watch = watch, .job = out};
    bool done = run_start(&run, err) && read_picture(&run, err) && separate(&run, err);
    run_end(&run);
    return done;
}

bool job_build(const JobInput *input, const Settings *settings, const JobWatch *watch, Job *out, Error *err)
{
    Run run = {.input = input, .settings = settings, .watch = watch, .job = out};
    bool done = run_start(&run, err) && settings_check(settings, err) && read_picture(&run, err) &&
                separate(&run, err) && outline(&run, err) && stack(&run, err) && divide(&run, err) && mark(&run, err) &&
                nest(&run, err) && write_kit(&run, err);
    run_end(&run);
    return done;
}

bool job_prove(const FileSet *files, const JobWatch *watch, Arena *keep, Proof *out, Error *err)
{
    if (watch && watch->stage) watch->stage(watch->context, "proof");
    Work work = {.scratch = arena_make(0), .cancel = watch ? watch->cancel : NULL};
    bool done = proof_kit(files, keep, &work, out, err);
    arena_free(&work.scratch);
    return done;
}

void job_free(Job *job)
{
    for (int i = 0; i < job->unit_count; i++) arena_free(&job->unit_keeps[i]);
    arena_free(&job->keep);
    *job = (Job){0};
}
