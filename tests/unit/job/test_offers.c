// test_offers.c - offers are true, they leave the job as it is, and what they found is there when one is taken.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "small_pictures.h"

#include "job/job.h"

#include <string.h>
#include <time.h>

typedef struct Undertaking {
    Arena keep;
    Settings settings;
    EditList edits;
    Job job;
    Error err;
} Undertaking;

static void update(Undertaking *u)
{
    if (!job_update(&u->job, &u->settings, &u->edits, NULL, &u->err)) print_error("%s\n", u->err.text);
    assert_int_equal(u->err.kind, ERROR_NONE);
}

static void begin(Undertaking *u, int which, double height_mm, Fewer fewer)
{
    *u = (Undertaking){.keep = arena_make(0), .settings = settings_defaults()};
    SmallPicture picture = small_picture(which, &u->keep);
    JobInput input = {picture.bytes, picture.size_bytes, "small.png", "small", NULL};
    u->settings.height_mm = height_mm;
    u->settings.fewer = fewer;
    u->settings.threads = 2;
    assert_true(settings_add_paper(&u->settings, "5x7", &u->err));
    assert_true(job_create(&input, &u->job, &u->err));
    update(u);
}

static void end(Undertaking *u)
{
    job_free(&u->job);
    arena_free(&u->keep);
}

static void ask(Undertaking *u, JobOffers *offers)
{
    assert_true(job_offers(&u->job, &u->settings, &u->edits, NULL, offers, &u->err));
}

static void assert_is_total(const Job *job, const JobOffer *offer)
{
    int pieces = 0;
    double visible_mm = 0.0;
    for (int layer = 0; layer < job->stack.layer_count; layer++) {
        pieces += job->pieces[layer].piece_count;
        for (int i = 0; i < job->pieces[layer].seam_count; i++) visible_mm += job->pieces[layer].seams[i].visible_mm;
    }
    assert_int_equal(offer->pieces, pieces);
    assert_true(offer->visible_mm - visible_mm < 1e-6 && visible_mm - offer->visible_mm < 1e-6);
}

static const JobOffer *offer_of(const JobOffers *offers, Fewer fewer)
{
    for (int i = 0; i < offers->count; i++)
        if (offers->items[i].fewer == fewer) return &offers->items[i];
    return NULL;
}

#define TALL_MM 420.0 // sheets enough that divisions differ
#define LOW_MM 220.0

static void job_offers__names_the_totals_that_a_build_then_has(void **state)
{
    (void)state;
    int differ = 0;
    for (int which = 0; which < 2; which++) {
        Undertaking u, other;
        JobOffers offers;
        begin(&u, which, TALL_MM, FEWER_NEITHER);
        ask(&u, &offers);
        assert_int_equal(offers.count, 2);
        assert_is_total(&u.job, &offers.now);
        for (int fewer = FEWER_PIECES; fewer <= FEWER_SEAMS; fewer++) {
            const JobOffer *offer = offer_of(&offers, (Fewer)fewer);
            assert_non_null(offer);
            begin(&other, which, TALL_MM, (Fewer)fewer);
            assert_is_total(&other.job, offer);
            if (fewer == FEWER_PIECES) assert_true(offer->pieces <= offers.now.pieces);
            if (fewer == FEWER_SEAMS) assert_true(offer->visible_mm <= offers.now.visible_mm + 1e-6);
            differ += offer->pieces != offers.now.pieces || offer->visible_mm != offers.now.visible_mm;
            end(&other);
        }
        end(&u);
    }
    assert_true(differ > 0); // else nothing was seen here
}

static void job_offers__leaves_the_job_and_its_next_update_as_they_were(void **state)
{
    (void)state;
    Undertaking u;
    JobOffers offers;
    begin(&u, 0, LOW_MM, FEWER_NEITHER);
    size_t held = job_held_bytes(&u.job);
    const void *files = u.job.kit.items, *pieces = u.job.pieces[0].pieces;
    ask(&u, &offers);
    ask(&u, &offers);
    assert_ptr_equal(u.job.kit.items, files);
    assert_ptr_equal(u.job.pieces[0].pieces, pieces);
    assert_true(job_held_bytes(&u.job) < 2 * held);
    update(&u);
    assert_ptr_equal(u.job.kit.items, files);
    assert_int_equal(job_held_bytes(&u.job), held); // what was not taken is let go
    end(&u);
}

static double cpu_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

typedef struct Shares { double seams_from_s, seams_s; } Shares;

static void note_stage(void *context, const char *stage)
{
    Shares *shares = context;
    if (strcmp(stage, "seams") == 0) shares->seams_from_s = cpu_s();
    else if (strcmp(stage, "marks and sheets") == 0) shares->seams_s = cpu_s() - shares->seams_from_s;
}

static void job_update__an_offer_that_is_taken_is_not_searched_for_again(void **state)
{
    (void)state;
    Undertaking u, fresh;
    JobOffers offers;
    Shares taken = {0}, searched = {0};
    Edit fewer = {.kind = EDIT_FEWER, .fewer = FEWER_SEAMS};
    begin(&u, 1, TALL_MM, FEWER_NEITHER);
    begin(&fresh, 1, LOW_MM, FEWER_NEITHER);
    ask(&u, &offers);
    assert_true(edits_add(&u.edits, &fewer, &u.keep, &u.err));
    assert_true(edits_add(&fresh.edits, &fewer, &fresh.keep, &fresh.err));
    fresh.settings = u.settings;
    JobWatch watch = {.stage = note_stage, .context = &taken};
    assert_true(job_update(&u.job, &u.settings, &u.edits, &watch, &u.err));
    watch.context = &searched;
    assert_true(job_update(&fresh.job, &fresh.settings, &fresh.edits, &watch, &fresh.err));
    assert_true(taken.seams_s < 0.5 * searched.seams_s);
    assert_is_total(&u.job, offer_of(&offers, FEWER_SEAMS));
    assert_int_equal(u.job.kit.count, fresh.job.kit.count);
    for (int i = 0; i < u.job.kit.count; i++) {
        const FileBytes *a = &u.job.kit.items[i], *b = &fresh.job.kit.items[i];
        assert_int_equal(a->size_bytes, b->size_bytes);
        assert_memory_equal(a->bytes, b->bytes, a->size_bytes);
    }
    end(&fresh);
    end(&u);
}

static void job_offers__at_an_end_there_is_one_and_it_leads_back(void **state)
{
    (void)state;
    Undertaking u;
    JobOffers offers;
    Edit fewer = {.kind = EDIT_FEWER, .fewer = FEWER_PIECES};
    begin(&u, 0, LOW_MM, FEWER_NEITHER);
    JobOffers usual;
    ask(&u, &usual);
    u.settings.fewer = FEWER_SEAMS;
    assert_true(edits_add(&u.edits, &fewer, &u.keep, &u.err)); // the edit counts, not the setting
    update(&u);
    ask(&u, &offers);
    assert_int_equal(offers.now.fewer, FEWER_PIECES);
    assert_int_equal(offers.count, 1);
    assert_int_equal(offers.items[0].fewer, FEWER_NEITHER);
    assert_int_equal(offers.items[0].pieces, usual.now.pieces);
    assert_false(offers.items[0].is_worth_telling && offers.items[0].visible_mm >= offers.now.visible_mm);
    end(&u);
}

static void job_offers__a_cancel_leaves_the_job_and_what_was_offered(void **state)
{
    (void)state;
    Undertaking u;
    JobOffers offers, none;
    begin(&u, 0, LOW_MM, FEWER_NEITHER);
    const void *files = u.job.kit.items;
    ask(&u, &offers);
    atomic_bool cancel = true;
    JobWatch watch = {.cancel = &cancel};
    assert_false(job_offers(&u.job, &u.settings, &u.edits, &watch, &none, &u.err));
    assert_int_equal(u.err.kind, ERROR_CANCELLED);
    assert_int_equal(none.count, 0);
    assert_ptr_equal(u.job.kit.items, files);
    u.err = (Error){0};
    update(&u);
    assert_ptr_equal(u.job.kit.items, files);
    end(&u);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(job_offers__names_the_totals_that_a_build_then_has),
        cmocka_unit_test(job_offers__leaves_the_job_and_its_next_update_as_they_were),
        cmocka_unit_test(job_update__an_offer_that_is_taken_is_not_searched_for_again),
        cmocka_unit_test(job_offers__at_an_end_there_is_one_and_it_leads_back),
        cmocka_unit_test(job_offers__a_cancel_leaves_the_job_and_what_was_offered),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
