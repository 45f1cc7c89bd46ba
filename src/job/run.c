// run.c - see run.h.
#include "job/run.h"

#include "job/units.h"

#include <stdlib.h>

// Where a stage begins, as a share of the whole; measured on the demo picture, for show only.
static const struct { const char *name; double from; } STAGES[] = {
    {"picture", 0.0},   {"colours", 0.05},          {"outlines", 0.1}, {"layers", 0.2},
    {"seams", 0.3},     {"marks and sheets", 0.55}, {"files", 0.93},   {"", 1.0},
};

void run_tell_share(Run *run, double share_of_stage)
{
    const JobWatch *watch = run->options->watch;
    double from = STAGES[run->stage].from, to = STAGES[run->stage + 1].from;
    if (watch && watch->progress) watch->progress(watch->context, STAGES[run->stage].name, from + share_of_stage * (to - from));
}

bool run_begin(Run *run, RunStage stage, Error *err)
{
    const JobWatch *watch = run->options->watch;
    run->stage = stage;
    if (watch && watch->stage) watch->stage(watch->context, STAGES[stage].name);
    run_tell_share(run, 0.0);
    arena_rewind(&run->work.scratch, (ArenaMark){0});
    run_free_arenas(run);
    return work_goes_on(&run->work, err);
}

bool run_take(Run *run, Key key, size_t value_size_bytes, Kept **out, bool *out_is_new, Error *err)
{
    return version_take(run->version, run->options->others, run->options->other_count, key, value_size_bytes, out, out_is_new, err);
}

bool run_knows(const Run *run, Key key)
{
    bool known = version_find(run->version, key);
    for (int i = 0; i < run->options->other_count && !known; i++) known = version_find(run->options->others[i], key);
    return known;
}

// ---- units ----

bool run_open_arenas(Run *run, int count, Error *err)
{
    int before = run->units.arena_count;
    Arena *all = arena_new(&run->own, Arena, before + count);
    if (!all) return error_memory(err);
    for (int i = 0; i < before + count; i++) all[i] = i < before ? run->units.arenas[i] : arena_make(0);
    run->units.arenas = all;
    run->units.arena_count = before + count;
    return true;
}

void run_free_arenas(Run *run)
{
    for (int i = 0; i < run->units.arena_count; i++) arena_free(&run->units.arenas[i]);
    run->units.arena_count = 0;
}

static void unit_done(void *watcher, int done_count)
{
    Run *run = watcher;
    run_tell_share(run, run->units.share_from + (run->units.share_to - run->units.share_from) * done_count / run->units.count);
}

bool run_units(Run *run, int count, RunUnit *unit, double from, double to, Error *err)
{
    Units units = {count, unit, unit_done, run, run->stage == STAGE_SEAMS};
    run->units.count = count;
    run->units.share_from = from;
    run->units.share_to = to;
    return units_run(&units, run->options->settings->threads, run->work.cancel, err);
}

// ---- tasks ----

bool run_open_tasks(Run *run, int capacity, Error *err)
{
    run->units.task_count = 0;
    run->units.tasks = arena_new(&run->own, Task, capacity);
    return run->units.tasks || error_memory(err);
}

void run_add_task(Run *run, Task task)
{
    run->units.tasks[run->units.task_count++] = task;
}

double run_point_count(const Rings *rings)
{
    double count = 0.0;
    for (int i = 0; i < rings->count; i++) count += rings->items[i].count;
    return count;
}

static int heavier_first(const void *a, const void *b)
{
    const Task *p = a, *q = b;
    if (p->weight != q->weight) return p->weight > q->weight ? -1 : 1;
    if (p->kind != q->kind) return p->kind < q->kind ? -1 : 1;
    return (p->index > q->index) - (p->index < q->index);
}

bool run_tasks(Run *run, RunUnit *unit, Error *err)
{
    qsort(run->units.tasks, (size_t)run->units.task_count, sizeof *run->units.tasks, heavier_first); // the last one to end begins first
    return run_units(run, run->units.task_count, unit, 0.0, 1.0, err);
}
