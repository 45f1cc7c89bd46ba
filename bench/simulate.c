// simulate.c - kits put together many times with errors of cutter and hand: how often could be seen what should not.
//   simulate [--tries 200] [--seed 1] [--inset MM] [--brief] [--picture FILE.svg] KIT...
// KIT = a kit's folder; --inset: as if placement lines had this one; --brief: one model only; --picture: the first try of
// the first model, drawn.
// Prints, of each kit and model: units and places a try; the share of units, of length and of whole kits with a fault; the
// worst fault in mm; and the depth that 99 % of the units, and of the length, would have needed.
// Asserts nothing.
#include "simulate/laps.h"
#include "simulate/picture.h"
#include "simulate/tries.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct Model {
    const char *name;
    MakerErrors errors; // tool, hand, turn, kerf
    Joining joining;
} Model;

static const Model models[] = {
    {"joined; 1 mm and a turn", {LAW_SIZE, 0.3, 1.0, 1.0, 0.2}, PIECES_JOINED},
    {"joined; 1 mm, no turn", {LAW_SIZE, 0.3, 1.0, 0.0, 0.2}, PIECES_JOINED},
    {"joined; normal, 95 % within 1 mm, and a turn", {LAW_NORMAL, 0.3, 1.0, 1.0, 0.2}, PIECES_JOINED},
    {"loose; 1 mm and a turn", {LAW_SIZE, 0.3, 1.0, 1.0, 0.2}, PIECES_LOOSE},
    {"loose; normal, 95 % within 1 mm, and a turn", {LAW_NORMAL, 0.3, 1.0, 1.0, 0.2}, PIECES_LOOSE},
};

typedef struct Wanted { // from the command line
    int tries;
    uint64_t seed;
    bool brief;
    double inset_mm; // 0 = the kit's
    const char *picture; // NULL = none
} Wanted;

static void stop(const char *where, const char *text)
{
    fprintf(stderr, "%s: %s\n", where, text);
    exit(1);
}

static char *read_whole(const char *path, size_t *size_bytes)
{
    FILE *file = fopen(path, "rb");
    char *bytes = malloc(READ_MAX_FILE_BYTES);
    *size_bytes = file && bytes ? fread(bytes, 1, READ_MAX_FILE_BYTES, file) : 0;
    if (file) fclose(file);
    return bytes;
}

static void print_tally(const char *name, const Tally *t)
{
    if (t->places == 0) return;
    printf("  %-28s %6.0f %8.0f %7.2f %8.3f %6.1f %6.2f", name, (double)t->units / (double)t->tries,
           (double)t->places / (double)t->tries, 100.0 * tally_share(t->failed_units, t->units),
           100.0 * tally_share(t->failed_places, t->places), 100.0 * tally_share(t->failed_tries, t->tries),
           t->worst_mm);
    if (t->needed_by_unit.count > 0)
        printf(" %6.2f %6.2f", histogram_percentile(&t->needed_by_unit, 0.99),
               histogram_percentile(&t->needed_by_place, 0.99));
    printf("\n");
}

static bool draw_try(const Bodies *bodies, const Watch *watch, const MakerErrors *errors, const Wanted *wanted, Arena *keep,
                     Error *err)
{
    Placed placed;
    Rng rng = rng_make(wanted->seed);
    FILE *file = fopen(wanted->picture, "w");
    if (!file) return error_set(err, ERROR_SYSTEM, "%s cannot be written", wanted->picture);
    bool done = placed_make(bodies, keep, &placed, err);
    if (done) {
        placed_draw(bodies, errors, &rng, &placed);
        picture_write(bodies, watch, &placed, errors->kerf_mm, file);
    }
    fclose(file);
    return done;
}

// Laps join piece by piece, so that the loose models alone tell of them.
static bool print_laps(const ReadKit *kit, const Model *model, const Wanted *wanted, Arena *keep, Work *work, Error *err)
{
    LapTallies *laps = arena_new(keep, LapTallies, 1);
    if (!laps) return error_memory(err);
    if (!laps_run(kit, &model->errors, wanted->tries, wanted->seed, keep, work, laps, err)) return false;
    print_tally("joint not covered by its lap", &laps->uncovered);
    print_tally("joint beside its lap, open", &laps->bare);
    print_tally("lap looks out", &laps->looks_out);
    return true;
}

static bool simulate_model(const ReadKit *kit, const Model *model, const Wanted *wanted, Arena *keep, Work *work,
                           Error *err)
{
    WatchOptions options = watch_defaults(kit);
    options.other_inset_mm = wanted->inset_mm;
    Bodies bodies;
    Watch watch;
    Tally *tallies = arena_new(keep, Tally, WATCH_CLASSES);
    if (!tallies) return error_memory(err);
    if (!bodies_make(kit, model->joining, keep, work, &bodies, err) ||
        !watch_make(&bodies, &options, keep, work, &watch, err) ||
        !tries_run(&bodies, &watch, &model->errors, wanted->tries, wanted->seed, work, tallies, err))
        return false;
    if (wanted->picture && model == models && !draw_try(&bodies, &watch, &model->errors, wanted, keep, err)) return false;
    printf("  %s (%d parts)\n", model->name, bodies.count);
    for (int i = 0; i < WATCH_CLASSES; i++) print_tally(watch_class_name((WatchClass)i), &tallies[i]);
    return model->joining == PIECES_JOINED || print_laps(kit, model, wanted, keep, work, err);
}

// What a larger inset would cost: the share of all edges that the rule of a quarter of the mean width holds nearer.
static bool print_widths(const ReadKit *kit, Arena *keep, Work *work, Error *err)
{
    static const double insets[] = {1.5, 2.0, 2.5, 3.0};
    Bodies bodies;
    if (!bodies_make(kit, PIECES_JOINED, keep, work, &bodies, err)) return false;
    printf("  edges of higher layers too narrow for an inset of");
    for (size_t k = 0; k < sizeof insets / sizeof *insets; k++) {
        double all = 0.0, narrow = 0.0;
        int parts = 0;
        for (int i = 0; i < bodies.count; i++) {
            const Body *body = &bodies.items[i];
            bool is_narrow = body->area_mm2 / (2.0 * body->length_mm) < insets[k];
            if (body->order == 0) continue;
            all += body->length_mm;
            narrow += is_narrow ? body->length_mm : 0.0;
            parts += is_narrow;
        }
        printf("%s %.1f mm: %.1f %% (%d parts)", k ? "," : "", insets[k], all > 0.0 ? 100.0 * narrow / all : 0.0, parts);
    }
    printf("\n");
    return true;
}

static bool simulate_kit(const FileBytes *file, const Wanted *wanted, Arena *keep, Work *work, Error *err)
{
    Faults faults;
    ReadKit kit;
    if (!faults_make(keep, &faults, err) || !read_kit(file, keep, &faults, &kit, err)) return false;
    if (faults.count > 0) return error_set(err, ERROR_INPUT, "%s: %s", faults.items[0].where, faults.items[0].text);
    printf("%s, %.0f mm tall, %d pieces: %d tries\n", kit.name, kit.height_mm, kit.piece_count, wanted->tries);
    printf("  %-28s %6s %8s %7s %8s %6s %6s %6s %6s\n", "", "units", "places", "units%", "length%", "kits%", "worst",
           "need99", "by len");
    size_t count = wanted->brief ? 1 : sizeof models / sizeof *models;
    for (size_t i = 0; i < count; i++)
        if (!simulate_model(&kit, &models[i], wanted, keep, work, err)) return false;
    return print_widths(&kit, keep, work, err);
}

static void simulate(const char *folder, const Wanted *wanted)
{
    char path[4096];
    FileBytes file = {.name = "kit.json"};
    Work work = {.scratch = arena_make(0)};
    Arena keep = arena_make(0);
    Error err = {0};
    snprintf(path, sizeof path, "%s/kit.json", folder);
    char *bytes = read_whole(path, &file.size_bytes);
    file.bytes = bytes;
    if (file.size_bytes == 0) stop(path, "this cannot be read");
    if (!simulate_kit(&file, wanted, &keep, &work, &err)) stop(path, err.text);
    fflush(stdout);
    arena_free(&keep);
    arena_free(&work.scratch);
    free(bytes);
}

int main(int count, char **arguments)
{
    Wanted wanted = {.tries = 200, .seed = 1};
    int kits = 0;
    for (int i = 1; i < count; i++) {
        if (strcmp(arguments[i], "--tries") == 0 && i + 1 < count) wanted.tries = atoi(arguments[++i]);
        else if (strcmp(arguments[i], "--seed") == 0 && i + 1 < count) wanted.seed = strtoull(arguments[++i], NULL, 10);
        else if (strcmp(arguments[i], "--brief") == 0) wanted.brief = true;
        else if (strcmp(arguments[i], "--inset") == 0 && i + 1 < count) wanted.inset_mm = atof(arguments[++i]);
        else if (strcmp(arguments[i], "--picture") == 0 && i + 1 < count) wanted.picture = arguments[++i];
        else if (wanted.tries < 1) stop("--tries", "at least one");
        else kits++, simulate(arguments[i], &wanted);
    }
    if (kits == 0) stop("simulate", "name one kit's folder or more");
    return 0;
}
