// crossing.h - which arcs break the map: they touch another arc or themselves anywhere but in a common node, leave a node
// in the wrong order, or leave a region without area.
// All tests are exact, on the flat points.
#ifndef PM_OUTLINE_CROSSING_H
#define PM_OUTLINE_CROSSING_H

#include "outline/arcs.h"
#include "shape/chain.h"

typedef struct Clash {
    int arc;
    double x_um, y_um;      // where it meets another arc or itself
} Clash;

typedef struct Clashes { Clash *items; int count, capacity; } Clashes;

// chains->items[i] is arc i. Adds to clashes where arcs meet, and nodes that they leave in the wrong order. is_hit has one entry an arc, set true for arcs that are at
// fault as a whole (and for those whose clash found no room); others are left alone.
MUST_USE bool crossing_find(const CrackMap *map, const Chains *chains, Work *work, Clashes *clashes, bool *is_hit,
                            Error *err);

#endif
