// test_job.c - versions of one job: what is taken over, what an error or a cancel leaves, first answers, names and papers,
// frozen pieces, memory, and lists of edits that make no sense. PM_ALL=1 cancels at more moments and makes more edits.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "small_pictures.h"

#include "base/rng.h"
#include "job/job.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

// A whole undertaking: picture 0 at 12 in on 5 x 7, until a test says otherwise.
typedef struct Undertaking {
    Arena keep;
    JobInput input;
    Settings settings;
    EditList edits;
    Job job;
    Error err;
} Undertaking;

static bool update(Undertaking *u)
{
    u->err = (Error){0};
    return job_update(&u->job, &u->settings, &u->edits, NULL, &u->err);
}

static void begin(Undertaking *u, int which)
{
    *u = (Undertaking){.keep = arena_make(0), .settings = settings_defaults()};
    SmallPicture picture = small_picture(which, &u->keep);
    u->input = (JobInput){picture.bytes, picture.size_bytes, "small.png", "small", NULL};
    u->settings.height_mm = 304.8;
    u->settings.threads = 2;
    assert_true(settings_add_paper(&u->settings, "5x7", &u->err));
    assert_true(job_create(&u->input, &u->job, &u->err));
    if (!update(u)) print_error("%s\n", u->err.text);
    assert_true(u->job.kit.count > 0);
}

static void end(Undertaking *u)
{
    job_free(&u->job);
    arena_free(&u->keep);
}

static void add(Undertaking *u, Edit edit)
{
    assert_true(edits_add(&u->edits, &edit, &u->keep, &u->err));
}

static Srgb8 colour_of_layer(const Undertaking *u, int layer)
{
    return u->job.stack.colours[u->job.stack.layers[layer].colour].colour;
}

static bool has_finding(const Job *job, const char *kind, const char *part_of_text)
{
    for (size_t i = 0; i < job->stack.findings.count; i++)
        if (strcmp(job->stack.findings.items[i].kind, kind) == 0 && strstr(job->stack.findings.items[i].text, part_of_text)) return true;
    return false;
}

static bool kit_says(const Job *job, const char *text)
{
    const FileBytes *file = file_find(&job->kit, "kit.json");
    return memmem(file->bytes, file->size_bytes, text, strlen(text)) != NULL;
}

// ---- what is taken over ----

static void job_update__another_paper_redoes_its_layer_and_no_other(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    const void *label = u.job.separation.label, *region = u.job.outlines.regions, *layer_list = u.job.stack.layers;
    const void *pieces[3] = {u.job.pieces[0].pieces, u.job.pieces[1].pieces, u.job.pieces[2].pieces};
    const void *marks[3] = {u.job.marks[0].marks, u.job.marks[1].marks, u.job.marks[2].marks};
    const void *places = u.job.papers[1].nest.places;
    add(&u, (Edit){.kind = EDIT_SHEET, .colour = colour_of_layer(&u, 0), .text = "letter"});
    assert_true(update(&u));
    assert_string_equal(u.job.papers[0].paper.id, "letter");
    assert_ptr_equal(u.job.separation.label, label);
    assert_ptr_equal(u.job.outlines.regions, region);
    assert_ptr_equal(u.job.stack.layers, layer_list);
    assert_ptr_not_equal(u.job.pieces[0].pieces, pieces[0]);
    for (int layer = 1; layer < 3; layer++) {
        assert_ptr_equal(u.job.pieces[layer].pieces, pieces[layer]);
        assert_ptr_equal(u.job.marks[layer].marks, marks[layer]);
    }
    assert_ptr_equal(u.job.papers[1].nest.places, places);
    end(&u);
}

// A price is for the files to tell; a direction is not.
static void job_update__a_price_leaves_seams_marks_and_sheets(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    add(&u, (Edit){.kind = EDIT_SHEET, .colour = colour_of_layer(&u, 0), .text = "letter"});
    assert_true(update(&u));
    const void *pieces = u.job.pieces[0].pieces, *marks = u.job.marks[0].marks, *places = u.job.papers[0].nest.places, *files = u.job.kit.items;
    add(&u, (Edit){.kind = EDIT_SHEET, .colour = colour_of_layer(&u, 0), .text = "letter,65lb,white-core,25 for 8.99"});
    assert_true(update(&u));
    assert_ptr_equal(u.job.pieces[0].pieces, pieces);
    assert_ptr_equal(u.job.marks[0].marks, marks);
    assert_ptr_equal(u.job.papers[0].nest.places, places);
    assert_ptr_not_equal(u.job.kit.items, files);
    assert_true(kit_says(&u.job, "\"cost\": 8.99"));
    add(&u, (Edit){.kind = EDIT_SHEET, .colour = colour_of_layer(&u, 0), .text = "letter,65lb,white-core,25 for 8.99,grained"});
    assert_true(update(&u));
    assert_ptr_not_equal(u.job.pieces[0].pieces, pieces);
    assert_true(kit_says(&u.job, "\"direction\": \"grained\""));
    u.settings.has_cutter = cutter_parse("12x12,score,pen", &u.settings.cutter, &u.err);
    assert_true(update(&u));
    assert_true(kit_says(&u.job, "\"name\": \"12x12in\""));
    end(&u);
}

static void job_update__another_height_keeps_the_picture_alone(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    const void *rgba = u.job.picture.rgba, *regions = u.job.outlines.regions;
    u.settings.height_mm = 254.0;
    assert_true(update(&u));
    assert_ptr_equal(u.job.picture.rgba, rgba);
    assert_ptr_not_equal(u.job.outlines.regions, regions);
    assert_true(u.job.stack.height_mm == 254.0);
    end(&u);
}

static void job_update__the_same_again_computes_nothing(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 1);
    const void *files = u.job.kit.items;
    size_t held = job_held_bytes(&u.job);
    assert_true(update(&u));
    assert_ptr_equal(u.job.kit.items, files);
    assert_int_equal(job_held_bytes(&u.job), held);
    end(&u);
}

static void job_update__another_page_or_price_makes_the_guide_again_and_nothing_before_it(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    const void *pieces = u.job.pieces[0].pieces, *places = u.job.papers[0].nest.places, *files = u.job.kit.items;
    u.settings.kit.page = KIT_PAGE_A4;
    assert_true(update(&u));
    assert_ptr_not_equal(u.job.kit.items, files);
    files = u.job.kit.items;
    u.settings.papers[0].paper.pack_price = 3.5;
    assert_true(update(&u));
    assert_ptr_not_equal(u.job.kit.items, files);
    assert_ptr_equal(u.job.pieces[0].pieces, pieces);
    assert_ptr_equal(u.job.papers[0].nest.places, places);
    end(&u);
}

// ---- errors and cancels ----

static void job_update__after_an_error_the_job_is_as_it_was_and_goes_on(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    const void *files = u.job.kit.items;
    size_t held = job_held_bytes(&u.job);
    u.settings.height_mm = 1.0;
    assert_false(update(&u));
    assert_int_equal(u.err.kind, ERROR_JOB);
    u.settings.height_mm = 304.8;
    add(&u, (Edit){.kind = EDIT_BORDER, .mm = 100.0}); // more than a quarter of the height
    assert_false(update(&u));
    assert_int_equal(u.err.kind, ERROR_JOB);
    assert_ptr_equal(u.job.kit.items, files);
    assert_int_equal(job_held_bytes(&u.job), held);
    u.edits.items[0].mm = 10.0;
    assert_true(update(&u));
    assert_true(u.job.stack.border_mm == 10.0);
    end(&u);
}

typedef struct Asking {
    atomic_bool cancel;
    double after_s;
    struct timespec asked;
} Asking;

static double seconds_since(struct timespec from)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)(now.tv_sec - from.tv_sec) + (double)(now.tv_nsec - from.tv_nsec) * 1e-9;
}

static void *ask_later(void *argument)
{
    Asking *asking = argument;
    struct timespec wait = {0, (long)(asking->after_s * 1e9)};
    nanosleep(&wait, NULL);
    clock_gettime(CLOCK_MONOTONIC, &asking->asked);
    atomic_store(&asking->cancel, true);
    return NULL;
}

// The release build is measured in bench/job; here sanitizers and other tests may slow it down.
#define CANCEL_MOST_S 2.0
#define CANCELS 12
#define CANCELS_ALL 100
#define MANY_EDITS 60
#define MANY_EDITS_ALL 200

static int quick_or_all(int quick, int all)
{
    const char *wanted = getenv("PM_ALL");
    return wanted && wanted[0] == '1' ? all : quick;
}

static void job_update__a_cancel_at_any_moment_leaves_the_job_as_it_was(void **state)
{
    (void)state;
    Undertaking u;
    struct timespec start_time;
    begin(&u, 0);
    const void *files = u.job.kit.items;
    clock_gettime(CLOCK_MONOTONIC, &start_time);
    Job other;
    Error err = {0};
    Settings taller = u.settings;
    taller.height_mm = 330.0;
    assert_true(job_build(&u.input, &taller, NULL, &other, &err));
    job_free(&other);
    double whole_s = seconds_since(start_time);
    Rng rng = rng_make(11);
    int caught = 0, cancels = quick_or_all(CANCELS, CANCELS_ALL);
    for (int i = 0; i < cancels; i++) {
        Asking asking = {.after_s = whole_s < 0.9 ? whole_s * rng_unit(&rng) : 0.9 * rng_unit(&rng)};
        JobWatch watch = {.cancel = &asking.cancel};
        pthread_t thread;
        taller.height_mm = 330.0 + i; // never one that is known
        assert_int_equal(pthread_create(&thread, NULL, ask_later, &asking), 0);
        bool done = job_update(&u.job, &taller, NULL, &watch, &err);
        pthread_join(thread, NULL);
        if (done) { // it was faster: back to the start
            assert_true(update(&u));
            files = u.job.kit.items;
            continue;
        }
        caught++;
        assert_int_equal(err.kind, ERROR_CANCELLED);
        assert_true(seconds_since(asking.asked) < CANCEL_MOST_S);
        assert_ptr_equal(u.job.kit.items, files);
    }
    assert_true(caught > cancels / 4);
    assert_true(update(&u));
    end(&u);
}

// ---- what the watch is told ----

typedef struct Seen {
    int stages, first_answers;
    double last_share;
    bool falls;
} Seen;

static void note_stage(void *context, const char *stage)
{
    Seen *seen = context;
    seen->stages += stage[0] != 0;
}

static void note_share(void *context, const char *stage, double share)
{
    Seen *seen = context;
    (void)stage;
    seen->falls = seen->falls || share < seen->last_share || share > 1.0;
    seen->last_share = share;
}

static void note_first(void *context, const Job *job)
{
    Seen *seen = context;
    seen->first_answers += job->paper_count > 0 && job->papers[0].nest.sheet_count > 0 && job->pieces[0].piece_count > 0;
}

static bool same_files(const FileSet *a, const FileSet *b)
{
    if (a->count != b->count) return false;
    for (int i = 0; i < a->count; i++) {
        const FileBytes *p = &a->items[i], *q = &b->items[i];
        if (strcmp(p->name, q->name) != 0 || p->size_bytes != q->size_bytes || memcmp(p->bytes, q->bytes, p->size_bytes) != 0) return false;
    }
    return true;
}

static void job_update__shows_a_first_answer_and_ends_with_the_same_bytes(void **state)
{
    (void)state;
    for (int which = 0; which < SMALL_PICTURE_COUNT; which++) {
        Undertaking u;
        begin(&u, which);
        Job other;
        Seen seen = {0};
        JobWatch watch = {.context = &seen, .first_answer = note_first};
        assert_true(job_create(&u.input, &other, &u.err));
        assert_true(job_update(&other, &u.settings, NULL, &watch, &u.err));
        assert_int_equal(seen.first_answers, 1);
        assert_true(same_files(&other.kit, &u.job.kit));
        assert_true(job_update(&other, &u.settings, NULL, &watch, &u.err)); // all is known
        assert_int_equal(seen.first_answers, 2);
        assert_true(same_files(&other.kit, &u.job.kit));
        job_free(&other);
        end(&u);
    }
}

static void job_update__tells_stages_and_a_share_that_only_rises(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    Seen seen = {0};
    JobWatch watch = {.context = &seen, .stage = note_stage, .progress = note_share};
    u.settings.height_mm = 290.0;
    assert_true(job_update(&u.job, &u.settings, NULL, &watch, &u.err));
    assert_int_equal(seen.stages, 7);
    assert_false(seen.falls);
    assert_true(seen.last_share == 1.0);
    end(&u);
}

static void job_update__threads_do_not_show(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 2);
    Job other;
    u.settings.threads = 1;
    assert_true(job_build(&u.input, &u.settings, NULL, &other, &u.err));
    assert_true(same_files(&other.kit, &u.job.kit));
    job_free(&other);
    end(&u);
}

// ---- edits ----

static void job_update__names_and_papers_reach_the_kit(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    add(&u, (Edit){.kind = EDIT_NAME, .colour = colour_of_layer(&u, 0), .text = "night sky"});
    add(&u, (Edit){.kind = EDIT_SHEET, .colour = colour_of_layer(&u, 0), .text = "a4"});
    assert_true(update(&u));
    assert_true(kit_says(&u.job, "\"name\": \"night sky\""));
    assert_true(kit_says(&u.job, "\"a4-night sky\""));
    end(&u);
}

// Findings of seams and thin parts tell the name; the layers themselves do not.
static void job_update__a_name_leaves_the_layers_and_their_marks(void **state)
{
    (void)state;
    Undertaking u, fresh;
    begin(&u, 0);
    const void *layers = u.job.stack.layers, *pieces = u.job.pieces[1].pieces, *marks[2] = {u.job.marks[0].marks, u.job.marks[1].marks};
    add(&u, (Edit){.kind = EDIT_NAME, .colour = colour_of_layer(&u, 0), .text = "night sky"});
    assert_true(update(&u));
    assert_ptr_equal(u.job.stack.layers, layers);
    assert_ptr_equal(u.job.pieces[1].pieces, pieces);
    for (int layer = 0; layer < 2; layer++) assert_ptr_equal(u.job.marks[layer].marks, marks[layer]);
    assert_true(kit_says(&u.job, "\"name\": \"night sky\""));
    begin(&fresh, 0);
    job_free(&fresh.job);
    assert_true(job_create(&fresh.input, &fresh.job, &fresh.err));
    fresh.edits = u.edits;
    assert_true(update(&fresh));
    assert_true(same_files(&fresh.job.kit, &u.job.kit));
    end(&fresh);
    end(&u);
}

static void job_update__another_form_of_the_files_writes_them_anew_and_nothing_else(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    const LayerPieces *before = u.job.pieces;
    int pieces = before[0].piece_count;
    assert_true(kit_says(&u.job, "\"sheets_for\": \"sheet\""));
    u.settings.kit.sheets_for = KIT_FOR_LINE;
    assert_true(update(&u));
    assert_true(kit_says(&u.job, "\"sheets_for\": \"line\""));
    assert_int_equal(u.job.pieces[0].piece_count, pieces);
    u.settings.kit.sheets_for = KIT_FOR_LAYER;
    assert_true(update(&u));
    assert_true(kit_says(&u.job, "\"offset_mm\""));
    end(&u);
}

static void job_update__what_cannot_be_done_is_a_finding_in_the_kit(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    FigurePoint beside[2] = {{5.0, 5.0}, {5.0, 6.0}};
    const Srgb8 none = {0, 255, 255};
    Srgb8 a = colour_of_layer(&u, 0), b = colour_of_layer(&u, 1);
    add(&u, (Edit){.kind = EDIT_BASE, .colour = none});
    add(&u, (Edit){.kind = EDIT_SEAM, .colour = none, .points = beside, .point_count = 2});
    add(&u, (Edit){.kind = EDIT_OVER, .colour = a, .other = b});
    add(&u, (Edit){.kind = EDIT_OVER, .colour = b, .other = a});
    add(&u, (Edit){.kind = EDIT_GROUND, .at = {50.0, 50.0}});
    add(&u, (Edit){.kind = EDIT_SAME, .colour = none, .other = a});
    add(&u, (Edit){.kind = EDIT_TINY, .at = {0.9, 0.9}, .fate = TINY_PEN});
    assert_true(update(&u));
    assert_true(has_finding(&u.job, "edit-without-target", "#00ffff as the base"));
    assert_true(has_finding(&u.job, "edit-without-target", "the fixed seam of #00ffff"));
    assert_true(has_finding(&u.job, "edit-not-kept", " over "));
    assert_true(kit_says(&u.job, "edit-without-target"));
    int told = 0;
    for (size_t i = 0; i < u.job.stack.findings.count; i++) told += strncmp(u.job.stack.findings.items[i].kind, "edit-", 5) == 0;
    assert_true(told >= 6); // each of them but one order
    end(&u);
}

static void job_update__a_thousand_edits_are_followed(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 2);
    Rng rng = rng_make(5);
    for (int i = 0; i < 1000; i++) {
        const EditKind kinds[] = {EDIT_NAME, EDIT_SAME, EDIT_SHEET, EDIT_OVER, EDIT_TINY, EDIT_LEAVE_OUT, EDIT_SEAM_FORBIDDEN};
        FigurePoint run[2] = {{rng_unit(&rng), rng_unit(&rng)}, {rng_unit(&rng), rng_unit(&rng)}};
        char name[16];
        snprintf(name, sizeof name, "c%d", i % 7);
        Edit edit = {.kind = kinds[i % 7], .points = run, .point_count = 2, .text = i % 7 == 2 ? "5x7" : name};
        edit.colour = edit.other = (Srgb8){(uint8_t)rng_below(&rng, 256), (uint8_t)rng_below(&rng, 256), (uint8_t)rng_below(&rng, 256)};
        add(&u, edit);
    }
    assert_true(update(&u) || u.err.kind == ERROR_JOB); // all may be left out; a sentence tells
    end(&u);
}

// ---- frozen pieces ----

static const char *last_piece_id(const Job *job, int layer)
{
    return job->pieces[layer].pieces[job->pieces[layer].piece_count - 1].id;
}

static void job_freeze__a_frozen_piece_refuses_what_would_alter_it_until_it_is_let_go(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    char id[16];
    snprintf(id, sizeof id, "%s", last_piece_id(&u.job, 0));
    const char *ids[1] = {id};
    assert_true(job_freeze(&u.job, ids, 1, &u.keep, &u.edits, &u.err));
    assert_true(update(&u));
    const void *files = u.job.kit.items;

    u.settings.height_mm = 310.0;
    assert_false(update(&u));
    assert_int_equal(u.err.kind, ERROR_JOB);
    assert_non_null(strstr(u.err.text, id));
    u.settings.height_mm = 304.8;

    add(&u, (Edit){.kind = EDIT_BORDER, .mm = 8.0});
    assert_false(update(&u));
    assert_non_null(strstr(u.err.text, id));
    u.edits.count = 1;

    add(&u, (Edit){.kind = EDIT_NAME, .colour = colour_of_layer(&u, 0), .text = "cut already"});
    assert_true(update(&u));
    assert_ptr_not_equal(u.job.kit.items, files);

    u.edits.count = 0; // undone: it may change again
    u.settings.height_mm = 310.0;
    assert_true(update(&u));
    end(&u);
}

// Its laps stay when butt seams are asked for, beside seams that have none then; and the proof holds.
static void job_freeze__a_piece_with_laps_keeps_them(void **state)
{
    (void)state;
    Undertaking u;
    int found = -1;
    begin(&u, 0);
    assert_true(settings_add_seams(&u.settings, "lap", &u.err));
    assert_true(update(&u));
    const LayerPieces *base = &u.job.pieces[0];
    for (int i = 0; i < base->piece_count; i++)
        if (base->pieces[i].has_laps) found = i;
    assert_true(found >= 0);
    char id[16];
    snprintf(id, sizeof id, "%s", base->pieces[found].id);
    const char *ids[1] = {id};
    assert_true(job_freeze(&u.job, ids, 1, &u.keep, &u.edits, &u.err));
    assert_non_null(u.edits.items[0].face);
    for (int form = 0; form < 2; form++) {
        Proof proof;
        int laps = 0;
        assert_true(settings_add_seams(&u.settings, form ? "butt" : "lap", &u.err));
        assert_true(update(&u));
        base = &u.job.pieces[0];
        for (int s = 0; s < base->seam_count; s++)
            laps += base->seams[s].form == SEAM_LAP && strcmp(base->pieces[base->seams[s].lap_of].id, id) == 0;
        assert_true(laps > 0);
        for (int s = 0; s < base->seam_count && form; s++)
            assert_true(base->seams[s].form == SEAM_BUTT || strcmp(base->pieces[base->seams[s].lap_of].id, id) == 0);
        assert_true(job_prove(&u.job.kit, 1, NULL, &u.keep, &proof, &u.err));
        if (proof.fault_count) fail_msg("%s", proof.text);
    }
    end(&u);
}

static void job_freeze__needs_pieces_that_are_there(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    const char *ids[1] = {"Z99"};
    assert_false(job_freeze(&u.job, ids, 1, &u.keep, &u.edits, &u.err));
    assert_non_null(strstr(u.err.text, "Z99"));
    Job empty = {0};
    assert_false(job_freeze(&empty, ids, 1, &u.keep, &u.edits, &u.err));
    assert_int_equal(u.edits.count, 0);
    end(&u);
}

// ---- colours, memory ----

static void job_colours__finds_colours_by_name_and_an_update_takes_them_over(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    job_free(&u.job);
    assert_true(job_create(&u.input, &u.job, &u.err));
    assert_true(job_colours(&u.job, &u.settings, NULL, NULL, &u.err));
    assert_int_equal(u.job.kit.count, 0);
    Srgb8 colour;
    assert_true(job_find_colour(&u.job, u.job.separation.colours[1].name, &colour, &u.err));
    assert_memory_equal(&colour, &u.job.separation.colours[1].colour, sizeof colour);
    assert_true(job_find_colour(&u.job, "#102030", &colour, &u.err));
    assert_false(job_find_colour(&u.job, "plaid", &colour, &u.err));
    assert_int_equal(u.err.kind, ERROR_USAGE);
    assert_non_null(strstr(u.err.text, u.job.separation.colours[0].name));
    const void *label = u.job.separation.label;
    assert_true(update(&u));
    assert_ptr_equal(u.job.separation.label, label);
    end(&u);
}

static void job_colours__leaves_what_was_computed_for_the_next_update(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    const void *files = u.job.kit.items, *label = u.job.separation.label, *regions = u.job.outlines.regions;
    size_t held = job_held_bytes(&u.job);
    Settings other = u.settings;
    other.smallest_area_px = 4000.0;
    for (int i = 0; i < 3; i++) {
        assert_true(job_colours(&u.job, i == 1 ? &other : &u.settings, NULL, NULL, &u.err));
        assert_int_equal(u.job.kit.count, 0);
        if (i != 1) assert_ptr_equal(u.job.separation.label, label);
        assert_true(job_held_bytes(&u.job) < 2 * held); // what is shared is counted once
    }
    assert_true(update(&u));
    assert_ptr_equal(u.job.outlines.regions, regions);
    assert_ptr_equal(u.job.kit.items, files);
    assert_int_equal(job_held_bytes(&u.job), held);
    end(&u);
}

static void job_update__many_edits_hold_no_more_memory_than_twenty(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 2);
    u.settings.height_mm = 140.0; // few pieces: what counts is how often results are replaced
    size_t after_20 = 0;
    int edits = quick_or_all(MANY_EDITS, MANY_EDITS_ALL);
    for (int i = 0; i < edits; i++) { // an update for every two edits
        add(&u, (Edit){.kind = EDIT_SHEET, .colour = colour_of_layer(&u, i % u.job.stack.layer_count), .text = i % 2 ? "4x4in" : "5x7"});
        if (i % 10 == 9) add(&u, (Edit){.kind = EDIT_UNDERLAP, .mm = 4.0 + i / 10 % 3});
        if (i % 2) assert_true(update(&u));
        if (i == 19) after_20 = job_held_bytes(&u.job);
    }
    size_t after_all = job_held_bytes(&u.job);
    assert_true((double)after_all < 1.1 * (double)after_20);
    assert_true((double)after_all > 0.5 * (double)after_20);
    end(&u);
}

// ---- places ----

static Edit place_edit(const JobPlaces *places, const char *piece, NestPlace to)
{
    Edit edit = {.kind = EDIT_PLACE, .colour = places->colour, .text = piece, .sheet = to.sheet + 1};
    memcpy(edit.to_sheet, to.to_sheet, sizeof edit.to_sheet);
    return edit;
}

static void job_places__a_piece_goes_where_the_edit_puts_it_and_the_kit_is_proved(void **state)
{
    (void)state;
    Undertaking u;
    begin(&u, 0);
    const void *marks = u.job.marks[1].marks, *pieces = u.job.pieces[1].pieces;
    int tried = 0;
    for (int p = 0; p < u.job.paper_count; p++)
        for (int i = 0; i < u.job.papers[p].piece_count; i++) {
            const char *id = u.job.pieces[u.job.papers[p].layers[i]].pieces[u.job.papers[p].pieces[i]].id;
            JobPlaces places;
            assert_true(job_places(&u.job, id, NULL, &u.keep, &places, &u.err));
            assert_true(places.paper == p && places.index == i);
            if (places.count == 0) continue;
            NestPlace wanted = places.items[places.count - 1];
            add(&u, place_edit(&places, id, wanted));
            assert_true(update(&u));
            assert_memory_equal(u.job.papers[p].nest.places[i].to_sheet, wanted.to_sheet, sizeof wanted.to_sheet);
            tried++;
        }
    assert_true(tried > 0);
    assert_false(has_finding(&u.job, "edit-not-kept", "its sheet"));
    assert_ptr_equal(u.job.marks[1].marks, marks); // seams and marks are taken over
    assert_ptr_equal(u.job.pieces[1].pieces, pieces);
    Proof proof;
    assert_true(job_prove(&u.job.kit, 1, NULL, &u.keep, &proof, &u.err));
    assert_int_equal(proof.fault_count, 0);
    end(&u);
}

static void job_places__what_cannot_be_kept_is_told(void **state)
{
    (void)state;
    Undertaking u;
    JobPlaces places;
    begin(&u, 0);
    assert_false(job_places(&u.job, "Z99", NULL, &u.keep, &places, &u.err));
    assert_int_equal(u.err.kind, ERROR_JOB);
    assert_true(job_places(&u.job, "A1", NULL, &u.keep, &places, &u.err));
    NestPlace now = u.job.papers[places.paper].nest.places[places.index], beyond = now;
    beyond.to_sheet[4] += 500.0;
    add(&u, place_edit(&places, "A1", beyond));
    beyond.sheet += 50;
    add(&u, place_edit(&places, "A1", beyond));
    add(&u, place_edit(&places, "A99", now));
    assert_true(update(&u));
    assert_true(has_finding(&u.job, "edit-not-kept", "it would not lie wholly on the sheet"));
    assert_true(has_finding(&u.job, "edit-not-kept", "its paper has no such sheet"));
    assert_true(has_finding(&u.job, "edit-without-target", "no such piece"));
    assert_memory_equal(&u.job.papers[places.paper].nest.places[places.index], &now, sizeof now);
    end(&u);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(job_update__another_paper_redoes_its_layer_and_no_other),
        cmocka_unit_test(job_update__a_price_leaves_seams_marks_and_sheets),
        cmocka_unit_test(job_update__another_height_keeps_the_picture_alone),
        cmocka_unit_test(job_update__the_same_again_computes_nothing),
        cmocka_unit_test(job_update__another_page_or_price_makes_the_guide_again_and_nothing_before_it),
        cmocka_unit_test(job_update__after_an_error_the_job_is_as_it_was_and_goes_on),
        cmocka_unit_test(job_update__a_cancel_at_any_moment_leaves_the_job_as_it_was),
        cmocka_unit_test(job_update__shows_a_first_answer_and_ends_with_the_same_bytes),
        cmocka_unit_test(job_update__tells_stages_and_a_share_that_only_rises),
        cmocka_unit_test(job_update__threads_do_not_show),
        cmocka_unit_test(job_update__names_and_papers_reach_the_kit),
        cmocka_unit_test(job_update__another_form_of_the_files_writes_them_anew_and_nothing_else),
        cmocka_unit_test(job_update__what_cannot_be_done_is_a_finding_in_the_kit),
        cmocka_unit_test(job_places__a_piece_goes_where_the_edit_puts_it_and_the_kit_is_proved),
        cmocka_unit_test(job_places__what_cannot_be_kept_is_told),
        cmocka_unit_test(job_update__a_thousand_edits_are_followed),
        cmocka_unit_test(job_freeze__a_piece_with_laps_keeps_them),
        cmocka_unit_test(job_freeze__a_frozen_piece_refuses_what_would_alter_it_until_it_is_let_go),
        cmocka_unit_test(job_freeze__needs_pieces_that_are_there),
        cmocka_unit_test(job_update__a_name_leaves_the_layers_and_their_marks),
        cmocka_unit_test(job_colours__leaves_what_was_computed_for_the_next_update),
        cmocka_unit_test(job_colours__finds_colours_by_name_and_an_update_takes_them_over),
        cmocka_unit_test(job_update__many_edits_hold_no_more_memory_than_twenty),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
