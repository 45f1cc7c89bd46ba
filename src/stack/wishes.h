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

#endif
