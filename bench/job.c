// job.c - the job on the demo picture: a change of mind in seconds, the answer to a cancel, threads, memory, the guide.
// 5 ft, base on 11 x 24 in, the rest on letter. Prints numbers beside the targets and asserts none.
//   job-bench PICTURE [PROGRAM [MEASURE...]]   PROGRAM decodes the picture in its child; without it, or as "", this process
//                                              does; without a MEASURE (see MEASURES) all of them are made
#include "base/rng.h"
#include "job/job.h"
#include "shape/overlay.h"

#include <malloc.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define CANCELS 100
#define HEIGHT_MM 1524.0

#define STAGES_MOST 16

typedef struct Times {      // seconds after the start of an update
    double start_s, pieces_s, first_s;
    const char *stages[STAGES_MOST];
    double stage_s[STAGES_MOST];    // when each began
    int stage_count;
} Times;

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static void stop(const char *where, const Error *err)
{
    fprintf(stderr, "%s: %s\n", where, err->text);
    exit(1);
}

static char *read_file(const char *path, size_t *size_bytes)
{
    FILE *file = fopen(path, "rb");
    char *bytes = malloc((size_t)1 << 26);
    *size_bytes = file && bytes ? fread(bytes, 1, (size_t)1 << 26, file) : 0;
    if (file) fclose(file);
    return bytes;
}

static Settings demo_settings(double height_mm, int threads)
{
    Settings settings = settings_defaults();
    Error err = {0};
    settings.height_mm = height_mm;
    settings.threads = threads;
    if (!settings_add_paper(&settings, "A=11x24", &err) || !settings_add_paper(&settings, "letter", &err)) stop("papers", &err);
    return settings;
}

static void note_stage(void *context, const char *stage)
{
    Times *times = context;
    double at_s = now_s() - times->start_s;
    if (times->pieces_s == 0.0 && stage[0] == 'm') times->pieces_s = at_s; // "marks and sheets"
    if (times->stage_count == STAGES_MOST) return;
    times->stages[times->stage_count] = stage;
    times->stage_s[times->stage_count++] = at_s;
}

static void print_stages(const Times *times, double all_s)
{
    for (int i = 0; i < times->stage_count; i++)
        printf("%s%s %.2f", i ? ", " : "    ", times->stages[i], (i + 1 < times->stage_count ? times->stage_s[i + 1] : all_s) - times->stage_s[i]);
    printf("\n");
}

static void note_first(void *context, const Job *job)
{
    Times *times = context;
    (void)job;
    times->first_s = now_s() - times->start_s;
}

typedef bool Make(Job *job, const Settings *settings, const EditList *edits, const JobWatch *watch, Error *err);

static double make(Make *how, Job *job, const Settings *settings, const EditList *edits, bool show_first, Times *times)
{
    Error err = {0};
    *times = (Times){.start_s = now_s()};
    JobWatch watch = {.stage = note_stage, .context = times, .first_answer = show_first ? note_first : NULL};
    if (!how(job, settings, edits, &watch, &err)) stop("update", &err);
    return now_s() - times->start_s;
}

// One update, with its times; `show_first` asks for a first answer.
static double update(Job *job, const Settings *settings, const EditList *edits, bool show_first, Times *times)
{
    return make(job_update, job, settings, edits, show_first, times);
}

// The same as the page shows it: files come when somebody takes them.
static double answer(Job *job, const Settings *settings, const EditList *edits, bool show_first, Times *times)
{
    return make(job_answer, job, settings, edits, show_first, times);
}

static Job start(const JobInput *input)
{
    Job job;
    Error err = {0};
    if (!job_create(input, &job, &err)) stop("create", &err);
    return job;
}

static void must(bool done, const Error *err)
{
    if (!done) stop("guide", err);
}

// The guide alone, once more, from what the job holds; it is the first of a kit's files.
static void measure_guide(const JobInput *input)
{
    Times times;
    Job job = start(input);
    Settings settings = demo_settings(HEIGHT_MM, 1);
    update(&job, &settings, NULL, false, &times);
    Arena own = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    Error err = {0};
    KitInput kit = {.name = input->kit_name, .stack = &job.stack, .layer_pieces = job.pieces, .layer_marks = job.marks,
                    .papers = job.papers, .paper_count = job.paper_count, .options = settings.kit};
    KitMaking *making;
    must(overlay_create(NULL, &work.overlay, &err) && kit_begin(&kit, &own, &work, &making, &err), &err);
    for (int i = 0; i < kit_note_count(making); i++) must(kit_note(making, i, &own, &work, &err), &err);
    must(kit_plan(making, &own, &err), &err);
    double start_s = now_s();
    must(kit_write(making, 0, &own, &work, &err), &err);
    double took_s = now_s() - start_s;
    const FileBytes *file = file_find(&job.kit, "guide.pdf");
    printf("guide: %.2f s (1.5), %.2f MB (5)\n", took_s, file ? (double)file->size_bytes / 1e6 : 0.0);
    overlay_destroy(work.overlay);
    arena_free(&work.scratch);
    arena_free(&own);
    job_free(&job);
}

static void measure_height(const JobInput *input)
{
    Times times;
    Job job = start(input);
    Settings settings = demo_settings(HEIGHT_MM, 2);
    update(&job, &settings, NULL, false, &times);
    settings.height_mm = HEIGHT_MM - 25.4;
    double all = answer(&job, &settings, NULL, true, &times);
    printf("new height: first answer %.2f s (0.5), all %.2f s (3)\n", times.first_s, all);
    print_stages(&times, all);
    printf("its files, when they are taken: %.2f s\n", update(&job, &settings, NULL, false, &times));
    job_free(&job);
}

static void add(EditList *edits, const Edit *edit, Arena *keep)
{
    Error err = {0};
    if (!edits_add(edits, edit, keep, &err)) stop("edit", &err);
}

static void measure_paper(const JobInput *input)
{
    Times times;
    Arena keep = arena_make(0);
    EditList edits = {0};
    Job job = start(input);
    Settings settings = demo_settings(HEIGHT_MM, 2);
    update(&job, &settings, NULL, false, &times);
    Edit edit = {.kind = EDIT_SHEET, .colour = job.stack.colours[job.stack.layers[1].colour].colour, .text = "a4"};
    add(&edits, &edit, &keep);
    printf("one colour's paper: all %.2f s (1)\n", answer(&job, &settings, &edits, false, &times));
    job_free(&job);
    arena_free(&keep);
}

// The longest seam of the base runs 15 mm away from where it ran.
static void measure_seam(const JobInput *input)
{
    Times times;
    Arena keep = arena_make(0);
    EditList edits = {0};
    Job job = start(input);
    Settings settings = demo_settings(HEIGHT_MM, 2);
    update(&job, &settings, NULL, false, &times);
    const LayerPieces *base = &job.pieces[0];
    const Seam *longest = &base->seams[0];
    for (int i = 1; i < base->seam_count; i++)
        if (base->seams[i].length_mm > longest->length_mm) longest = &base->seams[i];
    Point a = link_start(&base->chains, &longest->links[0]), b = link_end(&base->chains, &longest->links[longest->link_count - 1]);
    FigurePoint at[2] = {job_place(&job, a.x / UM_PER_MM, a.y / UM_PER_MM), job_place(&job, b.x / UM_PER_MM, b.y / UM_PER_MM)};
    Edit edit = {.kind = EDIT_SEAM, .colour = job.stack.colours[job.stack.layers[0].colour].colour, .points = at, .point_count = 2};
    add(&edits, &edit, &keep);
    update(&job, &settings, &edits, false, &times);
    for (int shown = 0; shown < 2; shown++) {
        for (int i = 0; i < 2; i++) edits.items[0].points[i].x += 15.0 / HEIGHT_MM;
        double all = answer(&job, &settings, &edits, shown, &times);
        printf("one fixed seam moved%s: new pieces %.2f s (0.3), new sheets %.2f s (1)", shown ? ", first answer shown" : "", times.pieces_s, all);
        if (shown) printf(", first answer %.2f s", times.first_s);
        printf("; %zu findings in the layer\n", job.pieces[0].findings.count);
        print_stages(&times, all);
    }
    job_free(&job);
    arena_free(&keep);
}

static void measure_offers(const JobInput *input)
{
    Times times;
    Arena keep = arena_make(0);
    EditList edits = {0};
    Error err = {0};
    JobOffers offers;
    Edit edit = {.kind = EDIT_FEWER, .fewer = FEWER_PIECES};
    Job job = start(input);
    Settings settings = demo_settings(HEIGHT_MM, 2);
    update(&job, &settings, NULL, false, &times);
    double before_s = now_s();
    if (!job_offers(&job, &settings, NULL, NULL, &offers, &err)) stop("offers", &err);
    double offers_s = now_s() - before_s;
    add(&edits, &edit, &keep);
    update(&job, &settings, &edits, false, &times);
    printf("offers beside %d pieces, %.0f mm in sight: ", offers.now.pieces, offers.now.visible_mm);
    for (int i = 0; i < offers.count; i++)
        printf("fewer %s %d, %.0f mm; ", fewer_word(offers.items[i].fewer), offers.items[i].pieces, offers.items[i].visible_mm);
    printf("both %.2f s; the first one taken: new pieces %.2f s\n", offers_s, times.pieces_s);
    job_free(&job);
    arena_free(&keep);
}

typedef struct Canceller {
    atomic_bool cancel;
    double after_s, asked_s;
} Canceller;

static void *ask_later(void *argument)
{
    Canceller *canceller = argument;
    struct timespec wait = {(time_t)canceller->after_s, (long)((canceller->after_s - (double)(time_t)canceller->after_s) * 1e9)};
    nanosleep(&wait, NULL);
    canceller->asked_s = now_s();
    atomic_store(&canceller->cancel, true);
    return NULL;
}

static void note_last_stage(void *context, const char *stage)
{
    *(const char **)context = stage;
}

static void measure_cancel(const JobInput *input)
{
    Times times;
    Job job = start(input);
    Settings settings = demo_settings(HEIGHT_MM, 2);
    double whole = update(&job, &settings, NULL, false, &times), worst = 0.0;
    const char *worst_stage = "";
    int caught = 0;
    job_free(&job);
    Rng rng = rng_make(3);
    for (int i = 0; i < CANCELS; i++) {
        Canceller canceller = {.after_s = whole * rng_unit(&rng)};
        const char *stage = "";
        JobWatch watch = {.cancel = &canceller.cancel, .stage = note_last_stage, .context = &stage};
        pthread_t thread;
        Error err = {0};
        job = start(input);
        pthread_create(&thread, NULL, ask_later, &canceller);
        bool done = job_update(&job, &settings, NULL, &watch, &err);
        double end_s = now_s();
        pthread_join(thread, NULL);
        job_free(&job);
        if (done) continue;
        if (err.kind != ERROR_CANCELLED) stop("cancel", &err);
        caught++;
        if (end_s - canceller.asked_s <= worst) continue;
        worst = end_s - canceller.asked_s;
        worst_stage = stage;
    }
    printf("cancel: worst of %d tries %.3f s (0.1), in %s; %d came in time\n", CANCELS, worst, worst_stage, caught);
}

static void measure_threads(const JobInput *input)
{
    double best[3] = {0};
    for (int round = 0; round < 3; round++)
        for (int threads = 1; threads <= 2; threads++) {
            Times times;
            Settings settings = demo_settings(HEIGHT_MM, threads);
            Job job = start(input);
            double all = update(&job, &settings, NULL, false, &times);
            if (round == 0 || all < best[threads]) best[threads] = all;
            job_free(&job);
        }
    printf("whole job: 1 thread %.2f s, 2 threads %.2f s: %.2f times (1.6)\n", best[1], best[2], best[1] / best[2]);
}

// A session: the underlap, an order, a paper and the base's border in turn.
static void measure_memory(const JobInput *input)
{
    Times times;
    Arena keep = arena_make(0);
    Job job = start(input);
    Settings settings = demo_settings(HEIGHT_MM, 2);
    update(&job, &settings, NULL, false, &times);
    size_t held[2] = {0}, used[2] = {0};
    EditList edits = {0};
    for (int i = 0; i < 200; i++) {
        Srgb8 colour = job.separation.colours[i % job.separation.colour_count].colour;
        Edit edit = {.kind = EDIT_SHEET, .colour = colour, .text = i % 3 ? "letter" : "a4"};
        if (i % 10 == 9) edit = (Edit){.kind = EDIT_UNDERLAP, .mm = 5.0 + i % 7};
        add(&edits, &edit, &keep);
        update(&job, &settings, &edits, i % 4 == 0, &times);
        if (i == 19 || i == 199) {
            malloc_trim(0);
            held[i == 199] = job_held_bytes(&job);
            used[i == 199] = mallinfo2().uordblks + mallinfo2().hblkhd;
        }
    }
    printf("memory: results %.1f MB after 20 edits, %.1f MB after 200: %+.1f %%; all of malloc %.1f MB, %.1f MB: %+.1f %% (10)\n",
           (double)held[0] / 1e6, (double)held[1] / 1e6, 100.0 * ((double)held[1] / (double)held[0] - 1.0), (double)used[0] / 1e6,
           (double)used[1] / 1e6, 100.0 * ((double)used[1] / (double)used[0] - 1.0));
    job_free(&job);
    arena_free(&keep);
}

typedef struct Measure {
    const char *name;
    void (*make)(const JobInput *input);
} Measure;

static const Measure MEASURES[] = {
    {"threads", measure_threads}, {"guide", measure_guide},   {"height", measure_height}, {"paper", measure_paper},
    {"seam", measure_seam},       {"offers", measure_offers}, {"cancel", measure_cancel}, {"memory", measure_memory},
};

static bool is_wanted(const char *name, int wanted_count, char **wanted)
{
    for (int i = 0; i < wanted_count; i++)
        if (strcmp(wanted[i], name) == 0) return true;
    return wanted_count == 0;
}

int main(int argc, char **argv)
{
    if (argc < 2) {
        fprintf(stderr, "job-bench PICTURE [PROGRAM [MEASURE...]]\n");
        return 2;
    }
    size_t size_bytes;
    char *bytes = read_file(argv[1], &size_bytes);
    JobInput input = {bytes, size_bytes, argv[1], "demo", argc > 2 && argv[2][0] ? argv[2] : NULL};
    setvbuf(stdout, NULL, _IOLBF, 0);
    for (size_t i = 0; i < sizeof MEASURES / sizeof MEASURES[0]; i++)
        if (is_wanted(MEASURES[i].name, argc > 3 ? argc - 3 : 0, argv + 3)) MEASURES[i].make(&input);
    free(bytes);
    return 0;
}
