// outline_laws.h - what is true of every planar map, checked by brute force; for random label maps and for fuzzing.
#ifndef PM_TESTS_OUTLINE_LAWS_H
#define PM_TESTS_OUTLINE_LAWS_H

#include "outline/outline.h"

// NULL when all laws hold, else what is broken. Memory comes from keep.
const char *outline_broken_law(const Separation *separation, const Outlines *outlines, uint64_t seed, Arena *keep,
                               Work *work);

// A separation of given labels, each with a colour of its own; and a picture in those colours without blends.
Separation outline_flat_separation(const uint8_t *label, int width_px, int height_px, int colour_count, Arena *keep);
Picture outline_flat_picture(const Separation *separation, Arena *keep);

#endif
