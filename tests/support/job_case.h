// job_case.h - a whole undertaking: picture, settings, edits and the job that follows them.
#ifndef PM_TESTS_SUPPORT_JOB_CASE_H
#define PM_TESTS_SUPPORT_JOB_CASE_H

#include "job/job.h"
#include "support/same_files.h"

#include "small_pictures.h"

#include <stdlib.h>
#include <string.h>

// Of the finished piece on 5 x 7: several pieces a layer. With PM_ALL=1 it is twice as much paper, and so twice as long.
#define UNDERTAKING_MM 215.9
#define UNDERTAKING_ALL_MM 304.8

typedef struct Undertaking {
    Arena keep;
    JobInput input;
    Settings settings;
    EditList edits;
    Job job;
    Error err;
} Undertaking;

static inline int quick_or_all(int quick, int all)
{
    const char *wanted = getenv("PM_ALL");
    return wanted && wanted[0] == '1' ? all : quick;
}

static inline double undertaking_mm(void)
{
    return quick_or_all(0, 1) ? UNDERTAKING_ALL_MM : UNDERTAKING_MM;
}

static inline bool update(Undertaking *u)
{
    u->err = (Error){0};
    return job_update(&u->job, &u->settings, &u->edits, NULL, &u->err);
}

static inline void begin(Undertaking *u, int which)
{
    *u = (Undertaking){.keep = arena_make(0), .settings = settings_defaults()};
    SmallPicture picture = small_picture(which, &u->keep);
    u->input = (JobInput){picture.bytes, picture.size_bytes, "small.png", "small", NULL};
    u->settings.height_mm = undertaking_mm();
    u->settings.threads = 2;
    assert_true(settings_add_paper(&u->settings, "5x7", &u->err));
    assert_true(job_create(&u->input, &u->job, &u->err));
    if (!update(u)) print_error("%s\n", u->err.text);
    assert_true(u->job.kit.count > 0);
}

static inline void end(Undertaking *u)
{
    job_free(&u->job);
    arena_free(&u->keep);
}

static inline void add(Undertaking *u, Edit edit)
{
    assert_true(edits_add(&u->edits, &edit, &u->keep, &u->err));
}

static inline Srgb8 colour_of_layer(const Undertaking *u, int layer)
{
    return u->job.stack.colours[u->job.stack.layers[layer].colour].colour;
}

static inline bool has_finding(const Job *job, const char *kind, const char *part_of_text)
{
    for (size_t i = 0; i < job->stack.findings.count; i++)
        if (strcmp(job->stack.findings.items[i].kind, kind) == 0 && strstr(job->stack.findings.items[i].text, part_of_text)) return true;
    return false;
}

static inline bool kit_says(const Job *job, const char *text)
{
    const FileBytes *file = file_find(&job->kit, "kit.json");
    return memmem(file->bytes, file->size_bytes, text, strlen(text)) != NULL;
}

#endif
