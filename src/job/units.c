// units.c - see units.h. The one place that starts threads.
#include "job/units.h"

#include "shape/overlay.h"

#include <pthread.h>

#define MAX_THREADS 16

// Parts that a unit shares, in the memory of the thread that runs it.
typedef struct Shared {
    const WorkParts *parts;
    int next, running;
    int failed_part;            // least index; count when none failed
    Error failure;
    struct Shared *before;      // shared earlier, and not done yet
} Shared;

typedef struct WorkCrew {
    const Units *units;
    const atomic_bool *cancel;
    pthread_t caller;
    pthread_mutex_t lock;       // guards all below, and every Shared
    pthread_cond_t changed;     // parts are there to be taken or done, or the last unit is done
    int next;                   // the first unit that nobody has taken
    int done_count;
    int failed_unit;            // least index of a unit that failed; count when none did
    Error failure;
    Shared *shared;             // newest first
    bool is_short;              // of memory, before anything was run: the rest is not begun
} WorkCrew;

// ---- parts ----

// With the lock held; another thread may come in between.
static void run_part(WorkCrew *crew, Shared *shared, Work *work)
{
    int part = shared->next++;
    Error err = {0};
    shared->running++;
    pthread_mutex_unlock(&crew->lock);
    bool fine = shared->parts->run(shared->parts->context, part, work, &err);
    pthread_mutex_lock(&crew->lock);
    shared->running--;
    if (!fine && part < shared->failed_part) {
        shared->failed_part = part;
        shared->failure = err;
        shared->next = shared->parts->count; // what follows would not be looked at
    }
    if (shared->running == 0 && shared->next >= shared->parts->count) pthread_cond_broadcast(&crew->changed);
}

static void forget(WorkCrew *crew, const Shared *shared)
{
    Shared **at = &crew->shared;
    while (*at != shared) at = &(*at)->before;
    *at = shared->before;
}

static bool share(WorkCrew *crew, Work *work, const WorkParts *parts, Error *err)
{
    Shared shared = {.parts = parts, .failed_part = parts->count};
    pthread_mutex_lock(&crew->lock);
    shared.before = crew->shared;
    crew->shared = &shared;
    pthread_cond_broadcast(&crew->changed);
    while (shared.next < parts->count) run_part(crew, &shared, work);
    while (shared.running > 0) pthread_cond_wait(&crew->changed, &crew->lock);
    forget(crew, &shared);
    pthread_mutex_unlock(&crew->lock);
    return shared.failed_part == parts->count || error_set(err, shared.failure.kind, "%s", shared.failure.text);
}

static Shared *with_parts_left(const WorkCrew *crew)
{
    Shared *shared = crew->shared;
    while (shared && shared->next >= shared->parts->count) shared = shared->before;
    return shared;
}

// ---- units ----

static void note_failure(WorkCrew *crew, int unit, const Error *err)
{
    if (unit >= crew->failed_unit) return;
    crew->failed_unit = unit;
    crew->failure = *err;
}

// With the lock held, as above.
static void run_unit(WorkCrew *crew, int unit, Work *work)
{
    const Units *units = crew->units;
    Error err = {0};
    pthread_mutex_unlock(&crew->lock);
    bool fine = units->run(units->context, unit, work, &err);
    arena_rewind(&work->scratch, (ArenaMark){0});
    pthread_mutex_lock(&crew->lock);
    int done_count = ++crew->done_count;
    if (!fine) note_failure(crew, unit, &err);
    if (done_count == units->count) pthread_cond_broadcast(&crew->changed);
    if (!units->done || !pthread_equal(pthread_self(), crew->caller)) return;
    pthread_mutex_unlock(&crew->lock);
    units->done(units->context, done_count);
    pthread_mutex_lock(&crew->lock);
}

// Units first; whoever finds none left takes parts of those that run.
static void take_part(WorkCrew *crew, Work *work)
{
    pthread_mutex_lock(&crew->lock);
    if (pthread_equal(pthread_self(), crew->caller)) run_unit(crew, 0, work);
    while (crew->done_count < crew->units->count && !crew->is_short) {
        Shared *shared = with_parts_left(crew);
        if (crew->next < crew->units->count) run_unit(crew, crew->next++, work);
        else if (shared) run_part(crew, shared, work);
        else pthread_cond_wait(&crew->changed, &crew->lock);
    }
    pthread_mutex_unlock(&crew->lock);
}

static void *member(void *argument)
{
    WorkCrew *crew = argument;
    Work work = {.scratch = arena_make(0), .cancel = crew->cancel, .crew = crew, .share = share};
    Error err = {0};
    if (overlay_create(crew->cancel, &work.overlay, &err)) {
        take_part(crew, &work);
    } else {
        pthread_mutex_lock(&crew->lock);
        note_failure(crew, 0, &err);
        crew->is_short = true;
        pthread_cond_broadcast(&crew->changed);
        pthread_mutex_unlock(&crew->lock);
    }
    overlay_destroy(work.overlay);
    arena_free(&work.scratch);
    return NULL;
}

bool units_run(const Units *units, int threads, const atomic_bool *cancel, Error *err)
{
    WorkCrew crew = {.units = units, .cancel = cancel, .caller = pthread_self(), .next = 1, .failed_unit = units->count};
    if (units->count == 0) return true;
    pthread_mutex_init(&crew.lock, NULL);
    pthread_cond_init(&crew.changed, NULL);
    if (threads > units->count && !units->may_share) threads = units->count;
    if (threads > MAX_THREADS) threads = MAX_THREADS;

    pthread_t helpers[MAX_THREADS];
    int started = 0;
    while (started + 1 < threads && pthread_create(&helpers[started], NULL, member, &crew) == 0) started++;
    member(&crew); // the caller works too, and alone when no thread could be started
    for (int i = 0; i < started; i++) pthread_join(helpers[i], NULL);

    pthread_cond_destroy(&crew.changed);
    pthread_mutex_destroy(&crew.lock);
    if (crew.failed_unit == units->count) return true;
    return error_set(err, crew.failure.kind, "%s", crew.failure.text);
}
