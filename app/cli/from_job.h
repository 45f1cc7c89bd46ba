// from_job.h - what build works from: a picture with what was typed, or a job file, whose settings and changes come first.
#ifndef PM_APP_FROM_JOB_H
#define PM_APP_FROM_JOB_H

#include "arguments.h"

#include "base/files.h"

typedef struct BuildSource {
    FileBytes picture;
    const char *shown_name;     // of the picture, printable
    const char *name;           // of the job, safe for file names
    Settings settings;
    EditList edits;             // of the job file; those that were typed follow them
    bool cut_last;              // docket_cut_last, and nothing was typed that alters
} BuildSource;

// Errors: ERROR_INPUT: what cannot be read; ERROR_USAGE: no height anywhere.
MUST_USE bool build_source(const Arguments *arguments, Arena *keep, BuildSource *out, Error *err);

#endif
