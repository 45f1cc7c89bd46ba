// rows.c - job_rows of job.h: rows of a comparison side by side.
// What comes before the paper is computed once, with all threads; then each row is a unit with one thread, small sheets first,
// as they make the most pieces.
#include "job/answer.h"
#include "job/job.h"
#include "job/units.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SHARED_PART 0.3         // about where seams begin, for show only

static const EditList NO_EDITS;

typedef struct RowUnit {
    JobRow *row;
    Settings settings;
    Version *version;
    Job answer;
    int index;
} RowUnit;

typedef struct Rows {
    const Job *job;
    const EditList *edits;
    JobWatch quiet;             // stages of rows side by side are no news
    const JobWatch *watch;
    Version *const *others;
    int other_count;
    RowUnit *units;
    int count;
} Rows;

static bool is_of_the_row(const Error *problem)
{
    return problem->kind == ERROR_JOB || problem->kind == ERROR_USAGE;
}

static bool run_row(void *context, int index, Work *work, Error *err)
{
    Rows *rows = context;
    RowUnit *unit = &rows->units[index];
    AnswerOptions options = {.settings = &unit->settings, .edits = rows->edits, .watch = &rows->quiet, .others = rows->others,
                             .other_count = rows->other_count, .only_numbers = true};
    if (!work_goes_on(work, err) || !version_create(&unit->version, err)) return false;
    Error problem = {0};
    if (answer_make(rows->job, &options, unit->version, &unit->answer, &problem)) return true;
    if (is_of_the_row(&problem)) {
        unit->row->why = problem;
        return true;
    }
    *err = problem;
    return false;
}

static void tell_done(void *context, int done_count)
{
    Rows *rows = context;
    if (rows->watch && rows->watch->progress) rows->watch->progress(rows->watch->context, "papers", SHARED_PART + (1.0 - SHARED_PART) * done_count / rows->count);
}

static double sheet_area(const RowUnit *unit)
{
    const Paper *paper = &unit->settings.papers[0].paper;
    return unit->settings.paper_count > 0 ? paper->width_mm * paper->height_mm : 0.0;
}

static int by_area(const void *a, const void *b)
{
    const RowUnit *x = a, *y = b;
    double p = sheet_area(x), q = sheet_area(y);
    return p != q ? (p > q) - (p < q) : x->index - y->index;
}

// The picture's part of the first row that could be: what the others have the same they take over. False only where nothing
// more can be done.
static bool share(Job *job, const JobRow *rows, int count, const EditList *edits, const JobWatch *watch, Error *err)
{
    Error problem = {0};
    Version *version, *const others[3] = {job->version, job->colours, job->offered};
    Job answer;
    int first = 0;
    while (first < count && !settings_check(&rows[first].settings, &problem)) first++;
    if (first == count) return true;
    AnswerOptions options = {.settings = &rows[first].settings, .edits = edits, .watch = watch, .others = others, .other_count = 3,
                             .only_layers = true};
    if (!version_create(&version, err)) return false;
    if (answer_make(job, &options, version, &answer, &problem)) {
        version_destroy(job->offered);
        job->offered = version;
        return true;
    }
    version_destroy(version);
    if (is_of_the_row(&problem)) return true; // each row tells it
    *err = problem;
    return false;
}

static bool copy_numbers(const FileSet *from, Arena *keep, FileSet *out, Error *err)
{
    *out = (FileSet){arena_new(keep, FileBytes, from->count), 0};
    if (!out->items) return error_memory(err);
    for (; out->count < from->count; out->count++) {
        const FileBytes *file = &from->items[out->count];
        FileBytes copy = {arena_text(keep, file->name), arena_copy(keep, file->bytes, file->size_bytes, 1), file->size_bytes};
        if (!copy.name || !copy.bytes) return error_memory(err);
        out->items[out->count] = copy;
    }
    return true;
}

static bool run_rows(Rows *rows, JobRow *items, Arena *keep, Error *err)
{
    int threads = items[0].settings.threads;
    for (int i = 0; i < rows->count; i++) {
        items[i].kit = (FileSet){0};
        items[i].why = (Error){0};
        rows->units[i] = (RowUnit){.row = &items[i], .settings = items[i].settings, .index = i};
        if (rows->count > 1) rows->units[i].settings.threads = 1;
    }
    qsort(rows->units, (size_t)rows->count, sizeof *rows->units, by_area);
    bool done = units_run(&(Units){rows->count, run_row, tell_done, rows, false}, rows->count > 1 ? threads : 1, rows->quiet.cancel, err);
    for (int i = 0; i < rows->count; i++) {
        RowUnit *unit = &rows->units[i];
        done = done && (unit->row->why.kind != ERROR_NONE || copy_numbers(&unit->answer.kit, keep, &unit->row->kit, err));
        version_destroy(unit->version);
    }
    return done;
}

bool job_rows(Job *job, JobRow *items, int count, const EditList *edits, const JobWatch *watch, Arena *keep, Error *err)
{
    if (count == 0) return true;
    Arena own = arena_make(0);
    Rows rows = {.job = job, .edits = edits ? edits : &NO_EDITS, .quiet = {.cancel = watch ? watch->cancel : NULL}, .watch = watch,
                 .units = arena_new(&own, RowUnit, count), .count = count};
    bool done = rows.units ? share(job, items, count, rows.edits, watch, err) : error_memory(err);
    Version *const others[3] = {job->version, job->colours, job->offered};
    rows.others = others;
    rows.other_count = 3;
    if (done && watch && watch->stage) watch->stage(watch->context, "papers");
    done = done && run_rows(&rows, items, keep, err);
    arena_free(&own);
    return done;
}

bool job_row_is_best(const double *values, int count, int index)
{
    bool more = false;
    if (isnan(values[index])) return false;
    for (int i = 0; i < count; i++) {
        if (isnan(values[i])) continue;
        if (values[i] < values[index] - 1e-9) return false;
        more = more || values[i] > values[index] + 1e-9;
    }
    return more;
}
