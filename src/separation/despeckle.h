// despeckle.h - joins regions that are too small to handle with the neighbour that surrounds them most.
// Method:  smallest first; the receiver is the neighbour with the longest shared border (ties: nearer colour, then
//          earlier first pixel) and is looked at again, as it has grown. A region is too small when it lies inside a
//          circle of the limit's diameter: its smallest enclosing circle.
// Source:  smallest enclosing circle: E. Welzl, "Smallest enclosing disks (balls and ellipsoids)", LNCS 555 (1991)
//          359-370. Here without recursion and without random order: specks have few points.
// Errors:  ERROR_SYSTEM, ERROR_CANCELLED.
#ifndef PM_SEPARATION_DESPECKLE_H
#define PM_SEPARATION_DESPECKLE_H

#include "separation/palette.h"
#include "separation/runs.h"

typedef struct SpeckLimits {
    double part_px;       // diameter, for coloured regions
    double hole_px;       // diameter, for ground and the base colour
    double area_px;       // > 0: fewer pixels than this, for all, instead of the circles
    uint8_t base_label;   // judged like a hole; LABEL_UNDECIDED = none
    uint8_t ground_paint; // the palette label whose colour is the ground's; LABEL_UNDECIDED when it is transparent
} SpeckLimits;

typedef struct Speck { // one that joined
    int64_t area_px;
    int32_t width_px, height_px;
    double x_px, y_px; // centre of its box
    int32_t first_run;
    uint8_t from, to; // labels
    bool is_drawn;    // by pen
} Speck;

typedef struct Specks {
    Speck *items; // in the order of joining
    size_t count, capacity;
} Specks;

// Joins the specks in `runs`, but for kept parts; the list goes to `arena`. When an area of the ground's colour comes to
// touch the ground, it becomes ground, unless it is to stay paper.
MUST_USE bool despeckle(Runs *runs, const Palette *palette, const SpeckLimits *limits, Arena *arena, Work *work,
                        Specks *out, Error *err);

bool part_is_speck(const Runs *runs, int32_t part, const SpeckLimits *limits);

// Diameter of the smallest circle round all pixels of a part, corners included; stops early, with what it has, once it
// is larger than `enough_px`.
double part_circle_px(const Runs *runs, int32_t part, double enough_px);

#endif
