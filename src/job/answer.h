// answer.h - one computation from picture to kit: the stages in their order, each taken over where its key is known.
#ifndef PM_JOB_ANSWER_H
#define PM_JOB_ANSWER_H

#include "job/job.h"
#include "job/version.h"

typedef struct AnswerOptions {
    const Settings *settings;
    const EditList *edits;      // never NULL
    const JobWatch *watch;      // may be NULL
    Version *const *others;     // to take results over from
    int other_count;
    bool only_colours;
    bool only_pieces;           // for offers: nothing after the pieces, and no thin parts
    bool only_layers;           // nothing after the layers: what rows of a comparison share
    bool only_kit_json;         // of the kit's files
    bool only_numbers;          // the same, without findings of thin parts and hinges
    bool unrefined;             // a first answer: what is new is not refined, no marks and no files; what is known refined is taken
} AnswerOptions;

// Fills `version` with results and `out` with what they are: the same fields as a Job's.
MUST_USE bool answer_make(const Job *job, const AnswerOptions *options, Version *version, Job *out, Error *err);

#endif
