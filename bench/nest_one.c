// nest_one.c - see nest_one.h.
//   nest-bench INSTANCE.json (--seconds S | --moves M) --seed N --rotations file|90|free --out LAYOUT.json
//   nest-bench --folder FOLDER (--seconds S | --moves M) --seed N --rotations file|90|free [--out FOLDER] [--bound pairs]
// Seconds are of the processor: a machine that does other things too finds no less.
// Instances are scaled so that the strip (the sheet's longer side) is SCALED_MM wide: whole micrometres are then far finer than the
// data. Instances with a gap (bench/kit_instances.py) stay in millimetres. A placement turns the outline about its own origin by angle_deg, then shifts it by x, y, in the instance's own units.
#include "nest_one.h"

#include "nest/check.h"
#include "nest/nest.h"
#include "nest_bound.h"
#include "nest_strip.h"
#include "shape/overlay.h"

#include <dirent.h>
#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SCALED_MM 10000.0
#define LARGEST_MM 99000.0     // as far as points reach
#define MOST_TURNS 8
#define BIN_ORDERS 6
#define BIN_SLICE 20000        // moves between two looks at the clock: what is learnt is lost between slices

typedef struct Asked {
    const char *instance, *rotations, *out;
    double seconds;
    bool pairs;                         // of the bound: it takes minutes
    int64_t moves;
    uint64_t seed;
} Asked;

typedef struct One {            // a copy of an item
    long id;
    int copy;
    const Rings *rings;
    const Solid *solid;
} One;

typedef struct Instance {
    const char *name;
    double scale, strip, sheet[2];
    One *ones;
    int count;
    Fit turns[MOST_TURNS];
    int turn_count;
    bool free_turns;
    double area_mm2, gap_mm, corner_mm;
    int first_sheets, sheets;   // what the first answer took, and the last
    NestBound bound;
    double first_s;
} Instance;

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

static bool read_asked(int argc, char **argv, Asked *out)
{
    *out = (Asked){.instance = argv[1], .rotations = "file", .seed = 1, .seconds = 10};
    for (int i = 2; i < argc; i += 2) {
        if (i + 1 >= argc) return fail("an option has no value");
        const char *value = argv[i + 1];
        if (strcmp(argv[i], "--seconds") == 0) out->seconds = strtod(value, NULL);
        else if (strcmp(argv[i], "--moves") == 0) out->moves = strtoll(value, NULL, 10);
        else if (strcmp(argv[i], "--seed") == 0) out->seed = strtoull(value, NULL, 10);
        else if (strcmp(argv[i], "--rotations") == 0) out->rotations = value;
        else if (strcmp(argv[i], "--out") == 0) out->out = value;
        else if (strcmp(argv[i], "--bound") == 0) out->pairs = strcmp(value, "pairs") == 0;
        else return fail("INSTANCE.json (--seconds S | --moves M) --seed N --rotations file|90|free --out LAYOUT.json");
    }
    if (strcmp(out->rotations, "file") != 0 && strcmp(out->rotations, "90") != 0 && strcmp(out->rotations, "free") != 0)
        return fail("--rotations takes file, 90 or free");
    if (!(out->seconds > 0) || out->moves < 0) return fail("a budget is more than 0");
    return true;
}

// --- reading ---

static bool number_at(const json_t *array, size_t i, double *out)
{
    const json_t *value = json_array_get(array, i);
    *out = json_number_value(value);
    return json_is_number(value) && isfinite(*out) && fabs(*out) < 1e9;
}

static bool read_ring(const json_t *outline, double scale, bool hole, Arena *keep, Ring *out)
{
    size_t count = json_array_size(outline);
    *out = (Ring){arena_new(keep, Point, count), 0};
    if (count < 3 || !out->points) return false;
    for (size_t i = 0; i < count; i++) {
        double x, y;
        if (!number_at(json_array_get(outline, i), 0, &x) || !number_at(json_array_get(outline, i), 1, &y)) return false;
        if (fabs(x * scale) > LARGEST_MM || fabs(y * scale) > LARGEST_MM) return false;
        Point p = point_from_mm(x * scale, y * scale);
        if (out->count == 0 || !point_equal(p, out->points[out->count - 1])) out->points[out->count++] = p;
    }
    if (out->count < 3 || !ring_is_simple(out)) return false;
    if ((ring_area2_um2(out) < 0) != hole)
        for (int i = 0; i < out->count / 2; i++) {
            Point kept = out->points[i];
            out->points[i] = out->points[out->count - 1 - i];
            out->points[out->count - 1 - i] = kept;
        }
    return true;
}

static const Rings *read_outline(const json_t *item, double scale, Arena *keep)
{
    const json_t *holes = json_object_get(item, "holes");
    Rings *rings = arena_new(keep, Rings, 1);
    if (!rings) return NULL;
    rings->items = arena_new(keep, Ring, json_array_size(holes) + 1);
    if (!rings->items || !read_ring(json_object_get(item, "outline"), scale, false, keep, &rings->items[rings->count++])) return NULL;
    for (size_t h = 0; h < json_array_size(holes); h++)
        if (!read_ring(json_array_get(holes, h), scale, true, keep, &rings->items[rings->count++])) return NULL;
    return rings;
}

static Fit fit_of_degrees(double degrees)
{
    static const Fit QUARTERS[4] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}};
    double quarter = degrees / 90;
    if (quarter == floor(quarter)) return QUARTERS[(((int)quarter) % 4 + 4) % 4];
    double a = degrees * acos(-1.0) / 180;
    return (Fit){cos(a), sin(a)};
}

static void read_turns(const Asked *asked, const json_t *root, Instance *out)
{
    const json_t *turns = json_object_get(root, "allowed_rotations_deg");
    out->free_turns = strcmp(asked->rotations, "free") == 0;
    bool file = strcmp(asked->rotations, "file") == 0;
    size_t count = file ? json_array_size(turns) : 4;
    for (size_t i = 0; i < count && out->turn_count < MOST_TURNS; i++)
        out->turns[out->turn_count++] = fit_of_degrees(file ? json_number_value(json_array_get(turns, i)) : 90.0 * (double)i);
    if (out->turn_count == 0) out->turns[out->turn_count++] = (Fit){1, 0};
}

static bool read_items(const json_t *items, Arena *keep, Instance *out)
{
    size_t capacity = 0;
    for (size_t i = 0; i < json_array_size(items); i++) {
        const json_t *item = json_array_get(items, i);
        json_int_t demand = json_integer_value(json_object_get(item, "demand"));
        char text[128];
        long id = (long)json_integer_value(json_object_get(item, "id"));
        snprintf(text, sizeof text, "item %ld: a demand is a whole number from 1 to 10000", id);
        if (demand < 1 || demand > 10000) return fail(text);
        const Rings *rings = read_outline(item, out->scale, keep);
        snprintf(text, sizeof text, "item %ld: its outline is not one simple polygon of finite numbers", id);
        if (!rings) return fail(text);
        for (int copy = 0; copy < demand; copy++) {
            One *grown = arena_grow(keep, out->ones, (size_t)out->count, &capacity, sizeof *grown);
            if (!grown) return fail("out of memory");
            out->ones = grown;
            grown[out->count++] = (One){id, copy, rings, NULL};
            out->area_mm2 += rings_area_mm2(rings);
        }
    }
    return out->count > 0 ? true : fail("there are no pieces");
}

static bool read_instance(const Asked *asked, const json_t *root, Arena *keep, Instance *out)
{
    *out = (Instance){.name = json_string_value(json_object_get(root, "name"))};
    const json_t *sheet = json_object_get(root, "sheet");
    out->strip = json_number_value(json_object_get(root, "strip_width"));
    if (sheet && (!number_at(sheet, 0, &out->sheet[0]) || !number_at(sheet, 1, &out->sheet[1]))) return fail("the sheet has no size");
    double widest = sheet ? fmax(out->sheet[0], out->sheet[1]) : out->strip;
    if (!out->name || !(widest > 0) || !isfinite(widest) || (sheet && !(fmin(out->sheet[0], out->sheet[1]) > 0)))
        return fail("the instance has no name, or neither strip_width nor sheet");
    out->gap_mm = json_number_value(json_object_get(root, "gap_mm"));
    out->corner_mm = json_number_value(json_object_get(root, "corner_mm"));
    out->scale = out->gap_mm > 0 ? 1 : SCALED_MM / widest; // with a gap the units are millimetres
    read_turns(asked, root, out);
    return read_items(json_object_get(root, "items"), keep, out);
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
                if (most - least <= SCALED_MM + 1e-6) turns[solid->turn_count++] = instance->turns[t];
            }
            solid->turns = turns;
            if (solid->turn_count == 0)
                return error_set(err, ERROR_JOB, "item %ld does not fit the strip at any allowed angle", one->id);
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
    Strip strip = {solids, instance->count, SCALED_MM, instance->area_mm2, instance->free_turns, asked->seconds, asked->moves, asked->seed};
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
    NestOptions options = {.space = {answer.length_mm, SCALED_MM, 0, false}};
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

// Named before the search, in the instance's own units.
static bool fits(const Instance *instance, int i, const NestItem *item, const NestOptions *options, Arena *keep, Work *work, Error *err)
{
    Fit *turns;
    int count;
    if (!shape_turns(item, options, keep, work, &turns, &count, err)) return false;
    if (count > 0) return true;
    Box box = rings_box(item->rings);
    return error_set(err, ERROR_JOB, "item %ld (%g x %g) fits no sheet of %g x %g at any allowed angle", instance->ones[i].id,
                     box_width_mm(box) / instance->scale, box_height_mm(box) / instance->scale, instance->sheet[0], instance->sheet[1]);
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
                           .gap_mm = instance->gap_mm, .orders = BIN_ORDERS, .seed = asked->seed};
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
        puts[i] = (Put){best.places[i].sheet, {m[0], m[1]}, m[4] / instance->scale, m[5] / instance->scale};
    }
    *sheets = best.sheet_count;
    return bound_holds(instance, &best, err);
}

// --- writing ---

static bool write_layout(const char *path, const Instance *instance, const Put *puts, double extent, double density, double seconds,
                         int64_t moves)
{
    FILE *file = path ? fopen(path, "w") : stdout;
    if (!file) return fail("the layout cannot be written");
    fprintf(file, "{\"name\": \"%s\", \"density_percent\": %.4f, ", instance->name, density);
    if (instance->strip > 0) fprintf(file, "\"length\": %.9g, ", extent);
    else fprintf(file, "\"sheets\": %d, ", (int)extent);
    fprintf(file, "\"seconds\": %.2f, \"moves\": %lld, \"placements\": [", seconds, (long long)moves);
    for (int i = 0; i < instance->count; i++)
        fprintf(file, "%s\n  {\"id\": %ld, \"copy\": %d, \"sheet\": %d, \"angle_deg\": %.12g, \"x\": %.12g, \"y\": %.12g}", i ? "," : "",
                instance->ones[i].id, instance->ones[i].copy, puts[i].sheet, atan2(puts[i].turn.sin, puts[i].turn.cos) * 180 / acos(-1.0),
                puts[i].x, puts[i].y);
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
    instance->sheets = sheets;
    return write_layout(asked->out, instance, puts, extent, density(instance, extent), seconds, moves) ? 0 : 5;
}

// The numbers of the instance live on, all else of it does not.
static int run_file(const Asked *asked, Instance *instance)
{
    json_t *root = json_load_file(asked->instance, 0, NULL);
    if (!root) return fail("the instance cannot be read as JSON"), 3;
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    Error err = {0};
    int code = 3;
    if (!overlay_create(NULL, &work.overlay, &err)) code = 5;
    else if (read_instance(asked, root, &keep, instance)) code = run(asked, instance, &keep, &work);
    overlay_destroy(work.overlay);
    arena_free(&work.scratch);
    arena_free(&keep);
    json_decref(root);
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
