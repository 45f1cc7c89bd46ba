// plan.h - a chosen division as data: where seams start, bend and end. It outlives the search.
#ifndef PM_SEAM_PLAN_H
#define PM_SEAM_PLAN_H

#include "seam/judge.h"

typedef struct PlanNode {
    Point at;
    int edge;     // of the part's boundary; -1 for a junction or a bend
    double along; // in the boundary's direction
} PlanNode;

typedef struct PlanSeam {
    int first, count;
} PlanSeam; // its nodes are route[first] .. route[first + count - 1]

typedef struct Plan {
    PlanNode *nodes;
    int node_count;
    int *route;
    PlanSeam *seams;
    int seam_count;
    Judgement judgement;
} Plan;

// Runs of kept segments between the same two pieces become one seam each; a junction where a seam goes straight on and
// nothing else arrives is left out.
MUST_USE bool plan_make(const Net *net, const Joined *joined, const Judgement *judgement, Arena *keep, Arena *scratch,
                        Plan *out, Error *err);

#endif
