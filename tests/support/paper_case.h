// paper_case.h - what a test of the rooms after `outline` needs: arenas, a Work with an overlay, questions about areas.
// Needs cmocka.h before it.
#ifndef PM_TESTS_SUPPORT_PAPER_CASE_H
#define PM_TESTS_SUPPORT_PAPER_CASE_H

#include "shape/overlay.h"

typedef struct PaperCase {
    Arena keep;
    Work work;
    Error err;
} PaperCase;

static inline PaperCase paper_case_open(void)
{
    PaperCase test = {.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    if (!overlay_create(NULL, &test.work.overlay, &test.err)) fail_msg("%s", test.err.text);
    return test;
}

static inline void paper_case_close(PaperCase *test)
{
    overlay_destroy(test->work.overlay);
    arena_free(&test->work.scratch);
    arena_free(&test->keep);
}

#define must(test, call)                                                                                               \
    do {                                                                                                               \
        if (!(call)) fail_msg("%s", (test)->err.text);                                                                 \
    } while (0)

static inline double combined_mm2(PaperCase *test, const Rings *a, const Rings *b, OverlayOp op)
{
    Rings out;
    must(test, overlay_rings(a, b, op, &test->keep, &test->work, &out, &test->err));
    return rings_area_mm2(&out);
}

static inline int outer_count(const Rings *rings)
{
    int count = 0;
    for (int i = 0; i < rings->count; i++) count += ring_area2_um2(&rings->items[i]) > 0;
    return count;
}

#endif
