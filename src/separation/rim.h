// rim.h - an edge between two colours along which a strip of a third may lie: its cracks in order, and how wide the strip is.
// Shape:   a crack lies between two pixels; it is linked with the next one at either end. The strip's width is what the cells beside
//          it tell (tint.h), by the edge's length, smoothed along it: a fill's edge meets an outline at a small angle.
// Units:   pixels.
// Errors:  ERROR_SYSTEM (memory), ERROR_CANCELLED.
#ifndef PM_SEPARATION_RIM_H
#define PM_SEPARATION_RIM_H

#include "separation/tint.h"

typedef struct RimCrack {
    int32_t x, y;      // of the pixel on its left or above it
    bool is_upright;   // between that pixel and the one on its right; else the one below
    bool is_b_first;   // that pixel is b's (or the strip's)
    int32_t next[2];   // -1: none
    int32_t along[2];  // the same, but none beyond a corner
    double length_px, width_px; // of the edge that it stands for, of the strip
} RimCrack;

typedef struct Rim { RimCrack *cracks; int count; } Rim;

// The edges between a and b in these cells. What is labelled as the strip already counts as b.
MUST_USE bool rim_find(const TintCells *cells, const uint8_t *zone, Trio trio, Work *work, Rim *out, Error *err);

// Fills in lengths and widths.
MUST_USE bool rim_measure(const TintCells *cells, Trio trio, Work *work, Rim *rim, Error *err);

#endif
