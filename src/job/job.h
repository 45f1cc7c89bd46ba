// job.h - the door: a picture and settings -> the bytes of a kit. The one place that knows the order of the rooms.
// Memory:  a Job owns every stage result until job_free.
// Errors:  whatever a room says, unchanged.
#ifndef PM_JOB_JOB_H
#define PM_JOB_JOB_H

#include "job/settings.h"
#include "kit/kit.h"
#include "proof/proof.h"

typedef struct JobInput {
    const void *bytes;          // of the picture file
    size_t size_bytes;
    const char *shown_name;     // printable, for error texts
    const char *kit_name;       // safe for file names
    const char *child_program;  // see PictureOptions
} JobInput;

// Called on the caller's thread when a stage begins: "colours", "outlines", ...; may be NULL.
typedef void (*JobStage)(void *context, const char *stage);

typedef struct JobWatch {
    const atomic_bool *cancel;
    JobStage stage;
    void *context;
} JobWatch;

typedef struct Job {
    Picture picture;
    Separation separation;
    Outlines outlines;
    Stack stack;
    LayerPieces *pieces;        // one a layer
    LayerMarks *marks;          // one a layer
    KitPaper *papers;
    int paper_count;
    FileSet kit;                // proof.txt not among them
    Arena keep;
    Arena *unit_keeps;          // one a unit that ran beside others
    int unit_count;
} Job;

// The picture's colours only (picture and separation of the job are filled).
MUST_USE bool job_colours(const JobInput *input, const Settings *settings, const JobWatch *watch, Job *out, Error *err);

// Everything up to the kit's bytes.
MUST_USE bool job_build(const JobInput *input, const Settings *settings, const JobWatch *watch, Job *out, Error *err);

// The proof of a kit's bytes; its text lives in keep.
MUST_USE bool job_prove(const FileSet *files, const JobWatch *watch, Arena *keep, Proof *out, Error *err);

void job_free(Job *job);        // also after a failure

#endif
