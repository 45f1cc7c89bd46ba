// group.h - some neighbouring pieces of a division, taken together as a part of their own, which can be divided anew.
// Shape:   its boundary runs along the outline and along the seams that part it from all other pieces; straight runs of
//          such seams are one edge, whatever ended on them from the inside.
// Errors:  pieces that do not hang together, or touch themselves in a point, are no error: `usable` is false.
#ifndef PM_SEAM_GROUP_H
#define PM_SEAM_GROUP_H

#include "seam/net.h"

typedef struct Group {
    Part part;
    int *outline_edge; // by edge: the edge of the whole part that it lies on; -1 for a seam
    int *node;         // by point: the node of the division there, or -1
    bool *is_joint;    // by point: a seam of the group ends here on a bent seam, which would be all that is left
} Group;

// `ring_piece`: by ring of the whole part, see group_find_rings; `inside`: by face of the net, whose faces are pieces.
MUST_USE bool group_make(const NetGround *ground, const Net *net, const int *ring_piece, const bool *inside, Arena *keep,
                         Group *out, bool *usable, Error *err);

// By ring of the part: the piece that it is a hole of when no seam ends on it, else -1. NULL when memory ran out.
int *group_find_rings(const Part *part, const Net *net, Arena *keep);

// The seams between pieces of the group as a net of its part, with the group's pieces as faces, to be judged.
MUST_USE bool group_seams(const Net *net, const bool *inside, const Group *group, Arena *keep, Net *out, Error *err);

#endif
