// faces.h - the faces that the seams of a net leave of its part, with areas and hulls.
// Shape:   nodes and segments are given, with the half edges that leave each node in the order of turning; at an outline
//          node one leaves. A net that has no sound faces, or one that does not fit the paper, is no error: `usable` is false.
#ifndef PM_SEAM_FACES_H
#define PM_SEAM_FACES_H

#include "seam/net.h"

// Sets next_on_ring of the nodes, the segments' sides, the faces and the slits.
MUST_USE bool faces_find(const NetGround *ground, Net *net, Arena *scratch, Error *err);

// Sets what each segment costs that is not measured yet: what of it is seen, and what is to be avoided.
MUST_USE bool faces_measure(const NetGround *ground, Net *net, Arena *scratch, Error *err);

// The seam to go on along when `half` arrives at a junction and the face on its right is followed round.
int faces_turn_right(const NetNode *node, int half);

// The seam that leaves an outline node; -1 for none.
int faces_leaving(const NetNode *node);

// One step round the face to the right of a half edge: the half edge that follows, -1 for none. *to: the node between them, or
// where the way along the outline begins, to *onto; NULL at a junction.
int faces_next(const Net *net, int half, const NetNode **to, const NetNode **onto);

// The face on the inner side of a place on the boundary; -1 when no seam ends on that ring.
int faces_at(const Part *part, const Net *net, int edge, double along);

#endif
