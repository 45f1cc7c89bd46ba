// nest_case.h - what a test of the nest borrows: memory, this thread's work, an error.
#ifndef PM_TESTS_SUPPORT_NEST_CASE_H
#define PM_TESTS_SUPPORT_NEST_CASE_H

#include "base/work.h"
#include "shape/overlay.h"

typedef struct NestCase {
    Arena keep;
    Work work;
    Error err;
} NestCase;

static inline NestCase nest_case_make(void)
{
    NestCase c = {.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    assert_true(overlay_create(NULL, &c.work.overlay, &c.err));
    return c;
}

static inline void nest_case_free(NestCase *c)
{
    arena_free(&c->keep);
    arena_free(&c->work.scratch);
    overlay_destroy(c->work.overlay);
}

#endif
