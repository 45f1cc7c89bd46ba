// units.c - see units.h. The one place that starts threads.
#include "job/units.h"

#include "shape/overlay.h"

#include <pthread.h>

#define MAX_THREADS 16

typedef struct Crew {
    UnitRun run;
    void *context;
    Arena *keeps;
    const atomic_bool *cancel;
    int count;
    atomic_int next;            // the first unit that nobody has taken
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
    for (;;) {
        int unit = atomic_fetch_add(&crew->next, 1);
        if (unit >= crew->count) return;
        Error err = {0};
        if (!crew->run(crew->context, unit, &crew->keeps[unit], work, &err)) note_failure(crew, unit, &err);
        arena_rewind(&work->scratch, (ArenaMark){0});
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

bool units_run(int count, int threads, UnitRun run, void *context, Arena *keeps, const atomic_bool *cancel, Error *err)
{
    Crew crew = {.run = run, .context = context, .keeps = keeps, .cancel = cancel, .count = count, .failed_unit = count};
    pthread_mutex_init(&crew.lock, NULL);
    if (threads > count) threads = count;
    if (threads > MAX_THREADS) threads = MAX_THREADS;

    pthread_t helpers[MAX_THREADS];
    int started = 0;
    while (started + 1 < threads && pthread_create(&helpers[started], NULL, member, &crew) == 0) started++;
    member(&crew); // the caller works too, and alone when no thread could be started
    for (int i = 0; i < started; i++) pthread_join(helpers[i], NULL);

    pthread_mutex_destroy(&crew.lock);
    if (crew.failed_unit == count) return true;
    return error_set(err, crew.failure.kind, "%s", crew.failure.text);
}
