// lap.h - glue laps: one of a lap seam's two pieces is cut larger and reaches, unseen, under the face of the other one.
// Shape:   faces and seams stay as they are; only what is cut of the piece grows (Piece.outline). A lap lies under the
//          face of the one neighbour that its seam is shared with, clear of that face's other edges and of other laps
//          (lap_shape.h). A seam has one lap or none.
// Choice:  the piece that is joined first has the lap, so that the next one is laid on it: the largest piece of a group,
//          then always the one with the most seam to those before it, as the guide tells. The other one has it where the
//          first would not fit its paper with it; where neither would, laps of theirs go over to other pieces. A seam whose pieces both have no room, or that is too short for a lap,
//          stays a butt seam: a finding "lap-left-out" says which and why.
// Room:    the division works on a space that is a lap smaller in both directions (lap_space), so that most pieces have
//          room for one lap to the side and one up or down. Parts that fit the paper as they are stay whole.
#ifndef PM_SEAM_LAP_H
#define PM_SEAM_LAP_H

#include "base/work.h"
#include "seam/seam.h"

// What a piece must fit into without its laps.
Space lap_space(const SeamOptions *options);

// Gives the seams of a finished division their laps, when options->form says so. Frozen pieces keep the laps that they
// have and get no others, whatever the form.
MUST_USE bool lap_seams(const SeamOptions *options, Arena *keep, Work *work, LayerPieces *out, Error *err);

#endif
