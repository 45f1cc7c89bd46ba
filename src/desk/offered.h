// offered.h - what the job would come to with fewer pieces or fewer seams, worked out while nobody waits, and told in the bill.
#ifndef PM_DESK_OFFERED_H
#define PM_DESK_OFFERED_H

#include "base/write_json.h"
#include "job/job.h"

typedef struct Offered {
    int64_t shape;              // of the answer they belong to; 0: none
    JobOffers offers;
} Offered;

// `edits` are those of the last update. False only when it was stopped; an offer that cannot be had is none.
bool offered_work(Job *job, const Settings *settings, const EditList *edits, const JobWatch *watch, int64_t shape, Offered *out);

// The list of those that are worth telling: a sentence and the docket line that takes it.
MUST_USE bool offered_write(const Offered *offered, JsonWriter *json, Arena *own, Error *err);

#endif
