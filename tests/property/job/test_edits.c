// test_edits.c - laws of the job over seeded sequences of edits on three small pictures: what is computed with the cache is
// what is computed from scratch, byte for byte; undo of all is the start, byte for byte; the proof passes at each end.
// PM_SEQUENCES says how many sequences (12), PM_FIRST_SEED the first seed (1).
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "small_pictures.h"
#include "support/same_files.h"

#include "base/rng.h"
#include "job/job.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define EDITS_A_SEQUENCE 10
#define DEFAULT_SEQUENCES 12

typedef struct Trial {
    uint64_t seed;
    Rng rng;
    Arena keep;
    Job job;
    JobInput input;
    Settings settings;
    EditList edits;
    int refused;
    bool *tried;    // by kind of edit
} Trial;

static long number_from_environment(const char *name, long otherwise)
{
    const char *text = getenv(name);
    return text && text[0] ? strtol(text, NULL, 10) : otherwise;
}

// ---- random edits ----

static FigurePoint random_place(Trial *t)
{
    double wide = t->job.outlines.width_mm / t->job.outlines.height_mm;
    return (FigurePoint){(rng_unit(&t->rng) * 1.1 - 0.05) * wide, rng_unit(&t->rng) * 1.1 - 0.05};
}

// A colour of the picture as it is now, now and then one that is not there.
static Srgb8 random_colour(Trial *t)
{
    const Stack *stack = &t->job.stack;
    if (rng_below(&t->rng, 12) == 0) return (Srgb8){(uint8_t)rng_below(&t->rng, 256), 255, (uint8_t)rng_below(&t->rng, 256)};
    return stack->colours[rng_below(&t->rng, (uint32_t)stack->colour_count)].colour;
}

static FigurePoint place_of(const Trial *t, Point p)
{
    return job_place(&t->job, p.x / UM_PER_MM, p.y / UM_PER_MM);
}

static const Seam *random_seam(Trial *t, int *out_layer)
{
    const Job *job = &t->job;
    int layer = (int)rng_below(&t->rng, (uint32_t)job->stack.layer_count);
    *out_layer = layer;
    if (job->pieces[layer].seam_count == 0) return NULL;
    return &job->pieces[layer].seams[rng_below(&t->rng, (uint32_t)job->pieces[layer].seam_count)];
}

// A line along a seam that is there, shifted a little; or any line.
static Edit random_seam_edit(Trial *t, FigurePoint points[4])
{
    static const EditKind kinds[] = {EDIT_SEAM, EDIT_SEAM_FORBIDDEN, EDIT_SEAM_MOVED};
    Edit edit = {.kind = kinds[rng_below(&t->rng, 3)], .points = points, .point_count = 2, .from = points + 2, .from_count = 2};
    int layer;
    const Seam *seam = random_seam(t, &layer);
    edit.colour = t->job.stack.colours[t->job.stack.layers[layer].colour].colour;
    for (int i = 0; i < 4; i++) points[i] = random_place(t);
    if (seam && rng_below(&t->rng, 4) > 0) {
        const Chains *chains = &t->job.pieces[layer].chains;
        points[2] = place_of(t, link_start(chains, &seam->links[0]));
        points[3] = place_of(t, link_end(chains, &seam->links[seam->link_count - 1]));
        FigurePoint shift = {0.1 * rng_unit(&t->rng) - 0.05, 0.1 * rng_unit(&t->rng) - 0.05};
        if (edit.kind == EDIT_SEAM_FORBIDDEN) shift = (FigurePoint){0.0, 0.0};
        for (int i = 0; i < 2; i++) points[i] = (FigurePoint){points[i + 2].x + shift.x, points[i + 2].y + shift.y};
    }
    if (edit.kind != EDIT_SEAM_MOVED) edit.from_count = 0;
    return edit;
}

static Edit random_area_edit(Trial *t, FigurePoint points[4])
{
    FigurePoint at = random_place(t);
    double side = 0.05 + 0.3 * rng_unit(&t->rng);
    const FigurePoint corners[4] = {at, {at.x + side, at.y}, {at.x + side, at.y + side}, {at.x, at.y + side}};
    memcpy(points, corners, sizeof corners);
    if (rng_below(&t->rng, 3) == 0) return (Edit){.kind = EDIT_KEEP_CLEAR, .at = at};
    if (rng_below(&t->rng, 8) == 0) points[2] = (FigurePoint){at.x - side, at.y + side / 2}; // it may cross itself
    return (Edit){.kind = EDIT_KEEP_CLEAR, .points = points, .point_count = 4};
}

static void tell(const Trial *t, const char *law, const char *why)
{
    Arena arena = arena_make(0);
    Text text = text_make(&arena);
    edits_write(&t->edits, &text);
    fprintf(stderr, "seed %llu: %s: %s\nheight %.1f mm, edits:\n%s", (unsigned long long)t->seed, law, why, t->settings.height_mm,
            text.failed ? "" : text.bytes); // longer than cmocka prints
    arena_free(&arena);
}

// A further place of a piece, or where it lies moved a little, so that others lie in its way or the sheet's edge does.
static Edit random_place_edit(Trial *t)
{
    Error err = {0};
    JobPlaces places;
    const KitPaper *paper = &t->job.papers[rng_below(&t->rng, (uint32_t)t->job.paper_count)];
    int at = (int)rng_below(&t->rng, (uint32_t)paper->piece_count);
    const Piece *piece = &t->job.pieces[paper->layers[at]].pieces[paper->pieces[at]];
    NestPlace place = paper->nest.places[at];
    if (!job_places(&t->job, piece->id, NULL, &t->keep, &places, &err)) tell(t, "places", err.text);
    if (places.count > 0 && rng_below(&t->rng, 2)) place = places.items[rng_below(&t->rng, (uint32_t)places.count)];
    else place.to_sheet[4] -= rng_below(&t->rng, 40), place.to_sheet[5] += rng_below(&t->rng, 40);
    Edit edit = {.kind = EDIT_PLACE, .colour = paper->colour, .text = piece->id, .sheet = place.sheet + 1};
    memcpy(edit.to_sheet, place.to_sheet, sizeof edit.to_sheet);
    return edit;
}

static Edit random_edit(Trial *t, FigurePoint points[4])
{
    static const char *const names[] = {"sea", "night sky", "sea", "m\xc3\xb6we"};
    static const char *const papers[] = {"5x7", "letter,one-faced", "a5", "6x9,textured"};
    Edit edit = {.colour = random_colour(t), .other = random_colour(t), .at = random_place(t)};
    static const char *const offcuts[] = {"4x6", "3x5,65lb", "5x7", "2x2"};
    static NamedColour in_hand[] = {{{29, 47, 90}, "navy"}, {{200, 30, 40}, "brick"}, {{244, 234, 210}, "cream"}, {{40, 150, 60}, "leaf"}};
    switch (rng_below(&t->rng, 26)) {
    case 0: edit.kind = EDIT_GROUND; break;
    case 1: edit.kind = EDIT_PAPER; break;
    case 2: edit.kind = EDIT_SAME; break;
    case 3: edit.kind = EDIT_LEAVE_OUT; break;
    case 4: edit.kind = EDIT_NAME, edit.text = names[rng_below(&t->rng, 4)]; break;
    case 5: edit.kind = EDIT_SHEET, edit.text = papers[rng_below(&t->rng, 4)]; break;
    case 6: edit.kind = EDIT_OVER; break;
    case 7: edit.kind = EDIT_SMALLEST, edit.mm = 2.0 + 10.0 * rng_unit(&t->rng), edit.hole_mm = rng_unit(&t->rng) < 0.5 ? 0.0 : 3.0; break;
    case 8: edit.kind = EDIT_TINY, edit.fate = (TinyFate)rng_below(&t->rng, 3); break;
    case 9: edit.kind = edit.at.x < edit.at.y ? EDIT_BASE : EDIT_RAISED; break;
    case 10: edit.kind = EDIT_BORDER, edit.mm = rng_below(&t->rng, 8); break;
    case 11: edit.kind = EDIT_UNDERLAP, edit.mm = rng_below(&t->rng, 12); break;
    case 12: edit.kind = EDIT_STACK, edit.way = (StackWay)rng_below(&t->rng, 2); break;
    case 13: edit.kind = EDIT_FEWER, edit.fewer = (Fewer)rng_below(&t->rng, 3); break;
    case 14: edit = random_area_edit(t, points); break;
    case 15: edit.kind = EDIT_SEAM_FORM, edit.form = rng_below(&t->rng, 4) ? SEAM_LAP : SEAM_BUTT; break;
    case 16: edit.kind = EDIT_LINES, edit.lines = (StackLines)rng_below(&t->rng, 3); break;
    case 17: edit.kind = EDIT_MATCH, edit.papers = in_hand, edit.paper_count = 1 + (int)rng_below(&t->rng, 4); break;
    case 18:
    case 19: edit = random_place_edit(t); break;
    case 20: edit.kind = EDIT_INLAY; break;
    case 21: edit.kind = EDIT_RAISED; break;
    case 22:
    case 23: edit.kind = EDIT_OFFCUT, edit.text = offcuts[rng_below(&t->rng, 4)], edit.count = (int)rng_below(&t->rng, 4); break;
    default: edit = random_seam_edit(t, points); break;
    }
    if (edit.kind == EDIT_TINY && t->job.stack.findings.count > 0) { // where a finding says that something is tiny
        const Finding *finding = &t->job.stack.findings.items[rng_below(&t->rng, (uint32_t)t->job.stack.findings.count)];
        edit.at = job_place(&t->job, finding->x_mm, finding->y_mm);
    }
    return edit;
}

// ---- the laws ----

static bool check_from_scratch(const Trial *t)
{
    Job fresh;
    Error err = {0};
    bool fine = job_create(&t->input, &fresh, &err) && job_update(&fresh, &t->settings, &t->edits, NULL, &err);
    if (!fine) tell(t, "from scratch", err.text);
    const char *why = fine ? files_differ(&fresh.kit, &t->job.kit) : NULL;
    if (why) tell(t, "with the cache is not as from scratch", why);
    fine = fine && !why;
    job_free(&fresh);
    return fine;
}

static bool check_proof(const Trial *t)
{
    Arena keep = arena_make(0);
    Error err = {0};
    Proof proof = {0};
    bool fine = job_prove(&t->job.kit, 1, NULL, &keep, &proof, &err);
    if (!fine) tell(t, "proof", err.text);
    if (fine && proof.fault_count > 0) {
        fine = false;
        tell(t, proof.faults[0].where, proof.faults[0].text);
    }
    arena_free(&keep);
    return fine;
}

static void ignore_first(void *context, const Job *job)
{
    int *calls = context;
    *calls += job->paper_count > 0;
}

static void say_marks(Settings *settings, int count, MarkLine first, MarkLine second)
{
    settings->mark_count = count;
    settings->marks[0] = first;
    settings->marks[1] = second;
}

// Another cutter, tool, inset, common paper or form of seams.
static void change_settings(Trial *t)
{
    static const char *const CUTTERS[] = {"12x12,score", "a4,pen,loss 5mm", "roll 12in,score,pen,loss 3mm 4mm 5mm 6mm", "6x9"};
    static const char *const PAPERS[] = {"5x7", "5x7,textured", "5x7,no-score,grained", "5x7,65lb,25 for 8.99,from 12x12", "5x7,no-score,no-pen"};
    Settings *settings = &t->settings;
    Error err = {0};
    bool fine = true;
    switch (rng_below(&t->rng, 7)) {
    case 0: settings->has_cutter = fine = cutter_parse(CUTTERS[rng_below(&t->rng, 4)], &settings->cutter, &err); break;
    case 1: settings->has_cutter = false; break;
    case 2: say_marks(settings, (int)rng_below(&t->rng, 2), MARK_PEN, MARK_PEN); break;
    case 3: say_marks(settings, 2, MARK_SCORE, MARK_PEN); break;
    case 4: settings->inset_mm = rng_below(&t->rng, 2) ? 0.5 + 4.5 * rng_unit(&t->rng) : 0.0; break;
    case 6: fine = settings_add_seams(settings, rng_below(&t->rng, 3) ? "lap" : "butt", &err); break;
    case 5: fine = settings_add_paper(settings, PAPERS[rng_below(&t->rng, 5)], &err); break;
    }
    if (!fine) tell(t, "settings", err.text);
}

// Adds an edit or changes the height. What is refused is taken back, and the job is as it was.
static bool make_step(Trial *t)
{
    FigurePoint points[4];
    Settings before = t->settings;
    size_t count = t->edits.count;
    Error err = {0};
    int first_answers = 0;
    Edit edit = random_edit(t, points);
    t->tried[edit.kind] = true;
    bool ask_first = rng_below(&t->rng, 3) == 0;
    JobWatch watch = {.context = &first_answers, .first_answer = ask_first ? ignore_first : NULL};
    t->settings.threads = 1 + (int)rng_below(&t->rng, 2);
    if (!edits_add(&t->edits, &edit, &t->keep, &err)) return false;
    if (rng_below(&t->rng, 4) == 0) change_settings(t);
    if (rng_below(&t->rng, 6) == 0) t->settings.height_mm = 25.4 * (8.0 + rng_below(&t->rng, 7));
    if (job_update(&t->job, &t->settings, &t->edits, &watch, &err)) {
        if (!ask_first || first_answers == 1) return true;
        tell(t, "first answer", "it was not shown once");
        return false;
    }
    bool fine = err.kind == ERROR_JOB;
    if (!fine) tell(t, "update", err.text);
    t->settings = before;
    t->edits.count = count;
    t->refused++;
    return fine;
}

static bool start(Trial *t, uint64_t seed, bool *tried)
{
    *t = (Trial){.seed = seed, .tried = tried, .rng = rng_make(seed), .keep = arena_make(0)};
    Error err = {0};
    SmallPicture picture = small_picture((int)(seed % SMALL_PICTURE_COUNT), &t->keep);
    t->input = (JobInput){picture.bytes, picture.size_bytes, "small.png", "small", NULL};
    t->settings = settings_defaults();
    t->settings.height_mm = 25.4 * (8.0 + rng_below(&t->rng, 7));
    if (rng_below(&t->rng, 3) == 0) t->settings.marks[0] = MARK_PEN, t->settings.mark_count = 1;
    bool fine = settings_add_paper(&t->settings, "5x7", &err) && job_create(&t->input, &t->job, &err) &&
                job_update(&t->job, &t->settings, NULL, NULL, &err);
    if (!fine) tell(t, "start", err.text);
    return fine;
}

static bool check_undo(Trial *t, const Settings *settings, const FileSet *start_files)
{
    Error err = {0};
    if (!job_update(&t->job, settings, NULL, NULL, &err)) {
        tell(t, "undo", err.text);
        return false;
    }
    const char *why = files_differ(&t->job.kit, start_files);
    if (!why) return true;
    tell(t, "undo of all is not the start", why);
    return false;
}

static bool run_sequence(uint64_t seed, int *refused, bool *tried)
{
    Trial t;
    FileSet start_files;
    bool fine = start(&t, seed, tried) && files_copy(&t.job.kit, &t.keep, &start_files);
    Settings at_start = t.settings;
    for (int i = 0; i < EDITS_A_SEQUENCE && fine; i++) fine = make_step(&t);
    fine = fine && check_from_scratch(&t) && check_proof(&t) && check_undo(&t, &at_start, &start_files);
    *refused += t.refused;
    job_free(&t.job);
    arena_free(&t.keep);
    return fine;
}

static void job__any_sequence_of_edits_gives_what_is_computed_from_scratch(void **state)
{
    (void)state;
    long count = number_from_environment("PM_SEQUENCES", DEFAULT_SEQUENCES), first = number_from_environment("PM_FIRST_SEED", 1);
    int failed = 0, refused = 0;
    bool tried[EDIT_KIND_COUNT] = {false};
    for (long i = 0; i < count; i++)
        if (!run_sequence((uint64_t)(first + i), &refused, tried)) failed++;
    print_message("%ld sequences of %d edits: %d failed, %d edits were refused\n", count, EDITS_A_SEQUENCE, failed, refused);
    assert_int_equal(failed, 0);
    for (int kind = 0; kind < EDIT_KIND_COUNT; kind++) // few sequences must not leave a kind out; frozen pieces have tests of their own
        if (!tried[kind] && kind != EDIT_FROZEN && count >= DEFAULT_SEQUENCES) fail_msg("no edit of kind %d was tried", kind);
    assert_true(refused < count * EDITS_A_SEQUENCE / 2); // most edits must be such as a job can follow
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(job__any_sequence_of_edits_gives_what_is_computed_from_scratch),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
