// splice.h - divisions put together from parts of others.
// A net of this kind has pieces as faces, and no seam that goes on where nothing else ends.
#ifndef PM_SEAM_SPLICE_H
#define PM_SEAM_SPLICE_H

#include "seam/group.h"
#include "seam/join.h"
#include "seam/plan.h"

// The net with its pieces as faces. *out is not usable when that cannot be done.
MUST_USE bool splice_pieces(const NetGround *ground, const Net *net, const Joined *joined, Arena *keep, Arena *scratch,
                            Net *out, Error *err);

// The net that a plan tells of; *out is not usable when it does not come out.
MUST_USE bool splice_plan(const NetGround *ground, const Plan *plan, Arena *keep, Arena *scratch, Net *out, Error *err);

// `net` with nodes in other places; what runs between nodes that stay is taken as it is.
MUST_USE bool splice_moved(const NetGround *ground, const Net *net, const NetNode *nodes, const bool *moved, Arena *keep,
                           Arena *scratch, Net *out, Error *err);

// `net` with the pieces of the group divided as `anew`, a net of the group's part, joined. *out is not usable when
// that cannot be done: two seams would end in one point, or a piece does not come out.
MUST_USE bool splice(const NetGround *ground, const Net *net, const bool *inside, const Group *group, const Net *anew,
                     const Joined *joined, Arena *keep, Arena *scratch, Net *out, Error *err);

#endif
