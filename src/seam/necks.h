// necks.h - necks: places where a seam leaves a piece narrower than it may be, with enough of the piece on both sides to
// tear it there.
// What:     a piece is shrunk by half of the least width. What falls apart then, though the part round it does not when it is
//           shrunk as well, hangs together by a neck that its seams have made. Ends that are left smaller than a crumb hang on
//           nothing that tears.
// Cost:     most pieces have no seam as near to anything that it does not end on, and are not shrunk. Pieces of a part
//           that has slits are not looked at.
// Source:   erosion: J. Serra, "Image analysis and mathematical morphology", 1982 (from memory); the measures are our own.
#ifndef PM_SEAM_NECKS_H
#define PM_SEAM_NECKS_H

#include "seam/net.h"

#define NECK_IN 10.0 // what a neck costs, in inches of visible seam: the same as a sliver

typedef struct Necks {
    int *by_face; // of a net whose faces are pieces
    int sum;
} Necks;

MUST_USE bool necks_find(const NetGround *ground, const Net *net, double least_mm, Arena *keep, Work *work, Necks *out, Error *err);

// The same, of a net that has some of its pieces from another one, whose necks are known.
MUST_USE bool necks_after(const NetGround *ground, const Net *net, const Net *old, const Necks *of_old, double least_mm, Arena *keep,
                          Work *work, Necks *out, Error *err);

#endif
