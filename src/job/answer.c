// answer.c - see answer.h.
// What is one value for the whole picture runs here; layers and papers run as units (units.h).
#include "job/answer.h"

#include "job/freeze.h"
#include "job/units.h"
#include "job/view.h"
#include "shape/overlay.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// Where a stage begins, as a share of the whole; measured on the demo picture, for show only.
typedef enum Stage { STAGE_PICTURE, STAGE_COLOURS, STAGE_OUTLINES, STAGE_LAYERS, STAGE_SEAMS, STAGE_SHEETS, STAGE_FILES, STAGE_END } Stage;
static const struct { const char *name; double from; } STAGES[] = {
    {"picture", 0.0},   {"colours", 0.05},          {"outlines", 0.1}, {"layers", 0.2},
    {"seams", 0.3},     {"marks and sheets", 0.55}, {"files", 0.93},   {"", 1.0},
};

typedef struct ColoursKept {
    Separation separation;
    Key content;
} ColoursKept;

typedef struct PaperUnit {
    NestItem *items;
    NestOptions options;
} PaperUnit;

typedef enum TaskKind { TASK_PIECES, TASK_MARKS, TASK_NEST, TASK_THIN } TaskKind;

typedef struct Task { // of a layer, of a paper, or of the whole stack
    TaskKind kind;
    int index;
    double weight; // about how long it takes
    Kept *kept;
} Task;

typedef struct Run {
    const Job *job;
    const AnswerOptions *options;
    Version *version;
    Job *out;
    Work work;
    Arena own;              // what no result refers to
    Stage stage;
    int unit_count;         // of the stage
    Replay replay;
    Key outlines_key, stack_key;
    Paper *layer_papers;
    SeamWishes *seam_wishes;
    Stack *seam_views;
    SeamOptions *seam_options;
    MarkView *mark_views;
    MarkOptions mark_options;
    PaperUnit *paper_units;
    Kept **piece_kept, **mark_kept, **nest_kept;
    Kept *thin_kept;        // Findings; NULL in a first answer
    Task *tasks;
    int task_count;
} Run;

// ---- stages ----

static void tell_share(Run *run, double share_of_stage)
{
    const JobWatch *watch = run->options->watch;
    double from = STAGES[run->stage].from, to = STAGES[run->stage + 1].from;
    if (watch && watch->progress) watch->progress(watch->context, STAGES[run->stage].name, from + share_of_stage * (to - from));
}

static bool begin(Run *run, Stage stage, Error *err)
{
    const JobWatch *watch = run->options->watch;
    run->stage = stage;
    if (watch && watch->stage) watch->stage(watch->context, STAGES[stage].name);
    tell_share(run, 0.0);
    arena_rewind(&run->work.scratch, (ArenaMark){0});
    return work_goes_on(&run->work, err);
}

static bool take(Run *run, Key key, size_t value_size_bytes, Kept **out, bool *out_is_new, Error *err)
{
    return version_take(run->version, run->options->others, run->options->other_count, key, value_size_bytes, out, out_is_new, err);
}

static bool read_picture(Run *run, Error *err)
{
    if (!begin(run, STAGE_PICTURE, err)) return false;
    const JobInput *input = &run->job->input;
    Hasher h = hasher_make("picture");
    hash_key(&h, run->job->bytes_key);
    hash_double(&h, run->options->settings->limit_px);
    Kept *kept;
    bool is_new;
    if (!take(run, hasher_key(&h), sizeof(Picture), &kept, &is_new, err)) return false;
    PictureOptions options = picture_defaults();
    options.limit_px = run->options->settings->limit_px;
    options.child_program = input->child_program;
    if (is_new && !picture_read(input->bytes, input->size_bytes, input->shown_name, &options, &kept->arena, &run->work,
                                kept->value, err))
        return false;
    run->out->picture = *(Picture *)kept->value;
    return true;
}

static bool separate(Run *run, Key *out_content, Error *err)
{
    if (!begin(run, STAGE_COLOURS, err)) return false;
    Hasher h = hasher_make("colours");
    hash_key(&h, run->job->bytes_key);
    hash_double(&h, run->options->settings->limit_px);
    hash_separation_options(&h, &run->replay.separation);
    Kept *kept;
    bool is_new;
    if (!take(run, hasher_key(&h), sizeof(ColoursKept), &kept, &is_new, err)) return false;
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

static bool outline(Run *run, Key separation_content, Error *err)
{
    if (!check_width(run, err) || !begin(run, STAGE_OUTLINES, err)) return false;
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
    if (!take(run, run->outlines_key, sizeof(Outlines), &kept, &is_new, err)) return false;
    if (is_new && !outline_make(&run->out->picture, &run->out->separation, &options, &kept->arena, &run->work, kept->value, err))
        return false;
    run->out->outlines = *(Outlines *)kept->value;
    return replay_colours(&run->out->separation, &run->out->outlines, &run->version->arena, &run->replay, err);
}

static bool is_known(const Run *run, Key key)
{
    bool known = version_find(run->version, key);
    for (int i = 0; i < run->options->other_count && !known; i++) known = version_find(run->options->others[i], key);
    return known;
}

static Key stack_key(const Run *run, const StackOptions *options)
{
    Hasher h = hasher_make("layers");
    hash_key(&h, run->outlines_key);
    hash_colours(&h, run->replay.colours, run->replay.colour_count);
    hash_stack_options(&h, options);
    return hasher_key(&h);
}

static bool stack(Run *run, Error *err)
{
    if (!begin(run, STAGE_LAYERS, err)) return false;
    Outlines named = run->out->outlines; // with the maker's names
    named.colours = (SeparationColour *)run->replay.colours;
    StackOptions options = run->replay.stack;
    options.thin_mm = 0.0; // thin parts alter no layer: they are looked for beside marks and sheets
    run->stack_key = stack_key(run, &options);
    Kept *kept;
    bool is_new;
    if (!take(run, run->stack_key, sizeof(Stack), &kept, &is_new, err)) return false;
    if (is_new && !stack_make(&named, &options, &kept->arena, &run->work, kept->value, err)) return false;
    run->out->stack = *(Stack *)kept->value;
    return replay_papers(&run->out->stack, &run->own, &run->replay, &run->layer_papers, err);
}

static void unit_done(void *context, int done_count)
{
    Run *run = context;
    tell_share(run, (double)done_count / run->unit_count);
}

static bool run_units(Run *run, int count, bool (*unit)(void *, int, Work *, Error *), Error *err)
{
    Units units = {count, unit, unit_done, run};
    run->unit_count = count;
    return units_run(&units, run->options->settings->threads, run->work.cancel, err);
}

// ---- seams ----

static bool divide_layer(void *context, int unit, Work *work, Error *err)
{
    Run *run = context;
    int layer = run->tasks[unit].index;
    Kept *kept = run->tasks[unit].kept;
    return seam_divide(&run->seam_views[layer], layer, &run->seam_options[layer], &kept->arena, work, kept->value, err);
}

static int heavier_first(const void *a, const void *b)
{
    const Task *p = a, *q = b;
    if (p->weight != q->weight) return p->weight > q->weight ? -1 : 1;
    if (p->kind != q->kind) return p->kind < q->kind ? -1 : 1;
    return (p->index > q->index) - (p->index < q->index);
}

static void add_task(Run *run, Task task)
{
    run->tasks[run->task_count++] = task;
}

static bool run_tasks(Run *run, bool (*unit)(void *, int, Work *, Error *), Error *err)
{
    qsort(run->tasks, (size_t)run->task_count, sizeof *run->tasks, heavier_first); // the last one to end begins first
    return run_units(run, run->task_count, unit, err);
}

// How points weigh; a part is divided the longer, the more points its outline and cover have.
static double point_count(const Rings *rings)
{
    double count = 0.0;
    for (int i = 0; i < rings->count; i++) count += rings->items[i].count;
    return count;
}

static bool prepare_layer(Run *run, int layer, Error *err)
{
    Stack *view = &run->seam_views[layer];
    SeamOptions *options = &run->seam_options[layer];
    if (!view_for_seams(&run->out->stack, layer, &run->own, view, err)) return false;
    *options = seam_defaults(&run->layer_papers[layer]);
    options->wishes = run->seam_wishes[layer];
    Key key = view_seams_key(view, layer, options);
    if (run->options->unrefined && options->tries > 0 && !is_known(run, key)) {
        options->tries = 0;
        key = view_seams_key(view, layer, options);
    }
    bool is_new;
    if (!take(run, key, sizeof(LayerPieces), &run->piece_kept[layer], &is_new, err)) return false;
    double weight = box_height_mm(rings_box(&view->layers[layer].rings)) * point_count(&view->layers[layer].rings);
    if (is_new) add_task(run, (Task){TASK_PIECES, layer, weight, run->piece_kept[layer]});
    return true;
}

static bool divide(Run *run, Error *err)
{
    if (!begin(run, STAGE_SEAMS, err)) return false;
    int count = run->out->stack.layer_count;
    run->seam_views = arena_new(&run->own, Stack, count);
    run->seam_options = arena_new(&run->own, SeamOptions, count);
    run->piece_kept = arena_new(&run->version->arena, Kept *, count);
    run->tasks = arena_new(&run->own, Task, count);
    run->out->pieces = arena_new(&run->version->arena, LayerPieces, count);
    if (!run->seam_views || !run->seam_options || !run->piece_kept || !run->tasks || !run->out->pieces) return error_memory(err);
    if (!replay_seams(&run->out->stack, &run->version->arena, &run->work, &run->replay, &run->seam_wishes, err)) return false;
    run->task_count = 0;
    for (int layer = 0; layer < count; layer++)
        if (!work_goes_on(&run->work, err) || !prepare_layer(run, layer, err)) return false;
    if (!run_tasks(run, divide_layer, err)) return false;
    for (int layer = 0; layer < count; layer++) run->out->pieces[layer] = *(LayerPieces *)run->piece_kept[layer]->value;
    return true;
}

// ---- papers ----

static bool same_paper(const KitPaper *entry, const Paper *paper, Srgb8 colour)
{
    return strcmp(entry->paper.id, paper->id) == 0 && memcmp(&entry->colour, &colour, sizeof colour) == 0;
}

static KitPaper *find_paper(Job *out, const Paper *paper, const SeparationColour *colour)
{
    for (int i = 0; i < out->paper_count; i++)
        if (same_paper(&out->papers[i], paper, colour->colour)) return &out->papers[i];
    KitPaper *entry = &out->papers[out->paper_count++];
    *entry = (KitPaper){.paper = *paper, .colour = colour->colour};
    snprintf(entry->id, sizeof entry->id, "%s-%s", paper->id, colour->name);
    snprintf(entry->colour_name, sizeof entry->colour_name, "%s", colour->name);
    return entry;
}

// One KitPaper for each kind and colour of paper, in the order in which the layers first use them.
static bool gather_papers(Run *run, Error *err)
{
    Job *out = run->out;
    Arena *keep = &run->version->arena;
    int all_pieces = 0;
    for (int layer = 0; layer < out->stack.layer_count; layer++) all_pieces += out->pieces[layer].piece_count;
    out->papers = arena_new(keep, KitPaper, out->stack.layer_count);
    if (!out->papers) return error_memory(err);
    for (int layer = 0; layer < out->stack.layer_count; layer++) {
        const SeparationColour *colour = &out->stack.colours[out->stack.layers[layer].colour];
        KitPaper *entry = find_paper(out, &run->layer_papers[layer], colour);
        if (!entry->pieces) {
            entry->layers = arena_new(keep, int, all_pieces);
            entry->pieces = arena_new(keep, int, all_pieces);
            if (!entry->layers || !entry->pieces) return error_memory(err);
        }
        for (int piece = 0; piece < out->pieces[layer].piece_count; piece++) {
            entry->layers[entry->piece_count] = layer;
            entry->pieces[entry->piece_count++] = piece;
        }
    }
    return true;
}

// ---- marks, sheets and thin parts: none waits for another ----

static bool prepare_mark(Run *run, int layer, Error *err)
{
    MarkView *view = &run->mark_views[layer];
    bool is_new;
    if (!view_for_marks(&run->out->stack, run->out->pieces, layer, &run->own, view, err)) return false;
    Key key = view_marks_key(view, layer, &run->mark_options);
    if (!take(run, key, sizeof(LayerMarks), &run->mark_kept[layer], &is_new, err)) return false;
    double weight = 3.0 * point_count(&view->stack.layers[layer].cover);
    for (int i = layer; i < view->stack.layer_count; i++) weight += point_count(&view->stack.layers[i].rings);
    if (is_new) add_task(run, (Task){TASK_MARKS, layer, weight, run->mark_kept[layer]});
    return true;
}

static bool prepare_nest(Run *run, int paper, Error *err)
{
    KitPaper *entry = &run->out->papers[paper];
    PaperUnit *unit = &run->paper_units[paper];
    double weight = 0.0;
    unit->options = nest_defaults(&entry->paper);
    entry->gap_mm = unit->options.gap_mm;
    unit->items = arena_new(&run->own, NestItem, entry->piece_count);
    if (!unit->items) return error_memory(err);
    for (int i = 0; i < entry->piece_count; i++) {
        const Piece *piece = &run->out->pieces[entry->layers[i]].pieces[entry->pieces[i]];
        unit->items[i] = (NestItem){.rings = &piece->rings, .fit = piece->fit};
        weight += point_count(&piece->rings);
    }
    Key key = view_nest_key(unit->items, entry->piece_count, &unit->options);
    if (run->options->unrefined && unit->options.orders > 1 && !is_known(run, key)) {
        unit->options.orders = 1;
        key = view_nest_key(unit->items, entry->piece_count, &unit->options);
    }
    bool is_new;
    if (!take(run, key, sizeof(NestResult), &run->nest_kept[paper], &is_new, err)) return false;
    if (is_new) add_task(run, (Task){TASK_NEST, paper, weight * unit->options.orders, run->nest_kept[paper]});
    return true;
}

// One look at the whole stack: the longest of these tasks, so it begins first.
static bool prepare_thin(Run *run, Error *err)
{
    Hasher h = hasher_make("thin parts");
    hash_key(&h, run->stack_key);
    hash_double(&h, run->replay.stack.thin_mm);
    bool is_new;
    if (!take(run, hasher_key(&h), sizeof(Findings), &run->thin_kept, &is_new, err)) return false;
    if (is_new) add_task(run, (Task){TASK_THIN, 0, INFINITY, run->thin_kept});
    return true;
}

static bool nest_task(Run *run, const Task *task, Work *work, Error *err)
{
    const PaperUnit *paper = &run->paper_units[task->index];
    return nest_pieces(paper->items, run->out->papers[task->index].piece_count, &paper->options, &task->kept->arena, work,
                       task->kept->value, err);
}

static bool mark_task(Run *run, const Task *task, Work *work, Error *err)
{
    const MarkView *view = &run->mark_views[task->index];
    return mark_layer(&view->stack, view->pieces, task->index, &run->mark_options, &task->kept->arena, work,
                      task->kept->value, err);
}

static bool run_task(void *context, int unit, Work *work, Error *err)
{
    Run *run = context;
    const Task *task = &run->tasks[unit];
    switch (task->kind) {
    case TASK_NEST: return nest_task(run, task, work, err);
    case TASK_MARKS: return mark_task(run, task, work, err);
    case TASK_THIN:
        return stack_find_thin(&run->out->stack, run->replay.stack.thin_mm, &task->kept->arena, work, task->kept->value, err);
    case TASK_PIECES: break; // of the stage before
    }
    assert(!"a task of another stage");
    return false;
}

static bool prepare_tasks(Run *run, Error *err)
{
    int layers = run->out->stack.layer_count, papers = run->out->paper_count;
    Arena *keep = &run->version->arena;
    run->mark_options = mark_defaults(run->options->settings->line);
    run->mark_views = arena_new(&run->own, MarkView, layers);
    run->paper_units = arena_new(&run->own, PaperUnit, papers);
    run->tasks = arena_new(&run->own, Task, layers + papers + 1);
    run->mark_kept = arena_new(keep, Kept *, layers);
    run->nest_kept = arena_new(keep, Kept *, papers);
    run->out->marks = arena_new(keep, LayerMarks, layers);
    if (!run->mark_views || !run->paper_units || !run->tasks || !run->mark_kept || !run->nest_kept || !run->out->marks)
        return error_memory(err);
    run->task_count = 0;
    run->thin_kept = NULL;
    if (!run->options->unrefined && !prepare_thin(run, err)) return false;
    for (int layer = 0; layer < layers && !run->options->unrefined; layer++)
        if (!work_goes_on(&run->work, err) || !prepare_mark(run, layer, err)) return false;
    for (int paper = 0; paper < papers; paper++)
        if (!work_goes_on(&run->work, err) || !prepare_nest(run, paper, err)) return false;
    return true;
}

static bool mark_and_nest(Run *run, Error *err)
{
    if (!begin(run, STAGE_SHEETS, err)) return false;
    if (!gather_papers(run, err) || !prepare_tasks(run, err) || !run_tasks(run, run_task, err)) return false;
    for (int layer = 0; layer < run->out->stack.layer_count && !run->options->unrefined; layer++)
        run->out->marks[layer] = *(LayerMarks *)run->mark_kept[layer]->value;
    for (int paper = 0; paper < run->out->paper_count; paper++)
        run->out->papers[paper].nest = *(NestResult *)run->nest_kept[paper]->value;
    return true;
}

// ---- files ----

// The maker's own edits come first among the findings.
static bool join_findings(Run *run, Error *err)
{
    Stack *stack = &run->out->stack;
    Findings all = {0}, none = {0};
    const Findings *thin = run->thin_kept ? run->thin_kept->value : &none;
    const Findings *parts[3] = {&run->replay.findings, &stack->findings, thin};
    for (int k = 0; k < 3; k++)
        for (size_t i = 0; i < parts[k]->count; i++) {
            const Finding *f = &parts[k]->items[i];
            if (!findings_add(&all, &run->version->arena, f->kind, f->text, f->x_mm, f->y_mm)) return error_memory(err);
        }
    stack->findings = all;
    return true;
}

static Key kit_key(const Run *run)
{
    Hasher h = hasher_make("files");
    const Stack *stack = &run->out->stack;
    hash_text(&h, run->job->input.kit_name);
    hash_int(&h, run->options->settings->kit.page);
    hash_key(&h, run->stack_key);
    for (int layer = 0; layer < stack->layer_count; layer++) {
        hash_key(&h, run->piece_kept[layer]->key);
        hash_key(&h, run->mark_kept[layer]->key);
        hash_paper(&h, &run->layer_papers[layer]);
        hash_paper_to_buy(&h, &run->layer_papers[layer]);
    }
    for (int paper = 0; paper < run->out->paper_count; paper++) hash_key(&h, run->nest_kept[paper]->key);
    for (size_t i = 0; i < stack->findings.count; i++) {
        hash_text(&h, stack->findings.items[i].kind);
        hash_text(&h, stack->findings.items[i].text);
        hash_double(&h, stack->findings.items[i].x_mm);
        hash_double(&h, stack->findings.items[i].y_mm);
    }
    return hasher_key(&h);
}

static bool write_kit(Run *run, Error *err)
{
    if (!begin(run, STAGE_FILES, err)) return false;
    KitInput input = {
        .name = run->job->input.kit_name,
        .stack = &run->out->stack,
        .layer_pieces = run->out->pieces,
        .layer_marks = run->out->marks,
        .papers = run->out->papers,
        .paper_count = run->out->paper_count,
        .options = run->options->settings->kit,
    };
    Kept *kept;
    bool is_new;
    if (!take(run, kit_key(run), sizeof(FileSet), &kept, &is_new, err)) return false;
    if (is_new && !kit_make(&input, &kept->arena, &run->work, kept->value, err)) return false;
    run->out->kit = *(FileSet *)kept->value;
    if (!freeze_check(run->options->edits, run->options->settings->height_mm, &run->out->kit, err)) return false;
    tell_share(run, 1.0);
    return true;
}

// ---- the whole ----

static bool check_sizes(const Run *run, Error *err)
{
    Settings asked = *run->options->settings;
    asked.border_mm = run->replay.border_mm;
    return settings_check(&asked, err) && freeze_check(run->options->edits, asked.height_mm, NULL, err);
}

static bool make(Run *run, Error *err)
{
    Key content;
    const Settings *settings = run->options->settings;
    bool only_colours = run->options->only_colours;
    if (!replay_start(settings, run->options->edits, &run->version->arena, &run->replay, err)) return false;
    if (!only_colours && !check_sizes(run, err)) return false;
    if (!read_picture(run, err) || !separate(run, &content, err)) return false;
    if (only_colours) return true;
    run->out->height_mm = settings->height_mm;
    return outline(run, content, err) && stack(run, err) && divide(run, err) && mark_and_nest(run, err) &&
           join_findings(run, err) && (run->options->unrefined || write_kit(run, err));
}

bool answer_make(const Job *job, const AnswerOptions *options, Version *version, Job *out, Error *err)
{
    const atomic_bool *cancel = options->watch ? options->watch->cancel : NULL;
    Run run = {.job = job, .options = options, .version = version, .out = out, .own = arena_make(0),
               .work = {.scratch = arena_make(0), .cancel = cancel}};
    *out = (Job){0};
    bool done = overlay_create(cancel, &run.work.overlay, err) && make(&run, err);
    overlay_destroy(run.work.overlay);
    arena_free(&run.work.scratch);
    arena_free(&run.own);
    if (!done) *out = (Job){0};
    return done;
}
