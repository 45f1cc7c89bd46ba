// raise.h - layers that lie on foam squares, and what that asks of the layers below them.
// A layer that lies on a raised one, by an edge of it at least, is raised with it.
// Source:  squares 3 mm high, twice that and 3 mm more to be unseen from the side: common practice, no source.
#ifndef PM_STACK_RAISE_H
#define PM_STACK_RAISE_H

#include "stack/stack.h"

// `order` has the colours of the layers above the base, lowest first; out_raised has a flag a layer. What names no layer, or
// the base, is ERROR_JOB for a letter's layer, a finding "edit-without-target" for a colour.
MUST_USE bool raise_find(const Outlines *outlines, const StackOptions *options, const int *order, int layer_count, Arena *keep, Work *work,
                         bool *out_asked, bool *out_raised, Stack *out, Error *err);

// What is reached below raised layers farther than below others: `wide` as far as that asks, kept where `raised` is seen.
MUST_USE bool raise_reach(const Rings *reach, const Rings *wide, const Rings *raised, Arena *keep, Work *work, Rings *out, Error *err);

#endif
