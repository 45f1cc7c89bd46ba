// offers.c - see offers.h. A neighbour is the same edits and one more; only pieces are made.
#include "job/offers.h"

#include "job/fewer.h"

#define CLEARLY_LESS_SHARE 0.03 // of the seam in sight, to be worth a word ...
#define CLEARLY_LESS_MM 50.8    // ... and no less than this

// From fewest pieces to least seam.
static const Fewer STEPS[] = {FEWER_PIECES, FEWER_NEITHER, FEWER_SEAMS};
#define STEP_COUNT (int)(sizeof STEPS / sizeof STEPS[0])

static int current_step(const AnswerOptions *options)
{
    Fewer now = options->settings->fewer;
    for (size_t i = 0; i < options->edits->count; i++)
        if (options->edits->items[i].kind == EDIT_FEWER) now = options->edits->items[i].fewer;
    int step = 0;
    while (STEPS[step] != now) step++;
    return step;
}

static bool total_of(const Job *job, AnswerOptions options, Fewer fewer, Version *version, JobOffer *out, Error *err)
{
    Job answer;
    EditList edits = {0};
    Arena own = arena_make(0);
    Edit last = {.kind = EDIT_FEWER, .fewer = fewer};
    bool fine = true;
    for (size_t i = 0; i < options.edits->count && fine; i++) fine = edits_add(&edits, &options.edits->items[i], &own, err);
    options.edits = &edits;
    options.only_pieces = true;
    fine = fine && edits_add(&edits, &last, &own, err) && answer_make(job, &options, version, &answer, err);
    arena_free(&own);
    if (!fine) return false;
    *out = (JobOffer){.fewer = fewer};
    for (int layer = 0; layer < answer.stack.layer_count; layer++) {
        out->pieces += answer.pieces[layer].piece_count;
        out->visible_mm += fewer_visible_mm(&answer.pieces[layer]);
    }
    return true;
}

static bool is_worth(const JobOffer *offer, const JobOffer *now, bool towards_pieces)
{
    double less_mm = now->visible_mm - offer->visible_mm;
    if (towards_pieces) return offer->pieces < now->pieces;
    return less_mm >= CLEARLY_LESS_MM && less_mm >= CLEARLY_LESS_SHARE * now->visible_mm;
}

bool offers_make(const Job *job, const AnswerOptions *options, Version *version, JobOffers *out, Error *err)
{
    int now = current_step(options);
    *out = (JobOffers){0};
    if (!total_of(job, *options, STEPS[now], version, &out->now, err)) return false;
    for (int step = now - 1; step <= now + 1; step += 2) {
        if (step < 0 || step >= STEP_COUNT) continue;
        JobOffer *offer = &out->items[out->count++];
        if (!total_of(job, *options, STEPS[step], version, offer, err)) return false;
        offer->is_worth_telling = is_worth(offer, &out->now, step < now);
    }
    return true;
}
