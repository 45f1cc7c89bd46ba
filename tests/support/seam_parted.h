// seam_parted.h - a layer of one part, divided in two by a line and parted anew by a minimum cut.
#ifndef PM_TESTS_SUPPORT_SEAM_PARTED_H
#define PM_TESTS_SUPPORT_SEAM_PARTED_H

#include "support/seam_division.h"

#include "seam/reseam.h"

typedef struct SeamParted {
    SeamDivision b;
    Group group;
    Net old, anew;
    Judgement before, after;
    bool found;
} SeamParted;

static inline void seam_parted_judge(SeamParted *p, const Net *net, Judgement *out)
{
    SeamCase *c = &p->b.c;
    Joined each = {arena_new(&c->keep, int, net->face_count), net->faces, net->face_count};
    for (int i = 0; i < net->face_count; i++) each.piece_of[i] = i;
    assert_true(judge_division(&p->b.on.ground, net, &each, &c->options, &c->keep, out, &c->err));
}

// Divides the layer by one line straight down at x inches, and parts the two pieces anew, if there are just two.
static inline void seam_parted_anew(SeamParted *p, const Ring *rings, int ring_count, double x_in)
{
    static const bool both[2] = {true, true};
    SeamCase *c = &p->b.c;
    Joined joined;
    double cost_in = 0.0;
    seam_division_open(&p->b, rings, ring_count);
    seam_division_by(&p->b, NULL, 0, &x_in, 1);
    if (p->b.net.face_count != 2) return;
    seam_division_group(&p->b, both, &p->group);
    assert_true(group_seams(&p->b.net, both, &p->group, &c->keep, &p->old, &c->err));
    seam_parted_judge(p, &p->old, &p->before);
    double *joint_in = arena_new(&c->keep, double, p->group.part.count);
    p->b.on.ground.part = &p->group.part;
    assert_true(reseam_divide(&p->b.on.ground, &p->old, joint_in, p->before.cost_in, &c->options, &c->keep, &c->work, &p->anew,
                              &joined, &cost_in, &p->found, &c->err));
    if (!p->found) return;
    seam_parted_judge(p, &p->anew, &p->after);
    assert_float_equal(p->after.cost_in, cost_in, 1e-9);
    assert_true(cost_in < p->before.cost_in);
}

#endif
