// random_map.h - label maps of random rectangles, touching, nested and with holes, from a seed.
#ifndef PM_TESTS_SUPPORT_RANDOM_MAP_H
#define PM_TESTS_SUPPORT_RANDOM_MAP_H

#include "base/rng.h"

#include <string.h>

#define RANDOM_MAP_MOST 20 // cells a side

typedef struct RandomMap {
    uint8_t labels[RANDOM_MAP_MOST * RANDOM_MAP_MOST];
    int width, height;
    double cell_mm;
} RandomMap;

// At least one cell is not ground.
static inline RandomMap random_map(uint64_t seed, int colours)
{
    Rng rng = rng_make(seed);
    RandomMap map = {.width = 5 + (int)rng_below(&rng, RANDOM_MAP_MOST - 5),
                     .height = 5 + (int)rng_below(&rng, RANDOM_MAP_MOST - 5)};
    map.cell_mm = 0.7 + 20.0 * rng_unit(&rng);
    int count = 3 + (int)rng_below(&rng, 14);
    for (int i = 0; i < count; i++) {
        int x0 = (int)rng_below(&rng, (uint32_t)map.width), y0 = (int)rng_below(&rng, (uint32_t)map.height);
        int x1 = x0 + 1 + (int)rng_below(&rng, (uint32_t)(map.width - x0)),
            y1 = y0 + 1 + (int)rng_below(&rng, (uint32_t)(map.height - y0));
        uint8_t label = (uint8_t)rng_below(&rng, (uint32_t)colours + 1);
        for (int y = y0; y < y1; y++) memset(map.labels + y * map.width + x0, label, (size_t)(x1 - x0));
    }
    map.labels[map.width + 1] = 1;
    return map;
}

#endif
