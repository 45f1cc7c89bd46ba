// nest_strip.c - see nest_strip.h.
#include "nest_strip.h"

#include <math.h>
#include <string.h>
#include <time.h>

#define START_DENSITY 0.55      // of the first try, in which all lie at random
#define EXPLORE_SHARE 0.75      // of the budget
#define STEP_FIRST 0.03
#define STEP_LEAST 0.001        // exploring; a failure halves the step, a success that was cheap raises it
#define COMPRESS_FIRST 0.001
#define COMPRESS_LAST 0.00001
#define PATIENCE_EXPLORE 60
#define PATIENCE_COMPRESS 25
#define OUTSIDE_MM 1e-6
#define SLICE 400               // moves between two looks at the clock

double bench_cpu_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

typedef struct Run {
    const Strip *strip;
    Relax relax;
    Pose *best, *failed, *tried;
    double best_length, failed_total, start_s;
    Rng rng;
} Run;

static double spent(const Run *run)
{
    if (run->strip->moves > 0) return (double)run->relax.moves / (double)run->strip->moves;
    return (bench_cpu_s() - run->start_s) / run->strip->seconds;
}

// A piece longer than the strip lies out of it, and overlaps nothing there.
static bool all_inside(const Run *run)
{
    bool inside = true;
    for (int i = 0; i < run->strip->count; i++) {
        const Body *body = &run->relax.bodies[i];
        inside = inside && body->pose.x + body->cast.hull_x0 >= -OUTSIDE_MM &&
                 body->pose.x + body->cast.hull_x1 <= run->relax.spaces[0].width_mm + OUTSIDE_MM;
    }
    return inside;
}

// Separates in slices while the share of the budget is not spent. What needs no move counts as one: tries without any would never end.
static bool separate(Run *run, int patience, double share, Work *work, bool *out, Error *err)
{
    *out = run->relax.total <= 0;
    if (*out) run->relax.moves++;
    double least = run->relax.total;
    for (int idle = 0; !*out && spent(run) < share && idle < 4; idle++) {
        int64_t before = run->relax.moves;
        if (!relax_separate(&run->relax, run->strip->moves > 0 ? run->strip->moves - before : SLICE * 50, patience, work, out, err)) return false;
        if (run->relax.total < 0.98 * least) idle = -1;
        least = fmin(least, run->relax.total);
        if (run->relax.moves - before < SLICE * 50) break; // it gave up by itself
    }
    *out = *out && all_inside(run);
    return true;
}

static bool begin(Run *run, Work *work, Error *err)
{
    double length = run->strip->area_mm2 / run->strip->width_mm / START_DENSITY;
    for (int i = 0; i < run->strip->count; i++) length = fmax(length, run->strip->solids[i]->diameter_mm);
    bool done = false;
    for (int tries = 0; !done; tries++, length *= 1.1) {
        if (tries > 40) return error_set(err, ERROR_JOB, "no first layout was found");
        relax_set_size(&run->relax, 0, length, run->strip->width_mm);
        for (int i = 0; i < run->strip->count; i++) relax_place(&run->relax, i);
        if (!relax_separate(&run->relax, INT64_MAX / 2, 50, work, &done, err)) return false;
        run->best_length = length;
    }
    relax_get(&run->relax, run->best);
    return true;
}

static double extent(const Run *run)
{
    double most = 0;
    for (int i = 0; i < run->strip->count; i++) {
        const Body *body = &run->relax.bodies[i];
        most = fmax(most, body->pose.x + body->cast.hull_x1);
    }
    return most;
}

static void adopt(Run *run)
{
    relax_get(&run->relax, run->best);
    run->best_length = extent(run);
    run->failed_total = INFINITY;
}

// All right of a place chosen at random moves left by what is taken away.
static void shrink(Run *run, double by)
{
    double length = run->best_length * (1 - by), split = rng_unit(&run->rng) * run->best_length;
    memcpy(run->tried, run->best, (size_t)run->strip->count * sizeof *run->tried);
    for (int i = 0; i < run->strip->count; i++)
        if (run->tried[i].x > split) run->tried[i].x -= run->best_length - length;
    relax_set(&run->relax, run->tried);
    relax_set_size(&run->relax, 0, length, run->strip->width_mm);
}

static bool explore(Run *run, Work *work, Error *err)
{
    double step = STEP_FIRST, length = 0;
    run->failed_total = INFINITY;
    while (spent(run) < EXPLORE_SHARE) {
        if (run->failed_total == INFINITY) {
            shrink(run, step);
            length = run->relax.spaces[0].width_mm;
        } else {
            relax_set(&run->relax, run->failed);
            relax_swap(&run->relax);
        }
        bool done;
        int64_t before = run->relax.moves;
        if (!separate(run, PATIENCE_EXPLORE, EXPLORE_SHARE, work, &done, err)) return false;
        if (done) {
            bool cheap = run->relax.moves - before < 10 * run->strip->count;
            adopt(run);
            step = cheap ? fmin(step * 1.3, STEP_FIRST) : fmax(step * 0.8, STEP_LEAST);
        } else if (run->failed_total == INFINITY && step > STEP_LEAST) {
            step = fmax(step / 2, STEP_LEAST); // the step was too bold: try half of it before any swap
        } else if (run->relax.total < run->failed_total * 1.2 || rng_below(&run->rng, 4) == 0) {
            run->failed_total = run->relax.total;
            relax_get(&run->relax, run->failed);
        }
    }
    (void)length;
    return true;
}

static bool compress(Run *run, Work *work, Error *err)
{
    for (double at = spent(run); at < 1; at = spent(run)) {
        double t = fmin(1, fmax(0, (at - EXPLORE_SHARE) / (1 - EXPLORE_SHARE)));
        shrink(run, COMPRESS_FIRST * pow(COMPRESS_LAST / COMPRESS_FIRST, t));
        bool done;
        if (!separate(run, PATIENCE_COMPRESS, 1, work, &done, err)) return false;
        if (done) adopt(run);
    }
    return true;
}

bool strip_nest(const Strip *strip, Arena *keep, Work *work, StripAnswer *out, Error *err)
{
    Run run = {.strip = strip, .start_s = bench_cpu_s(), .rng = rng_make(strip->seed + 1)};
    run.best = arena_new(keep, Pose, strip->count);
    run.failed = arena_new(keep, Pose, strip->count);
    run.tried = arena_new(keep, Pose, strip->count);
    if (!run.best || !run.failed || !run.tried) return error_memory(err);
    Space space = {strip->width_mm, strip->width_mm, 0, false};
    for (int i = 0; i < strip->count; i++) {
        run.tried[i] = (Pose){0, strip->solids[i]->turns[0], 0, 0};
        space.width_mm = fmax(space.width_mm, strip->solids[i]->diameter_mm);
    }
    if (!relax_open(strip->solids, run.tried, strip->count, space, 1, strip->seed, keep, &run.relax, err)) return false;
    run.relax.free_turns = strip->free_turns;
    if (!begin(&run, work, err) || !explore(&run, work, err) || !compress(&run, work, err)) return false;
    *out = (StripAnswer){run.best, run.best_length, run.relax.moves, bench_cpu_s() - run.start_s};
    return true;
}
