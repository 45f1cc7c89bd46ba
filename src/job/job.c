// job.c - versions of one undertaking: the new one is made beside the old one, and takes its place when it is whole.
#include "job/job.h"

#include "job/answer.h"
#include "job/freeze.h"
#include "job/offers.h"
#include "job/units.h"

#include <stdio.h>
#include <string.h>

static const EditList NO_EDITS;

static bool copy_input(const JobInput *input, Arena *own, JobInput *out, Error *err)
{
    *out = (JobInput){
        .bytes = arena_copy(own, input->bytes, input->size_bytes, 1),
        .size_bytes = input->size_bytes,
        .shown_name = arena_text(own, input->shown_name),
        .kit_name = arena_text(own, input->kit_name),
        .child_program = input->child_program ? arena_text(own, input->child_program) : NULL,
    };
    if (out->bytes && out->shown_name && out->kit_name && (out->child_program || !input->child_program)) return true;
    return error_memory(err);
}

bool job_create(const JobInput *input, Job *out, Error *err)
{
    *out = (Job){.own = arena_make(0)};
    Hasher hasher = hasher_make("bytes");
    if (!copy_input(input, &out->own, &out->input, err)) {
        job_free(out);
        return false;
    }
    hash_bytes(&hasher, input->bytes, input->size_bytes);
    out->bytes_key = hasher_key(&hasher);
    return true;
}

// The new version takes the place of the old one; an answer of colours alone stands beside the last whole one, so that
// what that computed is not lost.
static void replace(Job *job, const Job *answer, Version *version, bool only_colours)
{
    Job next = *answer;
    next.input = job->input;
    next.bytes_key = job->bytes_key;
    next.own = job->own;
    next.version = only_colours ? job->version : version;
    next.colours = only_colours ? version : NULL;
    next.offered = only_colours ? job->offered : NULL;
    if (!only_colours) {
        version_destroy(job->version);
        version_destroy(job->offered);
    }
    version_destroy(job->colours);
    *job = next;
}

static bool make_version(const Job *job, const AnswerOptions *options, Version **out, Job *answer, Error *err)
{
    if (!version_create(out, err)) return false;
    if (answer_make(job, options, *out, answer, err)) return true;
    version_destroy(*out);
    *out = NULL;
    return false;
}

static bool show_first(const Job *job, AnswerOptions options, Version **out, Error *err)
{
    Job answer;
    options.unrefined = true;
    if (!make_version(job, &options, out, &answer, err)) return false;
    options.watch->first_answer(options.watch->context, &answer);
    return true;
}

// What the first answer computed and the whole one needs is taken over.
static bool compute(Job *job, AnswerOptions options, Error *err)
{
    Version *first = NULL, *whole = NULL;
    Job answer;
    bool wants_first = options.watch && options.watch->first_answer && !options.only_colours;
    bool done = !wants_first || show_first(job, options, &first, err);
    Version *others[4] = {job->version, job->colours, job->offered, first};
    options.others = others;
    options.other_count = 4;
    done = done && make_version(job, &options, &whole, &answer, err);
    version_destroy(first);
    if (done) replace(job, &answer, whole, options.only_colours);
    return done;
}

static bool start(Job *job, AnswerOptions options, Error *err)
{
    Version *const others[3] = {job->version, job->colours, job->offered};
    if (!options.edits) options.edits = &NO_EDITS;
    options.others = others;
    options.other_count = 3;
    return compute(job, options, err);
}

bool job_colours(Job *job, const Settings *settings, const EditList *edits, const JobWatch *watch, Error *err)
{
    return start(job, (AnswerOptions){.settings = settings, .edits = edits, .watch = watch, .only_colours = true}, err);
}

bool job_update(Job *job, const Settings *settings, const EditList *edits, const JobWatch *watch, Error *err)
{
    return start(job, (AnswerOptions){.settings = settings, .edits = edits, .watch = watch}, err);
}

bool job_answer(Job *job, const Settings *settings, const EditList *edits, const JobWatch *watch, Error *err)
{
    return start(job, (AnswerOptions){.settings = settings, .edits = edits, .watch = watch, .only_kit_json = true}, err);
}

bool job_numbers(Job *job, const Settings *settings, const EditList *edits, const JobWatch *watch, Error *err)
{
    return start(job, (AnswerOptions){.settings = settings, .edits = edits, .watch = watch, .only_numbers = true}, err);
}

bool job_offers(Job *job, const Settings *settings, const EditList *edits, const JobWatch *watch, JobOffers *out, Error *err)
{
    JobWatch quiet = {.cancel = watch ? watch->cancel : NULL}; // stages that are taken over are no news
    Version *version, *const others[3] = {job->version, job->colours, job->offered};
    AnswerOptions options = {.settings = settings, .edits = edits ? edits : &NO_EDITS, .watch = &quiet,
                             .others = others, .other_count = 3};
    *out = (JobOffers){0};
    if (watch && watch->stage) watch->stage(watch->context, "offers");
    if (!version_create(&version, err)) return false;
    bool done = offers_make(job, &options, version, out, err);
    if (done) version_destroy(job->offered);
    else version_destroy(version);
    if (done) job->offered = version;
    if (!done) *out = (JobOffers){0};
    return done;
}

bool job_build(const JobInput *input, const Settings *settings, const JobWatch *watch, Job *out, Error *err)
{
    return job_create(input, out, err) && job_update(out, settings, NULL, watch, err);
}

bool job_freeze(const Job *job, const char *const *piece_ids, int count, Arena *keep, EditList *edits, Error *err)
{
    if (job->kit.count == 0) return error_set(err, ERROR_JOB, "there are no pieces yet");
    return freeze_capture(&job->kit, job->height_mm, piece_ids, count, keep, edits, err);
}

bool job_find_colour(const Job *job, const char *word, Srgb8 *out, Error *err)
{
    const Separation *separation = &job->separation;
    if (edit_parse_colour(word, out)) return true;
    for (int i = 0; i < separation->colour_count; i++) {
        if (strcmp(separation->colours[i].name, word) != 0) continue;
        *out = separation->colours[i].colour;
        return true;
    }
    char names[256] = "";
    for (int i = 0; i < separation->colour_count; i++) {
        size_t used = strlen(names);
        if (used + 40 < sizeof names)
            snprintf(names + used, sizeof names - used, "%s%s", i ? ", " : "", separation->colours[i].name);
    }
    return error_set(err, ERROR_USAGE, "there is no colour '%.40s' in this picture; there are %s, or say it as #1d2f5a", word, names);
}

FigurePoint job_place(const Job *job, double x_mm, double y_mm)
{
    FigureFrame frame = figure_frame(&job->separation, &job->outlines);
    return (FigurePoint){(x_mm - frame.left_mm) / frame.height_mm, (y_mm - frame.top_mm) / frame.height_mm};
}

size_t job_held_bytes(const Job *job)
{
    return job->own.held_bytes + version_held_bytes(job->version, NULL) + version_held_bytes(job->colours, job->version) +
           version_held_bytes(job->offered, job->version);
}

typedef struct Proving {
    ProofMaking *making;
    Arena *arenas; // one a unit
    Arena own;
} Proving;

static bool prove_unit(void *context, int unit, Work *work, Error *err)
{
    Proving *proving = context;
    return proof_unit(proving->making, unit, &proving->arenas[unit], work, err);
}

static bool prove_units(Proving *proving, int threads, const atomic_bool *cancel, Error *err)
{
    int count = proof_unit_count(proving->making);
    proving->arenas = arena_new(&proving->own, Arena, count);
    if (!proving->arenas) return error_memory(err);
    for (int i = 0; i < count; i++) proving->arenas[i] = arena_make(0);
    return units_run(&(Units){count, prove_unit, NULL, proving, false}, threads, cancel, err);
}

bool job_prove(const FileSet *files, int threads, const JobWatch *watch, Arena *keep, Proof *out, Error *err)
{
    *out = (Proof){0};
    if (watch && watch->stage) watch->stage(watch->context, "proof");
    Proving proving = {.own = arena_make(0)};
    Work work = {.scratch = arena_make(0), .cancel = watch ? watch->cancel : NULL};
    bool done = proof_begin(files, &proving.own, &work, &proving.making, err) &&
                prove_units(&proving, threads, work.cancel, err) &&
                proof_end(proving.making, keep, &proving.own, &work, out, err);
    for (int i = 0; proving.arenas && i < proof_unit_count(proving.making); i++) arena_free(&proving.arenas[i]);
    arena_free(&proving.own);
    arena_free(&work.scratch);
    return done;
}

void job_free(Job *job)
{
    version_destroy(job->version);
    version_destroy(job->offered);
    version_destroy(job->colours);
    arena_free(&job->own);
    *job = (Job){0};
}
