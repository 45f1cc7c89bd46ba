// join.h - faces of a net joined to pieces: the dearest seam first, as long as the joined piece still fits its paper.
#ifndef PM_SEAM_JOIN_H
#define PM_SEAM_JOIN_H

#include "seam/net.h"

typedef enum JoinWay {
    JOIN_NONE,     // every face is a piece
    JOIN_DEAREST,  // the seam that costs most goes first
    JOIN_SMALLEST, // the seam that costs most for the size of the smaller piece goes first
} JoinWay;

typedef struct Joined {
    int *piece_of; // by face; pieces are numbered 0.. in the order of their first faces
    NetFace *pieces;
    int piece_count;
} Joined;

MUST_USE bool net_join(const NetGround *ground, const Net *net, const SeamOptions *options, JoinWay way, Arena *scratch,
                       Work *work, Joined *out, Error *err);

// True when the segment lies between two different pieces.
bool joined_keeps(const Net *net, const Joined *joined, int segment);

#endif
