// kit_case.h - what a test of the kit needs: the kit made by hand (small_kit.h), its arenas, its draft and its files.
// Needs cmocka.h before it.
#ifndef PM_TESTS_SUPPORT_KIT_CASE_H
#define PM_TESTS_SUPPORT_KIT_CASE_H

#include "kit/guide_steps.h"
#include "support/small_kit.h"

#include <stdlib.h>
#include <string.h>

typedef struct Made {
    Arena keep;
    Work work;
    SmallKit kit;
    FileSet files;     // of make_files
    Draft draft;       // filled by tests that need no more
    GuideBelow *below;
    Error err;
} Made;

static inline Made *prepare(void)
{
    Made *made = calloc(1, sizeof *made);
    assert_non_null(made);
    made->keep = arena_make(0);
    made->work = (Work){.scratch = arena_make(0)};
    assert_true(small_kit_make(&made->kit, &made->keep));
    return made;
}

static inline void make_files(Made *made)
{
    if (!kit_make(&made->kit.input, &made->keep, &made->work, &made->files, &made->err)) fail_msg("%s", made->err.text);
}

static inline void drop(Made *made)
{
    arena_free(&made->keep);
    arena_free(&made->work.scratch);
    free(made);
}

// A copy that ends in 0, to be freed.
static inline char *text_of(const Made *made, const char *name)
{
    const FileBytes *file = file_find(&made->files, name);
    if (!file) fail_msg("%s is missing", name);
    char *text = calloc(1, file->size_bytes + 1);
    assert_non_null(text);
    memcpy(text, file->bytes, file->size_bytes);
    return text;
}

#endif
