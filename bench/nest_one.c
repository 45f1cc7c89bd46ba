// nest_one.c - see nest_one.h.
//   nest-bench INSTANCE.json (--seconds S | --moves M) --seed N --rotations file|90|free --out LAYOUT.json [--sheets N]
//   nest-bench --folder FOLDER (--seconds S | --moves M) --seed N --rotations file|90|free [--out FOLDER] [--bound pairs]
// Seconds are of the processor: a machine that does other things too finds no less.
// With --sheets N no more are there, and what finds no place on them is left over: told, and missing from the placements.
// A placement turns the outline about its own origin by angle_deg, then shifts it by x, y, in the instance's own units.
#include "nest_one.h"

#include "nest/check.h"
#include "nest/nest.h"
#include "nest_read.h"
#include "nest_strip.h"
#include "shape/overlay.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define BIN_ORDERS 6
#define BIN_SLICE 20000        // moves between two looks at the clock: what is learnt is lost between slices

typedef struct Asked {
    const char *instance, *rotations, *out;
    double seconds;
    bool pairs;                         // of the bound: it takes minutes
    int64_t moves;
    uint64_t seed;
    int sheets;                         // 0: as many as it takes
} Asked;

typedef struct Put {
    int sheet;
    Fit turn;
    double x, y;                // shift, in the instance's units
} Put;

static bool fail(const char *text)
{
    fprintf(stderr, "nest-bench: %s\n", text);
    return false;
}

static bool whole_number(const char *text, int64_t *out)
{
    char *end;
    *out = strtoll(text, &end, 10);
    return end != text && *end == '\0' && *out >= 0;
}

static bool read_asked(int argc, char **argv, Asked *out)
{
    *out = (Asked){.instance = argv[1], .rotations = "file", .seed = 1, .seconds = 10};
    for (int i = 2; i < argc; i += 2) {
        if (i + 1 >= argc) return fail("an option has no value");
        const char *value = argv[i + 1];
        int64_t whole = 0;
        bool good = true;
        if (strcmp(argv[i], "--seconds") == 0) good = (out->seconds = strtod(value, NULL)) > 0;
        else if (strcmp(argv[i], "--moves") == 0) good = whole_number(value, &out->moves) && out->moves > 0;
        else if (strcmp(argv[i], "--seed") == 0) good = whole_number(value, &whole), out->seed = (uint64_t)whole;
        else if (strcmp(argv[i], "--sheets") == 0) good = whole_number(value, &whole) && whole > 0 && whole < 100000, out->sheets = (int)whole;
        else if (strcmp(argv[i], "--rotations") == 0) out->rotations = value;
        else if (strcmp(argv[i], "--out") == 0) out->out = value;
        else if (strcmp(argv[i], "--bound") == 0) out->pairs = strcmp(value, "pairs") == 0;
        else return fail("INSTANCE.json (--seconds S | --moves M) --seed N --rotations file|90|free --out LAYOUT.json [--sheets N]");
        if (!good) return fprintf(stderr, "nest-bench: %s takes a number of more than 0, not '%s'\n", argv[i], value), false;
    }
    if (strcmp(out->rotations, "file") != 0 && strcmp(out->rotations, "90") != 0 && strcmp(out->rotations, "free") != 0)
        return fail("--rotations takes file, 90 or free");
    return true;
}

// Named before the search, in the instance's own units.
static bool fits_not(const Instance *instance, const One *one, const char *what, Error *err)
{
    Box box = rings_box(one->rings);
    double w = box_width_mm(box) / instance->scale, h = box_height_mm(box) / instance->scale;
    if (instance->strip > 0) return error_set(err, ERROR_JOB, "item %ld (%g x %g) fits no %s of %g at any allowed angle", one->id, w, h, what, instance->strip);
    return error_set(err, ERROR_JOB, "item %ld (%g x %g) fits no %s of %g x %g at any allowed angle", one->id, w, h, what, instance->sheet[0], instance->sheet[1]);
}

// --- strips ---

static bool make_solids(Instance *instance, Arena *keep, Work *work, const Solid ***out, Error *err)
{
    const Solid **solids = arena_new(keep, const Solid *, instance->count);
    if (!solids) return error_memory(err);
    for (int i = 0; i < instance->count; i++) {
        One *one = &instance->ones[i];
        if (i > 0 && instance->ones[i - 1].rings == one->rings) {
            one->solid = instance->ones[i - 1].solid;
        } else {
            Solid *solid = arena_new(keep, Solid, 1);
            if (!solid) return error_memory(err);
            if (!solid_make(one->rings, 0, keep, work, solid, err)) return false;
            Fit *turns = arena_new(keep, Fit, instance->turn_count);
            if (!turns) return error_memory(err);
            for (int t = 0; t < instance->turn_count; t++) {
                double least = INFINITY, most = -INFINITY;
                for (int h = 0; h < solid->hull_count; h++) {
                    double y = solid->hull[h].x * instance->turns[t].sin + solid->hull[h].y * instance->turns[t].cos;
                    least = fmin(least, y), most = fmax(most, y);
                }
                if (most - least <= NEST_SCALED_MM + 1e-6) turns[solid->turn_count++] = instance->turns[t];
            }
            solid->turns = turns;
            if (solid->turn_count == 0)
                return fits_not(instance, one, "strip", err);
            one->solid = solid;
        }
        solids[i] = one->solid;
    }
    *out = solids;
    return true;
}

static bool run_strip(const Asked *asked, Instance *instance, Arena *keep, Work *work, Put *puts, double *length, int64_t *moves,
                      double *seconds, Error *err)
{
    const Solid **solids = NULL;
    if (!make_solids(instance, keep, work, &solids, err)) return false;
    Strip strip = {solids, instance->count, NEST_SCALED_MM, instance->area_mm2, instance->free_turns, asked->seconds, asked->moves, asked->seed};
    StripAnswer answer;
    if (instance->count > RELAX_MOST) return error_set(err, ERROR_JOB, "%d pieces; a strip takes at most %d", instance->count, RELAX_MOST);
    if (!strip_nest(&strip, keep, work, &answer, err)) return false;
    NestItem *items = arena_new(keep, NestItem, instance->count);
    NestPlace *places = arena_new(keep, NestPlace, instance->count);
    bool *bad = arena_new(keep, bool, instance->count);
    if (!items || !places || !bad) return error_memory(err);
    for (int i = 0; i < instance->count; i++) {
        Pose p = answer.poses[i];
        const double *o = instance->ones[i].solid->origin_mm;
        double x = p.x - (o[0] * p.turn.cos - o[1] * p.turn.sin), y = p.y - (o[0] * p.turn.sin + o[1] * p.turn.cos);
        puts[i] = (Put){0, p.turn, x / instance->scale, y / instance->scale};
        items[i] = (NestItem){instance->ones[i].rings, {1, 0}};
        places[i] = (NestPlace){0, {p.turn.cos, p.turn.sin, -p.turn.sin, p.turn.cos, x, y}};
    }
    NestOptions options = {.space = {answer.length_mm, NEST_SCALED_MM, 0, false}};
    if (!nest_check(items, instance->count, &options, places, work, bad, err)) return false;
    for (int i = 0; i < instance->count; i++)
        if (bad[i]) return error_set(err, ERROR_PROOF, "the check refuses copy %d of item %ld", instance->ones[i].copy, instance->ones[i].id);
    *length = answer.length_mm / instance->scale;
    *moves = answer.moves;
    *seconds = answer.seconds;
    return true;
}

// --- bins ---

static bool turn_of(const Asked *asked, const Instance *instance, NestTurn *out, Error *err)
{
    if (instance->free_turns) *out = NEST_TURN_FREE;
    else if (strcmp(asked->rotations, "90") == 0 || instance->turn_count == 4) *out = NEST_TURN_QUARTERS;
    else if (instance->turn_count == 2) *out = NEST_TURN_HALVES;
    else if (instance->turn_count == 1) *out = NEST_TURN_NONE;
    else return error_set(err, ERROR_INPUT, "%d allowed angles; sheets know 1, 2, 4 or all", instance->turn_count);
    return true;
}

// Some large pieces fit at one angle alone.
static bool fit_of(const Rings *rings, Space space, Arena *keep, Fit *out, Error *err)
{
    int count;
    Point *hull = hull_make(rings->items[0].points, rings->items[0].count, keep, &count);
    if (!hull) return error_memory(err);
    if (!hull_fits(hull, count, space, out)) *out = (Fit){1, 0};
    return true;
}

static bool fits(const Instance *instance, int i, const NestItem *item, const NestOptions *options, Arena *keep, Work *work, Error *err)
{
    Fit *turns;
    int count;
    if (!shape_turns(item, options, keep, work, &turns, &count, err)) return false;
    return count > 0 ? true : fits_not(instance, &instance->ones[i], "sheet", err);
}

// The bound is checked by each layout: two that it keeps apart never share a sheet.
static bool bound_holds(const Instance *instance, const NestResult *result, Error *err)
{
    if (result->sheet_count < instance->bound.by_pairs)
        return error_set(err, ERROR_PROOF, "%d sheets, and the bound says %d", result->sheet_count, instance->bound.by_pairs);
    for (int i = 0; i < instance->count && instance->bound.can; i++)
        for (int j = 0; j < i; j++)
            if (result->places[i].sheet == result->places[j].sheet && !instance->bound.can[i * instance->count + j])
                return error_set(err, ERROR_PROOF, "items %ld and %ld share a sheet, and the bound says they cannot", instance->ones[i].id, instance->ones[j].id);
    return true;
}

static bool run_bin(const Asked *asked, Instance *instance, Arena *keep, Work *work, Put *puts, int *sheets, int64_t *moves,
                    double *seconds, Error *err)
{
    NestOptions options = {.paper = {.id = "the instance"}, .space = {instance->sheet[0] * instance->scale, instance->sheet[1] * instance->scale, instance->corner_mm, false},
                           .gap_mm = instance->gap_mm, .orders = BIN_ORDERS, .seed = asked->seed, .most_sheets = asked->sheets};
    NestItem *items = arena_new(keep, NestItem, instance->count);
    bool *bad = arena_new(keep, bool, instance->count);
    if (!items || !bad) return error_memory(err);
    for (int i = 0; i < instance->count; i++) {
        items[i] = (NestItem){instance->ones[i].rings, {1, 0}};
        if (instance->free_turns && !fit_of(items[i].rings, options.space, keep, &items[i].fit, err)) return false;
    }
    NestResult best, next;
    double start = bench_cpu_s();
    if (!turn_of(asked, instance, &options.turn, err)) return false;
    for (int i = 0; i < instance->count; i++)
        if (!fits(instance, i, &items[i], &options, keep, work, err)) return false;
    if (!nest_bound(items, instance->count, &options, asked->pairs, keep, work, &instance->bound, err)) return false;
    start = bench_cpu_s();
    if (!nest_start(items, instance->count, &options, keep, work, &best, err)) return false;
    instance->first_sheets = best.sheet_count;
    instance->first_s = bench_cpu_s() - start;
    *moves = 0;
    for (uint64_t slice = 0; asked->moves > 0 ? *moves < asked->moves : bench_cpu_s() - start < asked->seconds; slice++) {
        int64_t now = asked->moves > 0 && asked->moves - *moves < BIN_SLICE ? asked->moves - *moves : BIN_SLICE;
        if (!nest_improve(items, instance->count, &options, &best, now, asked->seed + slice, keep, work, &next, err)) return false;
        best = next;
        *moves += now;
    }
    *seconds = bench_cpu_s() - start;
    if (!nest_check(items, instance->count, &options, best.places, work, bad, err)) return false;
    for (int i = 0; i < instance->count; i++) {
        const double *m = best.places[i].to_sheet;
        if (bad[i]) return error_set(err, ERROR_PROOF, "the check refuses copy %d of item %ld", instance->ones[i].copy, instance->ones[i].id);
        if (best.places[i].sheet == NEST_LEFT_OVER) instance->area_mm2 -= rings_area_mm2(items[i].rings);
        puts[i] = (Put){best.places[i].sheet, {m[0], m[1]}, m[4] / instance->scale, m[5] / instance->scale};
    }
    *sheets = best.sheet_count;
    instance->left_over = best.left_over;
    return best.left_over > 0 || bound_holds(instance, &best, err);
}

// --- writing ---

static bool write_layout(const char *path, const Instance *instance, const Put *puts, double extent, double density, double seconds,
                         int64_t moves)
{
    FILE *file = path ? fopen(path, "w") : stdout;
    if (!file) return fprintf(stderr, "nest-bench: %s cannot be written\n", path), false;
    fprintf(file, "{\"name\": \"%s\", \"density_percent\": %.4f, ", instance->name, density);
    if (instance->strip > 0) fprintf(file, "\"length\": %.9g, ", extent);
    else fprintf(file, "\"sheets\": %d, ", (int)extent);
    fprintf(file, "\"seconds\": %.2f, \"moves\": %lld, \"placements\": [", seconds, (long long)moves);
    const char *before = "";
    for (int i = 0; i < instance->count; i++) {
        if (puts[i].sheet == NEST_LEFT_OVER) continue;
        fprintf(file, "%s\n  {\"id\": %ld, \"copy\": %d, \"sheet\": %d, \"angle_deg\": %.12g, \"x\": %.12g, \"y\": %.12g}", before,
                instance->ones[i].id, instance->ones[i].copy, puts[i].sheet, atan2(puts[i].turn.sin, puts[i].turn.cos) * 180 / acos(-1.0),
                puts[i].x, puts[i].y);
        before = ",";
    }
    fprintf(file, "]}\n");
    return path ? fclose(file) == 0 : true;
}

static double density(const Instance *instance, double extent)
{
    double room = instance->strip > 0 ? extent * instance->strip : extent * instance->sheet[0] * instance->sheet[1];
    return instance->area_mm2 / instance->scale / instance->scale / room * 100;
}

// 0 when the layout is written.
static int run(const Asked *asked, Instance *instance, Arena *keep, Work *work)
{
    Error err = {0};
    Put *puts = arena_new(keep, Put, instance->count);
    double extent = 0, seconds = 0;
    int64_t moves = 0;
    int sheets = 0;
    bool strip = instance->strip > 0, done = puts != NULL;
    if (done && strip) done = run_strip(asked, instance, keep, work, puts, &extent, &moves, &seconds, &err);
    else if (done) done = run_bin(asked, instance, keep, work, puts, &sheets, &moves, &seconds, &err);
    if (!done) {
        fprintf(stderr, "nest-bench: %s\n", err.text);
        return err.kind == ERROR_PROOF ? 4 : 1;
    }
    if (!strip) extent = sheets;
    if (strip) fprintf(stderr, "%-14s length %.6g", instance->name, extent);
    else fprintf(stderr, "%-45s %3d pieces  at least %2d %2d %2d (alone %2d, %2.0f %%)  first %2d after %.3f s  sheets %2d", instance->name,
                 instance->count, instance->bound.by_area, instance->bound.by_size, instance->bound.by_pairs, instance->bound.alone,
                 instance->bound.alone_share * 100, instance->first_sheets, instance->first_s, sheets);
    fprintf(stderr, "  density %.2f  %lld moves  %.3f s\n", density(instance, extent), (long long)moves, seconds);
    if (instance->left_over > 0) fprintf(stderr, "nest-bench: %d of %d pieces found no place on %d sheet%s\n", instance->left_over, instance->count, asked->sheets, asked->sheets == 1 ? "" : "s");
    instance->sheets = sheets;
    return write_layout(asked->out, instance, puts, extent, density(instance, extent), seconds, moves) ? 0 : 5;
}

// The numbers of the instance live on, all else of it does not.
static int run_file(const Asked *asked, Instance *instance)
{
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    Error err = {0};
    int code = 0;
    *instance = (Instance){0};
    if (!overlay_create(NULL, &work.overlay, &err)) code = 5;
    else if (!nest_read(asked->instance, asked->rotations, &keep, instance, &err)) code = err.kind == ERROR_SYSTEM ? 5 : 3;
    if (code) fail(err.text);
    else code = run(asked, instance, &keep, &work);
    overlay_destroy(work.overlay);
    arena_free(&work.scratch);
    arena_free(&keep);
    return code;
}

int nest_one(int argc, char **argv)
{
    Asked asked;
    Instance instance;
    if (!read_asked(argc, argv, &asked)) return 2;
    return run_file(&asked, &instance);
}

int nest_folder(int argc, char **argv)
{
    Asked asked;
    if (argc < 3 || !read_asked(argc - 1, argv + 1, &asked)) return 2;
    const char *folder = argv[2], *layouts = asked.out;
    struct dirent **names = NULL;
    int count = scandir(folder, &names, NULL, alphasort), files = 0, sheets = 0, first = 0, by_size = 0, by_pairs = 0, failed = 0;
    if (count < 0) return fail("the folder cannot be read"), 3;
    for (int i = 0; i < count; i++) {
        char path[2048], out[2048];
        snprintf(path, sizeof path, "%s/%s", folder, names[i]->d_name);
        snprintf(out, sizeof out, "%s/%s", layouts ? layouts : "", names[i]->d_name);
        asked.instance = path;
        asked.out = layouts ? out : "/dev/null";
        Instance instance;
        if (strstr(names[i]->d_name, ".json")) {
            if (run_file(&asked, &instance) != 0) failed++;
            else files++, sheets += instance.sheets, first += instance.first_sheets, by_size += instance.bound.by_size, by_pairs += instance.bound.by_pairs;
        }
        free(names[i]);
    }
    free(names);
    printf("%d files, %d failed: %d sheets, first %d, at least %d: %.3f, first %.3f; by pairs %d: %.3f\n", files, failed, sheets, first, by_size,
           (double)sheets / by_size, (double)first / by_size, by_pairs, (double)sheets / by_pairs);
    return failed ? 4 : 0;
}
