// evaluate.c - see evaluate.h.
#include "seam/evaluate.h"

bool candidate_is_better(const Candidate *a, const Candidate *b)
{
    if (a->within_grid != b->within_grid) return a->within_grid;
    return a->judgement.cost_in < b->judgement.cost_in;
}

static bool try_ways(const NetGround *ground, const Net *net, const Layout *layout, JoinWay first, JoinWay last,
                     int most_pieces, const SeamOptions *options, Work *work, Candidate *out, Error *err)
{
    for (JoinWay way = first; way <= last; way++) {
        Joined joined;
        Candidate candidate = {.layout = *layout, .way = way};
        if (!net_join(ground, net, options, way, &work->scratch, work, &joined, err)) return false;
        if (!judge_division(ground, net, &joined, options, &work->scratch, &candidate.judgement, err))
            return false;
        candidate.within_grid = candidate.judgement.pieces <= most_pieces;
        if (way == first || candidate_is_better(&candidate, out)) *out = candidate;
    }
    return true;
}

bool evaluate_layout(const NetGround *ground, const NetFrame *frame, const Layout *layout, JoinWay first, JoinWay last,
                     int most_pieces, const SeamOptions *options, Work *work, Candidate *out, bool *usable, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Net net;
    bool fine = work_goes_on(work, err) && net_make(ground, frame, layout, &work->scratch, &net, err);
    *usable = fine && net.usable;
    if (*usable) fine = try_ways(ground, &net, layout, first, last, most_pieces, options, work, out, err);
    arena_rewind(&work->scratch, mark);
    return fine;
}

bool candidate_carry_out(const NetGround *ground, const Candidate *candidate, const SeamOptions *options, Work *work,
                         Net *net, Joined *joined, Error *err)
{
    NetFrame frame;
    return net_frame_make(ground->part, candidate->layout.frame, &work->scratch, &frame, err) &&
           net_make(ground, &frame, &candidate->layout, &work->scratch, net, err) &&
           net_join(ground, net, options, candidate->way, &work->scratch, work, joined, err);
}
