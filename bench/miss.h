// miss.h - a missed place enlarged, as a PNG: the picture, the drawing's classes, and ours, side by side.
// Errors:  false when the file cannot be written.
#ifndef PM_BENCH_MISS_H
#define PM_BENCH_MISS_H

#include "art.h"

#include <stdbool.h>

// Classes of the truth's size, a pixel each, as its colours show them.
bool miss_draw(const Picture *picture, const Truth *truth, const uint8_t *theirs, const uint8_t *ours, int x_px, int y_px, const char *path);

#endif
