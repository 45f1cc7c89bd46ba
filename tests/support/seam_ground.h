// seam_ground.h - the only part of a layer as ground that a search of seams stands on.
#ifndef PM_TESTS_SUPPORT_SEAM_GROUND_H
#define PM_TESTS_SUPPORT_SEAM_GROUND_H

#include "support/seam_case.h"

#include "seam/net.h"

typedef struct SeamGround {
    Part part;
    Hiding hiding;
    Avoid avoid;
    Cover outline;
    FitMemo memo;
    NetGround ground; // of the above
} SeamGround;

// The layer is set already, and its cover where it has one.
static inline void seam_ground_make(SeamCase *c, SeamGround *out)
{
    Space space = paper_fit_space(&c->options.paper);
    assert_true(part_make(&c->stack.chains, &c->layer.area, 0, 0, &c->keep, &out->part, &c->err));
    assert_true(hiding_make(&c->layer.cover, c->options.hidden_by_mm, &c->keep, &out->hiding, &c->err));
    assert_true(avoid_make(&c->options.wishes, &c->keep, &out->avoid, &c->err));
    assert_true(cover_make(&c->layer.rings, &c->keep, &out->outline, &c->err));
    assert_true(memo_make(space, &c->keep, &out->memo, &c->err));
    out->ground = (NetGround){&out->part, &c->stack.chains, &out->hiding, &out->avoid, &out->outline, space, &out->memo, false};
}

#endif
