// units.c - see units.h. The one place that starts threads.
#include "job/units.h"

#include "shape/overlay.h"

#include <pthread.h>

#define MAX_THREADS 16

typedef struct Crew {
    const Units *units;
    const atomic_bool *cancel;
    pthread_t caller;
    atomic_int next;            // the first unit that nobody has taken
    atomic_int done_count;
    pthread_mutex_t lock;       // guards the two below
    int failed_unit;            // least index of a unit that failed; count when none did
    Error failure;
} Crew;

static void note_failure(Crew *crew, int unit, const Error *err)
{
    pthread_mutex_lock(&crew->lock);
    if (unit < crew->failed_unit) {
        crew->failed_unit = unit;
        crew->failure = *err;
    }
    pthread_mutex_unlock(&crew->lock);
}

static void take_units(Crew *crew, Work *work)
{
    const Units *units = crew->units;
    int unit = pthread_equal(pthread_self(), crew->caller) ? 0 : atomic_fetch_add(&crew->next, 1);
    for (; unit < units->count; unit = atomic_fetch_add(&crew->next, 1)) {
        Error err = {0};
        if (!units->run(units->context, unit, work, &err)) note_failure(crew, unit, &err);
        arena_rewind(&work->scratch, (ArenaMark){0});
        int done_count = atomic_fetch_add(&crew->done_count, 1) + 1;
        if (units->done && pthread_equal(pthread_self(), crew->caller)) units->done(units->context, done_count);
    }
}

static void *member(void *argument)
{
    Crew *crew = argument;
    Work work = {.scratch = arena_make(0), .cancel = crew->cancel};
    Error err = {0};
    if (overlay_create(crew->cancel, &work.overlay, &err)) {
        take_units(crew, &work);
    } else {
        note_failure(crew, 0, &err);
    }
    overlay_destroy(work.overlay);
    arena_free(&work.scratch);
    return NULL;
}

bool units_run(const Units *units, int threads, const atomic_bool *cancel, Error *err)
{
    Crew crew = {.units = units, .cancel = cancel, .caller = pthread_self(), .next = 1, .failed_unit = units->count};
    if (units->count == 0) return true;
    pthread_mutex_init(&crew.lock, NULL);
    if (threads > units->count) threads = units->count;
    if (threads > MAX_THREADS) threads = MAX_THREADS;

    pthread_t helpers[MAX_THREADS];
    int started = 0;
    while (started + 1 < threads && pthread_create(&helpers[started], NULL, member, &crew) == 0) started++;
    member(&crew); // the caller works too, and alone when no thread could be started
    for (int i = 0; i < started; i++) pthread_join(helpers[i], NULL);

    pthread_mutex_destroy(&crew.lock);
    if (crew.failed_unit == units->count) return true;
    return error_set(err, crew.failure.kind, "%s", crew.failure.text);
}
