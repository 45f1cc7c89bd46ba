// mixed.h - the pieces of one colour on sheets of several sizes: offcuts and part sheets that are there, and paper that is bought.
// Shape:   kind 0 is the paper for which the pieces were divided: as many sheets of it as it takes, and every piece fits one.
// Of all answers tried the cheapest counts, of equally cheap ones that which uses the least area of sheets. Laying all on kind 0 is
//          always tried, so that the answer is never dearer than without the other kinds.
// Errors, units: as nest.h.
#ifndef PM_NEST_MIXED_H
#define PM_NEST_MIXED_H

#include "base/work.h"
#include "nest/nest.h"

#define NEST_MOST_KINDS 17      // of one colour: its paper and sixteen sizes of offcuts

typedef struct NestKind {
    NestOptions options;
    int count;                  // sheets there are; -1 = as many as it takes
    double price;               // of a sheet, in any unit, but one for all kinds; 0 = it is there already
} NestKind;

typedef struct NestMixed {
    NestPlace *places;          // one an item; `sheet` counts the sheets of its kind
    int *kinds;                 // of each item
    int sheet_counts[NEST_MOST_KINDS];
} NestMixed;

MUST_USE bool nest_mixed(const NestItem *items, int item_count, const NestKind *kinds, int kind_count, Arena *keep, Work *work,
                         NestMixed *out, Error *err);

#endif
