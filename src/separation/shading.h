// shading.h - soft shading in a drawing that is flat otherwise: a shadow, a glow, a gradient.
// Evidence: lines along up to SHADING_ROWS rows and SHADING_COLUMNS columns, evenly spread. A ramp is a stretch of a line on which lightness only
//          rises or only falls, by SHADING_LEAST_CODES and more in five steps and more, none of them larger than a quarter of the whole,
//          and changes no faster across the line. An edge has a larger step, along the line or across it, however it was drawn.
//          Where most edges have no step of half their height the picture was blurred or enlarged as a whole: nothing is said of shading.
// Blind to: gradients of one lightness, and those whose steps lie far apart (the flat bands of a clean gradient: palette.h counts them).
// Units:   pixels; lightness in codes of encoded luma (ITU-R BT.601), over white where the picture is transparent.
// Memory:  the work's scratch arena.
// Errors:  ERROR_SYSTEM, ERROR_CANCELLED.
#ifndef PM_SEPARATION_SHADING_H
#define PM_SEPARATION_SHADING_H

#include "base/work.h"
#include "picture/picture.h"

#define SHADING_ROWS 128
#define SHADING_COLUMNS 32 // a column's pixels lie far apart in memory; these are for what only changes downwards
#define SHADING_LEAST_CODES 32
#define SHADING_LEAST_RAMPS 4 // in one group; noise makes one or two here and there

typedef struct SoftRamp { int x0, y0, x1, y1; } SoftRamp; // its first and last pixel, in one row or column

typedef struct Shading {
    SoftRamp *ramps;   // of the largest group alone
    size_t ramp_count; // 0: no shading
    double box_px[4];  // x0, y0, x1, y1 of them
    double at_px[2];   // the middle of the one that has most of the others near it
} Shading;

// `is_noisy`: small steps back are compression's.
MUST_USE bool shading_find(const Picture *picture, bool is_noisy, Work *work, Shading *out, Error *err);

#endif
