// detail.h - small things in sight (an eye, a mouth, letters) that a seam should rather not run through.
// What:    an island of one colour as it is seen, whatever layer it is of: the outer ring of what is seen of a layer, or an
//          opening through which the base or the wall shows. It is small against the whole figure, no mere stroke, and not
//          one of many alike: that is a pattern. Those inside another one add nothing to it.
// Places:  the hulls of such islands, those of near ones taken together, grown by what is looked at with them. What is
//          no smaller than the paper is left out: a seam runs through it anyway.
// Source:  none; the measures were chosen by looking at pictures.
#ifndef PM_SEAM_DETAIL_H
#define PM_SEAM_DETAIL_H

#include "paper/paper.h"
#include "stack/stack.h"

// Convex hulls, by their boxes: top, then left.
MUST_USE bool details_find(const Stack *stack, Arena *keep, Work *work, Rings *out, Error *err);

// The places of those that lie on or beside this layer, for its paper; even-odd.
MUST_USE bool detail_places(const Rings *details, const Layer *layer, const Paper *paper, Arena *keep, Work *work, Rings *out,
                            Error *err);

// A hull grown on all sides by so much (to an octagon's corners), for looking at what is near it.
MUST_USE bool detail_grown(const Ring *hull, double by_mm, Arena *keep, Ring *out, Error *err);

#endif
