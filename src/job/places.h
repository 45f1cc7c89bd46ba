// places.h - the edits "place": pieces that the maker put somewhere else on their sheets. job_places of job.h lives here too.
#ifndef PM_JOB_PLACES_H
#define PM_JOB_PLACES_H

#include "job/run.h"

// After the nest: run->out->papers[].nest as the edits have it, run->nest_kept likewise. What cannot be kept becomes a finding.
MUST_USE bool places_grant(Run *run, Error *err);

#endif
