// check.h - the last word on a nest: measured on the full outlines at the turns as written, by code that shares
// nothing with the search.
#ifndef PM_NEST_CHECK_H
#define PM_NEST_CHECK_H

#include "base/work.h"
#include "nest/nest.h"

// Sets out_bad[i] for each item (but those left over) that leaves the space, lies on a corner mark, or comes nearer than the gap to (or lies in the
// material of) an item before it on the same sheet. out_bad has item_count entries.
MUST_USE bool nest_check(const NestItem *items, int item_count, const NestOptions *options, const NestPlace *places,
                         Work *work, bool *out_bad, Error *err);

#endif
