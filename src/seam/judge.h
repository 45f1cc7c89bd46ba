// judge.h - what a division costs: J = visible inches + hidden_weight x hidden inches + piece_weight x pieces +
// penalties.
#ifndef PM_SEAM_JUDGE_H
#define PM_SEAM_JUDGE_H

#include "seam/join.h"

typedef struct Judgement {
    double visible_in, hidden_in, penalty_in, cost_in;
    int pieces, slivers;
} Judgement;

MUST_USE bool judge_division(const NetGround *ground, const Net *net, const Joined *joined, const SeamOptions *options,
                             Arena *scratch, Judgement *out, Error *err);

// What it costs that two segments that meet at a node, and nothing else, make a corner there.
double judge_bend_in(const NetSegment *a, const NetSegment *b);

// What so much of one straight seam in sight costs when it runs at an odd angle.
double judge_odd_in(double visible_mm);

// What an end in sight costs that meets the outline at this cosine (ends_slant).
double judge_slant_in(double slant);

// Whether a piece with this hull is a sliver: shorter than the least length, or narrower than the least width along a
// seam (a piece that is as narrow as the drawing itself is none).
bool judge_is_sliver(const NetFace *piece, double longest_seam_mm, const SeamOptions *options);

#endif
