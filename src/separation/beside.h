// beside.h - the four pixels that touch one along an edge.
#ifndef PM_SEPARATION_BESIDE_H
#define PM_SEPARATION_BESIDE_H

#include <stdint.h>

// Above, left, right and below, row by row in a map of this size; -1 beyond the frame.
static inline void pixels_beside(int32_t pixel, int32_t width_px, int32_t height_px, int32_t out[4])
{
    int32_t x = pixel % width_px, y = pixel / width_px;
    out[0] = y > 0 ? pixel - width_px : -1;
    out[1] = x > 0 ? pixel - 1 : -1;
    out[2] = x + 1 < width_px ? pixel + 1 : -1;
    out[3] = y + 1 < height_px ? pixel + width_px : -1;
}

#endif
