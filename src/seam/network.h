// network.h - a part that is a network of strokes, divided along its strokes: cuts square across, away from junctions
// and corners.
// How:     all places for cuts (stroke.h) together make a net whose faces are the atoms; gather.h joins them to pieces.
#ifndef PM_SEAM_NETWORK_H
#define PM_SEAM_NETWORK_H

#include "seam/judge.h"

typedef struct Network {
    Net net;       // with all cuts
    Joined joined; // which atoms are one piece
    Judgement judgement;
    bool is_thin; // so narrow that lines straight through the part have nothing to gain; and nothing that would hide them
} Network;

// *found: false when the part is no such network: not narrow enough for its size, or an atom does not fit the paper.
// Everything is put in `keep`, an arena other than the work's scratch memory.
MUST_USE bool network_divide(const NetGround *ground, const SeamOptions *options, Arena *keep, Work *work, Network *out,
                             bool *found, Error *err);

#endif
