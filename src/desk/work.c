// work.c - desk_work: in the order of what somebody waits for: the answer to the newest docket, the kit that is to be
// taken, pieces that are to be cut once more, the steps of putting together, comparisons, what the plain grid would have had, what fewer pieces or seams would come to.
#include "desk/table.h"

#include "desk/compare.h"
#include "desk/pack.h"
#include "desk/recut.h"
#include "job/freeze.h"
#include "job/say.h"
#include "job/view.h"
#include "kit/draft.h"
#include "shape/overlay.h"
#include "store/kit_rests.h"

#include <stdio.h>
#include <string.h>

#define SHARE_STEP 0.02         // of progress that is worth an event

typedef enum TaskKind { TASK_NONE, TASK_ANSWER, TASK_KIT, TASK_RECUT, TASK_STEPS, TASK_PLACES, TASK_COMPARE, TASK_GRID, TASK_OFFERS } TaskKind;

typedef struct Chore {
    TaskKind kind;
    Desk *desk;
    Wish *wish;                 // held
    int64_t compare_number;
    int row;
    const EditList *edits;      // of the answer that is made: the wish's, or its loose ones
    const int64_t *edit_lines;
    bool is_loose;
    Error failure;              // of a first answer that could not be shown
} Chore;

// ---- what is to do ----

static bool kit_is_due(const Desk *desk)
{
    return desk->kit_wanted && desk->error.kind == ERROR_NONE;
}

static TaskKind choose(const Desk *desk)
{
    const Wish *wish = desk->wish;
    if (!wish || atomic_load(&desk->stop)) return TASK_NONE;
    if (wish->revision != desk->answered) return TASK_ANSWER;
    bool stands = desk->shown && desk->shown->revision == wish->revision && desk->shown->level == SHOWN_WHOLE;
    if (stands && kit_is_due(desk)) return TASK_KIT;
    if (stands && desk->recut_order) return TASK_RECUT;
    if (stands && desk->places.wanted) return TASK_PLACES;
    if (stands && (!desk->steps || desk->steps->revision != wish->revision)) return TASK_STEPS;
    if (compare_next(desk->compare) >= 0) return TASK_COMPARE;
    if (stands && desk->grid.shape != wish->shape) return TASK_GRID;
    if (stands && desk->offered.shape != wish->shape) return TASK_OFFERS;
    return TASK_NONE;
}

static bool next_chore(Desk *desk, Chore *out)
{
    table_lock(desk);
    *out = (Chore){.kind = choose(desk), .desk = desk};
    if (out->kind != TASK_NONE) {
        atomic_store(&desk->cancel, false);
        if (atomic_load(&desk->stop)) atomic_store(&desk->cancel, true);
        if (out->kind == TASK_COMPARE) {
            out->row = compare_next(desk->compare);
            out->compare_number = desk->compare->number;
            out->wish = desk->compare->wishes[out->row];
        } else {
            out->wish = desk->wish;
        }
        out->wish->users++;
    }
    table_unlock(desk);
    return out->kind != TASK_NONE;
}

static bool is_newest(const Chore *chore)
{
    return chore->desk->wish == chore->wish;
}

// ---- progress ----

static void show_share(void *context, const char *stage, double share)
{
    Chore *chore = context;
    Desk *desk = chore->desk;
    table_lock(desk);
    bool told = strcmp(desk->stage, stage) == 0 && share < desk->share + SHARE_STEP && share >= desk->share;
    if (!told) {
        snprintf(desk->stage, sizeof desk->stage, "%s", stage);
        desk->share = share;
        table_tell_work(desk);
    }
    table_unlock(desk);
    if (!told) table_wake(desk);
}

static void set_busy(Desk *desk, TaskKind kind)
{
    table_lock(desk);
    desk->busy = kind == TASK_ANSWER || kind == TASK_KIT || kind == TASK_RECUT;
    desk->is_patient = kind == TASK_STEPS || kind == TASK_COMPARE || kind == TASK_GRID || kind == TASK_OFFERS;
    desk->stage[0] = 0;
    desk->share = 0.0;
    table_unlock(desk);
}

// ---- the answer ----

static bool publish(Chore *chore, const Job *job, ShownLevel level, Error *err)
{
    Desk *desk = chore->desk;
    const Wish *wish = chore->wish;
    Shown *shown;
    ShownFrom from = {job, &wish->settings, chore->edits, chore->edit_lines, level, wish->revision, wish->shape, wish->source->job};
    if (!shown_make(&from, &shown, err)) return false;
    table_lock(desk);
    bool wanted = is_newest(chore);
    if (wanted) {
        shown_release(desk->shown);
        desk->shown = shown;
        if (level == SHOWN_WHOLE) desk->answered = wish->revision;
        desk->version++;
        table_tell(desk, "answer", "answer", shown_level_word(level));
    } else {
        shown_release(shown);
    }
    table_unlock(desk);
    table_wake(desk);
    return wanted || error_set(err, ERROR_CANCELLED, "stopped: something newer is asked for");
}

static void show_first(void *context, const Job *job)
{
    Chore *chore = context;
    Error err = {0};
    if (!publish(chore, job, SHOWN_FIRST, &err) && err.kind != ERROR_CANCELLED) chore->failure = err;
}

static bool take_job(Desk *desk, const Source *source, Error *err)
{
    if (desk->job_number == source->job) return true;
    job_free(&desk->job);
    job_free(&desk->compare_job);
    desk->job_number = desk->compare_number = 0;
    desk->whole_shape = 0;
    JobInput input = {source->picture.bytes, source->picture.size_bytes, source->picture.name, source->kit_name, desk->options.child_program};
    if (!job_create(&input, &desk->job, err)) return false;
    desk->job_number = source->job;
    return true;
}

// The colours of a picture that is new are shown before anything else is known of it.
static bool show_colours(Chore *chore, const JobWatch *watch, Error *err)
{
    Desk *desk = chore->desk;
    if (desk->job.version) return true;
    return job_colours(&desk->job, &chore->wish->settings, chore->edits, watch, err) && publish(chore, &desk->job, SHOWN_COLOURS, err);
}

static bool answer_with(Chore *chore, bool loose, Error *err)
{
    Desk *desk = chore->desk;
    const Wish *wish = chore->wish;
    chore->edits = loose ? &wish->loose : &wish->edits;
    desk->was_loose = loose;
    chore->edit_lines = loose ? wish->loose_lines : wish->edit_lines;
    JobWatch watch = {.cancel = &desk->cancel, .context = chore, .progress = show_share,
                      .first_answer = desk->whole_shape == wish->shape ? NULL : show_first};
    chore->failure = (Error){0};
    if (!show_colours(chore, &watch, err) || !job_answer(&desk->job, &wish->settings, chore->edits, &watch, err)) return false;
    if (chore->failure.kind != ERROR_NONE) return error_set(err, chore->failure.kind, "%s", chore->failure.text);
    // What was frozen last should be in the answer that it was taken from; where it is not, it is held fast.
    return !loose || freeze_check(&wish->edits, wish->settings.height_mm, &desk->job.kit, err);
}

static bool make_answer(Chore *chore, Error *err)
{
    Desk *desk = chore->desk;
    if (!take_job(desk, chore->wish->source, err)) return false;
    bool done = chore->wish->loose_first && answer_with(chore, true, err);
    if (!done && chore->wish->loose_first && err->kind != ERROR_JOB) return false;
    if (!done) *err = (Error){0};
    if (!done && !answer_with(chore, false, err)) return false;
    if (!publish(chore, &desk->job, SHOWN_WHOLE, err)) return false;
    desk->whole_shape = chore->wish->shape;
    return true;
}

static void tell_failure(Chore *chore, const Error *err)
{
    Desk *desk = chore->desk;
    table_lock(desk);
    if (is_newest(chore)) {
        desk->answered = chore->wish->revision;
        desk->error = *err;
        desk->error_line = err->kind == ERROR_JOB || err->kind == ERROR_USAGE ? chore->wish->last_line : 0;
        if (desk->kit_wanted) desk->kit_error = *err;
        desk->version++;
        table_tell(desk, "error", "text", err->text);
        if (desk->kit_wanted) table_tell(desk, "kit", "error", err->text);
        desk->kit_wanted = false;
    }
    table_unlock(desk);
    table_wake(desk);
}

static void do_answer(Chore *chore)
{
    Error err = {0};
    if (make_answer(chore, &err) || err.kind == ERROR_CANCELLED) return;
    tell_failure(chore, &err);
}

// ---- the kit ----

static bool name_folder(const Chore *chore, Arena *arena, const char **out, Error *err)
{
    Text text = text_make(arena);
    say_kit_folder(&text, chore->wish->source->kit_name, chore->wish->settings.height_mm);
    *out = text.bytes;
    return text_is_whole(&text, err);
}

// The files are written when somebody wants them: the answer came without.
static bool write_files(Chore *chore, Error *err)
{
    Desk *desk = chore->desk;
    JobWatch watch = {.cancel = &desk->cancel, .context = chore, .progress = show_share};
    return job_update(&desk->job, &chore->wish->settings, desk->was_loose ? &chore->wish->loose : &chore->wish->edits, &watch, err);
}

static bool prove_kit(Chore *chore, Kit *kit, Error *err)
{
    Desk *desk = chore->desk;
    JobWatch watch = {.cancel = &desk->cancel};
    Proof proof;
    const char *folder;
    if (!write_files(chore, err)) return false;
    show_share(chore, "proof", 0.0);
    if (!job_prove(&desk->job.kit, desk->options.threads, &watch, &kit->arena, &proof, err)) return false;
    if (!proof_hands_out(&proof, err)) return false;
    if (!name_folder(chore, &kit->arena, &folder, err) || !kit_pack(kit, &desk->job.kit, proof.text, folder, err)) return false;
    const FileBytes *kit_json = file_find(&kit->files, "kit.json");
    return !kit_json || kit_rests(kit_json, folder, &kit->arena, &kit->rests, err);
}

static bool make_kit(Chore *chore, Kit **out, Error *err)
{
    Arena arena = arena_make(0);
    Kit *kit = arena_new(&arena, Kit, 1);
    *out = kit;
    if (!kit) return error_memory(err);
    *kit = (Kit){.arena = arena, .users = 1, .revision = chore->wish->revision, .job = chore->wish->source->job};
    if (prove_kit(chore, kit, err)) return true;
    kit_release(kit);
    *out = NULL;
    return false;
}

static void do_kit(Chore *chore)
{
    Desk *desk = chore->desk;
    Kit *kit;
    Error err = {0};
    table_lock(desk);
    desk->kit_busy = true;
    table_unlock(desk);
    bool done = make_kit(chore, &kit, &err), cancelled = !done && err.kind == ERROR_CANCELLED;
    table_lock(desk);
    desk->kit_busy = false;
    if (done && is_newest(chore)) {
        kit_release(desk->kit);
        desk->kit = kit;
        desk->kit_wanted = false;
        desk->version++;
        table_tell(desk, "kit", "ready", "kit.zip");
    } else if (done) {
        kit_release(kit);
    } else if (!cancelled && is_newest(chore)) {
        desk->kit_error = err;
        desk->kit_wanted = false;
        desk->version++;
        table_tell(desk, "kit", "error", err.text);
    }
    table_unlock(desk);
    table_wake(desk);
}

static void do_recut(Chore *chore)
{
    Desk *desk = chore->desk;
    Kit *recut = NULL;
    Error err = {0};
    table_lock(desk);
    RecutOrder *order = desk->recut_order;
    desk->recut_order = NULL;
    desk->recut_busy = order != NULL;
    table_unlock(desk);
    if (!order) return;
    JobWatch watch = {.cancel = &desk->cancel};
    bool done = recut_work(&desk->job, order, chore->wish, desk->options.threads, &watch, &recut, &err);
    table_lock(desk);
    desk->recut_busy = false;
    if (done && is_newest(chore)) {
        kit_release(desk->recut);
        desk->recut = recut;
        desk->version++;
        table_tell(desk, "recut", "ready", "recut.zip");
    } else if (!done && err.kind == ERROR_CANCELLED && !desk->recut_order) {
        desk->recut_order = order; // what is newer comes first
        order = NULL;
    } else if (!done && err.kind != ERROR_CANCELLED) {
        desk->recut_error = err;
        desk->version++;
        table_tell(desk, "recut", "error", err.text);
    }
    if (done && desk->recut != recut) kit_release(recut);
    table_unlock(desk);
    recut_order_free(order);
    table_wake(desk);
}

// ---- while nobody waits ----

static bool with_work(Desk *desk, Work *work, Error *err)
{
    *work = (Work){.scratch = arena_make(0), .cancel = &desk->cancel};
    return overlay_create(&desk->cancel, &work->overlay, err);
}

static void end_work(Work *work)
{
    overlay_destroy(work->overlay);
    arena_free(&work->scratch);
}

static void do_steps(Chore *chore)
{
    Desk *desk = chore->desk;
    Work work;
    Error err = {0};
    Steps *steps = NULL;
    bool done = with_work(desk, &work, &err) && steps_make(&desk->job, &chore->wish->settings, chore->wish->revision, &work, &steps, &err);
    end_work(&work);
    if (!done && err.kind == ERROR_CANCELLED) return;
    if (!done) { // told by an empty list: nothing to do is better than the same failure again and again
        Arena arena = arena_make(0);
        steps = arena_new(&arena, Steps, 1);
        if (!steps) return;
        *steps = (Steps){.arena = arena, .users = 1, .revision = chore->wish->revision};
    }
    table_lock(desk);
    if (is_newest(chore)) {
        steps_release(desk->steps);
        desk->steps = steps;
    } else {
        steps_release(steps);
    }
    table_unlock(desk);
}

// A piece that is not there any more has no place: the reply then says none.
static void do_places(Chore *chore)
{
    Desk *desk = chore->desk;
    Arena own = arena_make(0);
    JobPlaces found;
    Error err = {0};
    table_lock(desk);
    OtherPlaces places = {.revision = chore->wish->revision};
    memcpy(places.piece, desk->places.piece, sizeof places.piece);
    table_unlock(desk);
    bool done = job_places(&desk->job, places.piece, &desk->cancel, &own, &found, &err);
    for (; done && places.count < found.count && places.count < NEST_PLACES_MOST; places.count++) places.items[places.count] = found.items[places.count];
    if (done) places.colour = found.colour;
    KitInput input = {.papers = desk->job.papers, .paper_count = desk->job.paper_count};
    if (done) draft_paper_word(&input, found.paper, places.paper);
    arena_free(&own);
    if (!done && err.kind == ERROR_CANCELLED) return;
    table_lock(desk);
    if (is_newest(chore) && strcmp(desk->places.piece, places.piece) == 0) {
        desk->places = places;
        table_tell(desk, "answer", "answer", "places");
    }
    table_unlock(desk);
    table_wake(desk);
}

static void do_compare(Chore *chore)
{
    Desk *desk = chore->desk;
    CompareRow row = {0};
    Error err = {0};
    JobWatch watch = {.cancel = &desk->cancel};
    bool done = compare_work(desk, chore->wish, &watch, &row, &err);
    if (!done && err.kind == ERROR_CANCELLED) return;
    table_lock(desk);
    Compare *compare = desk->compare;
    if (compare && compare->number == chore->compare_number) {
        CompareRow *to = &compare->rows[chore->row];
        to->done = true;
        memcpy(to->totals, row.totals, sizeof to->totals);
        if (!done) memcpy(to->error, err.text, sizeof to->error);
        desk->version++;
        table_tell(desk, "answer", "answer", "compare");
    }
    bool last = compare_next(compare) < 0;
    table_unlock(desk);
    if (last) { // another picture's worth of memory
        job_free(&desk->compare_job);
        desk->compare_number = 0;
    }
    table_wake(desk);
}

static const Paper *paper_of_layer(const Job *job, int layer)
{
    for (int p = 0; p < job->paper_count; p++)
        for (int i = 0; i < job->papers[p].piece_count; i++)
            if (job->papers[p].layers[i] == layer) return &job->papers[p].paper;
    return NULL;
}

static Key grid_key(const Stack *views, const SeamOptions *options, int count)
{
    Hasher hasher = hasher_make("plain grid");
    for (int l = 0; l < count; l++) hash_key(&hasher, view_seams_key(&views[l], l, &options[l]));
    return hasher_key(&hasher);
}

static bool divide(const Job *job, const Stack *views, const SeamOptions *options, Arena *own, Work *work, Grid *out, Error *err)
{
    for (int l = 0; l < job->stack.layer_count; l++) {
        LayerPieces pieces;
        if (!seam_divide_grid(&views[l], l, &options[l], own, work, &pieces, err)) return false;
        out->pieces += pieces.piece_count;
        for (int s = 0; s < pieces.seam_count; s++) out->visible_mm += pieces.seams[s].visible_mm;
    }
    return true;
}

static bool make_grid(Desk *desk, Arena *own, Work *work, Grid *out, Error *err)
{
    const Job *job = &desk->job;
    int count = job->stack.layer_count;
    Stack *views = arena_new(own, Stack, count);
    SeamOptions *options = arena_new(own, SeamOptions, count);
    if (!views || !options) return error_memory(err);
    for (int l = 0; l < count; l++) {
        const Paper *paper = paper_of_layer(job, l);
        if (!paper) return error_set(err, ERROR_JOB, "a layer has no paper");
        options[l] = seam_defaults(paper);
        if (!view_for_seams(&job->stack, l, own, &views[l], err)) return false;
    }
    Key key = grid_key(views, options, count);
    if (desk->grid_known.shape && key_equal(key, desk->grid_key)) {
        *out = desk->grid_known;
        return true;
    }
    if (!divide(job, views, options, own, work, out, err)) return false;
    desk->grid_key = key;
    desk->grid_known = *out;
    desk->grid_known.shape = 1;
    return true;
}

static void do_grid(Chore *chore)
{
    Desk *desk = chore->desk;
    Arena own = arena_make(0);
    Work work;
    Grid grid = {0};
    Error err = {0};
    bool done = with_work(desk, &work, &err) && make_grid(desk, &own, &work, &grid, &err);
    end_work(&work);
    arena_free(&own);
    if (!done && err.kind == ERROR_CANCELLED) return;
    if (!done) grid = (Grid){0}; // no plain grid can be had: then there is none to tell of
    grid.shape = chore->wish->shape;
    table_lock(desk);
    if (is_newest(chore)) {
        desk->grid = grid;
        desk->version++;
        table_tell(desk, "answer", "answer", "grid");
    }
    table_unlock(desk);
    table_wake(desk);
}

static void do_offers(Chore *chore)
{
    Desk *desk = chore->desk;
    const Wish *wish = chore->wish;
    Offered offered;
    JobWatch watch = {.cancel = &desk->cancel};
    if (!offered_work(&desk->job, &wish->settings, desk->was_loose ? &wish->loose : &wish->edits, &watch, wish->shape, &offered)) return;
    table_lock(desk);
    if (is_newest(chore)) {
        desk->offered = offered;
        desk->version++;
        table_tell(desk, "answer", "answer", "offers");
    }
    table_unlock(desk);
    table_wake(desk);
}

// ---- all ----

static void do_chore(Chore *chore)
{
    switch (chore->kind) {
    case TASK_ANSWER: do_answer(chore); break;
    case TASK_KIT: do_kit(chore); break;
    case TASK_RECUT: do_recut(chore); break;
    case TASK_STEPS: do_steps(chore); break;
    case TASK_PLACES: do_places(chore); break;
    case TASK_COMPARE: do_compare(chore); break;
    case TASK_GRID: do_grid(chore); break;
    case TASK_OFFERS: do_offers(chore); break;
    case TASK_NONE: break;
    }
}

bool desk_work(Desk *desk)
{
    bool did = false;
    Chore chore;
    while (next_chore(desk, &chore)) {
        did = true;
        set_busy(desk, chore.kind);
        do_chore(&chore);
        table_lock(desk);
        wish_release(chore.wish);
        table_unlock(desk);
    }
    if (did) {
        set_busy(desk, TASK_NONE);
        table_lock(desk);
        table_tell(desk, "rest", NULL, NULL);
        table_unlock(desk);
        table_wake(desk);
    }
    return did;
}
