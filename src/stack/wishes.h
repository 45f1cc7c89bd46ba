// wishes.h - the maker's words on what lies over what, merged into an order.
#ifndef PM_STACK_WISHES_H
#define PM_STACK_WISHES_H

#include "stack/stack.h"

// Changes `order` (the colours above the base, lowest first) so that the wishes hold, a later one before an earlier
// one. Of the order as it was, it keeps for each two colours that meet which of them lies over the other, the longest
// common edges first, as far as the wishes allow. A wish that finds no paper becomes a finding "edit-without-target",
// one that contradicts later ones or puts the base over something "edit-not-kept". Without wishes nothing changes.
MUST_USE bool wishes_apply(const Outlines *outlines, const StackOptions *options, int base_colour, int *order,
                           int count, Arena *keep, Work *work, Findings *findings, Error *err);

// Tells of pairs that cannot lie edge to edge: a colour that is not there or has no paper, two that meet nowhere
// ("edit-without-target"), the base, which is solid under everything ("edit-not-kept").
MUST_USE bool wishes_tell_inlays(const Outlines *outlines, const StackOptions *options, int base_colour, const int *order, int count,
                                 Arena *keep, Work *work, Findings *findings, Error *err);

#endif
