// offers.h - what the job would come to with fewer pieces, or with fewer seams, than now: fewer.h one step either way (job_offers in job.h).
#ifndef PM_JOB_OFFERS_H
#define PM_JOB_OFFERS_H

#include "job/answer.h"

// Results go to `version`, where an update finds them. `options` are those of an update.
MUST_USE bool offers_make(const Job *job, const AnswerOptions *options, Version *version, JobOffers *out, Error *err);

#endif
