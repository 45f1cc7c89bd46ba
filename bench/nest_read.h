// nest_read.h - an instance as the files of the literature have it, and those of bench/data: every piece with its copies.
// Units:   millimetres; the instance's own are scaled so that the strip (the sheet's longer side) is NEST_SCALED_MM wide: whole micrometres
//          are then far finer than the data. Instances with a gap (bench/kit_instances.py) stay in millimetres.
// Errors:  one sentence each (ERROR_INPUT): what was found, and what is wanted.
#ifndef PM_BENCH_NEST_READ_H
#define PM_BENCH_NEST_READ_H

#include "nest/solid.h"
#include "nest_bound.h"

#define NEST_SCALED_MM 10000.0
#define NEST_MOST_TURNS 8

typedef struct One {            // a copy of an item
    long id;
    int copy;
    const Rings *rings;
    const Solid *solid;
} One;

typedef struct Instance {
    const char *name;
    double scale, strip, sheet[2];
    One *ones;
    int count;
    Fit turns[NEST_MOST_TURNS];
    int turn_count;
    bool free_turns;
    double area_mm2, gap_mm, corner_mm;
    int first_sheets, sheets;   // what the first answer took, and the last
    int left_over;              // pieces for which there were no sheets
    NestBound bound;
    double first_s;
} Instance;

// `rotations` is file, 90 or free. All in `keep`.
MUST_USE bool nest_read(const char *path, const char *rotations, Arena *keep, Instance *out, Error *err);

#endif
