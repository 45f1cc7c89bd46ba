// changes.h - options that are edits (--same A=B ...), in the order in which they were typed, and the edits they become.
// Colours may be typed by name; so the picture's colours must be known before the edits are.
#ifndef PM_APP_CHANGES_H
#define PM_APP_CHANGES_H

#include "job/job.h"

#define CHANGES_MOST 1024

typedef struct Change {
    const char *option;     // "--same"
    const char *value;
} Change;

typedef struct Changes {
    Change items[CHANGES_MOST];
    int count;
} Changes;

// Notes an option; what can be judged without the picture is judged here. Errors: ERROR_USAGE.
MUST_USE bool changes_add(Changes *changes, const char *option, const char *value, Error *err);

// The edits that the options mean. Finds colours by name in the job, which then knows its colours; reads the files of
// --edits.
MUST_USE bool changes_to_edits(const Changes *changes, Job *job, const Settings *settings, const JobWatch *watch, Arena *keep,
                               EditList *out, Error *err);

#endif
