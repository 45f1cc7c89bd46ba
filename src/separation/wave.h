// wave.h - pixels that wait for their turn, nearest to their source first: the order in which something spreads.
// Units:   whole pixels; pixel and source are indices into one map or window, row by row.
// Order:   by distance; then the lower label, then the earlier pixel, then the earlier source: no two are equal twice.
// Source:  E. W. Dijkstra, "A Note on Two Problems in Connexion with Graphs", Numerische Mathematik 1 (1959) 269-271;
//          that a pixel takes over its neighbour's source: P.-E. Danielsson, "Euclidean Distance Mapping", Computer
//          Graphics and Image Processing 14 (1980) 227-248. Off by a fraction of a pixel at most.
// Memory:  the work's scratch arena.
#ifndef PM_SEPARATION_WAVE_H
#define PM_SEPARATION_WAVE_H

#include "base/work.h"

#include <stdint.h>

typedef struct WavePixel {
    int64_t distance2; // between the two
    int32_t pixel, source;
    uint8_t label; // that spreads from the source
} WavePixel;

typedef struct Wave { // a zeroed one is empty
    WavePixel *heap;
    size_t count, capacity;
} Wave;

// Errors: ERROR_SYSTEM.
MUST_USE bool wave_push(Wave *wave, WavePixel pixel, Work *work, Error *err);

WavePixel wave_pop(Wave *wave); // of one that is not empty

int64_t wave_distance2(int32_t a, int32_t b, int32_t width_px);

#endif
