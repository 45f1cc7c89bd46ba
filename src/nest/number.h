// number.h - numbers of places, and the order of sheets: by their first item, and the one that is used least last, so that its
// rest is one offcut.
#ifndef PM_NEST_NUMBER_H
#define PM_NEST_NUMBER_H

#include "base/work.h"
#include "nest/nest.h"

// Gives places their numbers anew; sheets without items vanish, and what is left over stays so.
MUST_USE bool number_sheets(const NestItem *items, int item_count, NestPlace *places, int *sheet_count, Work *work, Error *err);

// A value of a place as it is written: 9 decimals, no negative zero.
double place_number(double value);

// The lowest point (largest y on the sheet) of an item at its place.
double place_extent_mm(const NestItem *item, const NestPlace *place);

#endif
