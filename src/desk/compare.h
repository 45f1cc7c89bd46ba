// compare.h - rows of a comparison: told in the state, worked out by whoever works.
#ifndef PM_DESK_COMPARE_H
#define PM_DESK_COMPARE_H

#include "base/write_json.h"
#include "desk/table.h"

// Under the lock.
void compare_write(const Compare *compare, JsonWriter *json);
int compare_next(const Compare *compare);   // the row that is to be worked out, -1 = none; NULL is fine

// Of the caller that works: the row's totals. The job for comparisons stays for the next row.
MUST_USE bool compare_work(Desk *desk, const Wish *wish, const JobWatch *watch, CompareRow *row, Error *err);

#endif
