// temp_folder.h - a folder of a test's own, below TMPDIR, and paths in it.
#ifndef PM_TEST_TEMP_FOLDER_H
#define PM_TEST_TEMP_FOLDER_H

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

static char temp_folder[512];

static inline void temp_folder_make(void)
{
    const char *place = getenv("TMPDIR");
    snprintf(temp_folder, sizeof temp_folder, "%s/pm-test-XXXXXX", place && place[0] ? place : "/tmp");
    if (!mkdtemp(temp_folder)) abort();
}

// Good until the fourth call from now.
static inline const char *temp_path(const char *name)
{
    static char paths[4][800];
    static int next;
    char *path = paths[next++ % 4];
    snprintf(path, sizeof paths[0], "%s/%s", temp_folder, name);
    return path;
}

static inline void temp_folder_remove(void)
{
    char command[600];
    snprintf(command, sizeof command, "rm -rf '%s'", temp_folder);
    if (system(command) != 0) abort();
}

// A group's set-up and tear-down.
static inline int temp_folder_open(void **state)
{
    (void)state;
    temp_folder_make();
    return 0;
}

static inline int temp_folder_close(void **state)
{
    (void)state;
    temp_folder_remove();
    return 0;
}

#endif
