// answer.c - see answer.h.
// The story alone: what is one value for the whole picture (whole.h), layers and papers as units (pieces.h, sheets.h), files.
#include "job/answer.h"

#include "job/freeze.h"
#include "job/output.h"
#include "job/pieces.h"
#include "job/raised.h"
#include "job/sheets.h"
#include "job/strips.h"
#include "job/whole.h"
#include "shape/overlay.h"

static bool check_sizes(const Run *run, Error *err)
{
    Settings asked = *run->options->settings;
    asked.border_mm = run->replay.border_mm;
    return settings_check(&asked, err) && freeze_check(run->options->edits, asked.height_mm, NULL, err);
}

static bool make_files(Run *run, Error *err)
{
    return sheets_make(run, err) && strips_make(run, err) && raised_make(run, err) && output_findings(run, err) && (run->options->unrefined || output_kit(run, err));
}

static bool make(Run *run, Error *err)
{
    Key content;
    const Settings *settings = run->options->settings;
    bool only_colours = run->options->only_colours;
    if (!replay_start(settings, run->options->edits, &run->version->arena, &run->replay, err)) return false;
    if (!only_colours && !check_sizes(run, err)) return false;
    if (!whole_picture(run, err) || !whole_colours(run, &content, err)) return false;
    if (only_colours) return true;
    run->out->height_mm = settings->height_mm;
    if (!whole_outlines(run, content, err) || !whole_layers(run, err)) return false;
    return run->options->only_layers || (pieces_make(run, err) && (run->options->only_pieces || make_files(run, err)));
}

bool answer_make(const Job *job, const AnswerOptions *options, Version *version, Job *out, Error *err)
{
    const atomic_bool *cancel = options->watch ? options->watch->cancel : NULL;
    Run run = {.job = job, .options = options, .version = version, .out = out, .own = arena_make(0),
               .work = {.scratch = arena_make(0), .cancel = cancel}};
    *out = (Job){0};
    bool done = overlay_create(cancel, &run.work.overlay, err) && make(&run, err);
    run_free_arenas(&run);
    overlay_destroy(run.work.overlay);
    arena_free(&run.work.scratch);
    arena_free(&run.own);
    if (!done) *out = (Job){0};
    return done;
}
