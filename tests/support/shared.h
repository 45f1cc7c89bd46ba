// shared.h - where the tests find the shared pictures and tables, and how they skip where those are missing.
// The folder comes from the environment variable PM_SHARED (meson sets it: `env: test_env`), else it is "shared" beside
// the source folder. Needs cmocka.h before it.
#ifndef PM_TESTS_SUPPORT_SHARED_H
#define PM_TESTS_SUPPORT_SHARED_H

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#define SHARED_PATH_MAX 1024

static inline const char *shared_folder(void)
{
    const char *folder = getenv("PM_SHARED");
    return folder && *folder ? folder : PM_SOURCE_ROOT "/../shared";
}

// Fills path with the place of a shared file or folder ("data/pictures"); tells whether it is there.
static inline bool shared_find(const char *relative, char path[SHARED_PATH_MAX])
{
    snprintf(path, SHARED_PATH_MAX, "%s/%s", shared_folder(), relative);
    return access(path, R_OK) == 0;
}

// The same inside a test: where the file is missing the test is skipped, and says so.
static inline void shared_find_or_skip(const char *relative, char path[SHARED_PATH_MAX])
{
    if (shared_find(relative, path)) return;
    printf("skipped: %s is not there (PM_SHARED names the folder of shared data)\n", path);
    skip();
}

#endif
