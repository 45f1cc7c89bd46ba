// label_map.h - random maps of labels with shared arcs, and random rings, for property tests.
#ifndef PM_TESTS_LABEL_MAP_H
#define PM_TESTS_LABEL_MAP_H

#include "base/rng.h"
#include "shape/area.h"

typedef struct MapArc {
    int chain, left, right;
} MapArc; // labels beside the chain, -1 = outside

typedef struct LabelMap {
    int columns, rows, label_count;
    int *labels;
    Chains chains; // one chain an arc, same index
    MapArc *arcs;
    int arc_count;
} LabelMap;

typedef enum MapStyle { MAP_STAIRS, MAP_SHAKEN, MAP_CURVED } MapStyle;

// A grid of random labels; cells are `cell_um` wide, their corners shaken, their sides straight or cubic.
LabelMap label_map_make(Rng *rng, int columns, int rows, int label_count, int cell_um, MapStyle style, Arena *keep);

// The same for given labels, row by row; -1 = outside.
LabelMap label_map_of(const int *labels, int columns, int rows, int cell_um, MapStyle style, Rng *rng, Arena *keep);

// The area of a set of labels (bits), by the arcs that have one side inside only.
Area label_map_union(const LabelMap *map, uint32_t set, Arena *keep);

// Twice the exact area of a set, summed over its arcs without making rings.
int64_t label_map_area2(const LabelMap *map, uint32_t set);

// A ring round `centre` whose corners lie at rising angles, `least` to `most` micrometres away; positive area.
Ring random_star(Rng *rng, Point centre, int corners, int least, int most, Arena *keep);

#endif
