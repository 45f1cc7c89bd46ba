// seam_division.h - a layer of one part, and a division of it by lines, as the refinement of seams sees them.
#ifndef PM_TESTS_SUPPORT_SEAM_DIVISION_H
#define PM_TESTS_SUPPORT_SEAM_DIVISION_H

#include "support/seam_ground.h"

#include "seam/group.h"
#include "seam/splice.h"

typedef struct SeamDivision { // a layer of one part, and a division of it by lines
    SeamCase c;
    SeamGround on;
    NetFrame frame;
    Net lines;      // as laid
    Joined single;  // every face a piece
    Net net;        // with pieces as faces
    int *ring_piece;
} SeamDivision;

static inline void seam_division_open(SeamDivision *b, const Ring *rings, int ring_count)
{
    SeamCase *c = &b->c;
    seam_case_set_layer(c, rings, ring_count);
    seam_ground_make(c, &b->on);
}

// The net that is left when faces of the lines are joined.
static inline void seam_division_joined(SeamDivision *b, const Joined *joined)
{
    SeamCase *c = &b->c;
    assert_true(splice_pieces(&b->on.ground, &b->lines, joined, &c->keep, &c->work.scratch, &b->net, &c->err));
    assert_true(b->net.usable);
    b->ring_piece = group_find_rings(&b->on.part, &b->net, &c->keep);
    assert_non_null(b->ring_piece);
}

// Borders at y, and the same cross cuts in each strip at x; in inches.
static inline void seam_division_by(SeamDivision *b, const double *y, int y_count, const double *x, int x_count)
{
    SeamCase *c = &b->c;
    Layout layout = {.frame = {1.0, 0.0}, .border_count = y_count};
    layout.borders = arena_new(&c->keep, double, y_count);
    layout.crosses = arena_new(&c->keep, double, x_count * (y_count + 1));
    layout.first_cross = arena_new(&c->keep, int, y_count + 2);
    for (int i = 0; i < y_count; i++) layout.borders[i] = 25.4 * y[i];
    for (int s = 0; s <= y_count; s++) {
        for (int i = 0; i < x_count; i++) layout.crosses[s * x_count + i] = 25.4 * x[i];
        layout.first_cross[s + 1] = (s + 1) * x_count;
    }
    assert_true(net_frame_make(&b->on.part, layout.frame, &c->keep, &b->frame, &c->err));
    assert_true(net_make(&b->on.ground, &b->frame, &layout, &c->keep, &b->lines, &c->err));
    assert_true(b->lines.usable);
    b->single = (Joined){arena_new(&c->keep, int, b->lines.face_count), b->lines.faces, b->lines.face_count};
    for (int i = 0; i < b->lines.face_count; i++) b->single.piece_of[i] = i;
    seam_division_joined(b, &b->single);
}

static inline void seam_division_group(SeamDivision *b, const bool *inside, Group *group)
{
    bool usable;
    assert_true(group_make(&b->on.ground, &b->net, b->ring_piece, inside, &b->c.keep, group, &usable, &b->c.err));
    assert_true(usable);
}

#endif
