// relink.h - the way back from plain rings to links: which runs of a result's vertices came from which chain.
// Part of the overlay, apart from it because it knows nothing of GEOS.
// How:     each flat edge of the two inputs is known by its two ends. A result edge that is not known lies along known
//          ones between new nodes; these nodes are put into refined copies of the chains. What is still unknown becomes
//          free chains of straight lines. A run goes to the chain that it can follow longest, then to the oldest.
#ifndef PM_SHAPE_RELINK_H
#define PM_SHAPE_RELINK_H

#include "base/work.h"
#include "shape/area.h"

// `result` was computed from areas a and b. New chains are appended to the pool. The area's flat rings are the
// result's, point for point (asserted).
MUST_USE bool relink(const Rings *result, const Area *a, const Area *b, Chains *chains, Arena *keep, Work *work,
                     Area *out, Error *err);

#endif
