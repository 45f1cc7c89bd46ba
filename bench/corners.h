// corners.h - corners of the drawing against corners of outlines.
// Measure: a line's direction over 1.5 px at a place 1 px before and one 1 px behind it; a corner is where both differ by
//          more than 30 degrees, most within 2 px. The same on the drawing's label outline at 8 times the size and on
//          our curves. Junctions, 3 px round them, areas under 20 px and the frame are left out. A turn of 20 degrees is
//          enough to count as found, or to excuse a corner of ours: 30 is no edge.
//          Of corners nearer than 2 px the one that turns most is counted; it is met by any place of the other side that turns
//          most over 1 px. Met by counted ones alone is told, too: of corners that lie close together chance decides which
//          one hides the others, so the drawing against itself, drawn again, misses 2 to 4 % of a coast's (0 to 0.5 % the other way).
// Long:    corners of the drawing with sides straight to 0.15 px over 4.5 px and more, counted apart: a turn of 30 degrees between
//          sides of 3 px lies only 0.2 px off the smooth curve through the same pixels.
#ifndef PM_BENCH_CORNERS_H
#define PM_BENCH_CORNERS_H

#include "art.h"
#include "outline/outline.h"

typedef struct CornerScore {
    int64_t true_corners, found, ours, false_ones, long_corners, long_found;
    int64_t found_counted, false_counted;   // when only counted ones meet
} CornerScore;

// truth has 8 samples a pixel. Missed and false corners are added to `list` as text when it is given.
bool corners_measure(const Outlines *outlines, const Truth *truth, void *list_file, CornerScore *out);

// The same of the drawing itself, drawn again with other samples: what the measure alone misses.
bool corners_measure_truth(const Truth *again, const Truth *truth, CornerScore *out);

// The same of polygons that something else made: a file of closed rings, "x y" in pixels a line, an empty line after each ring.
bool corners_measure_polygons(const char *path, const Truth *truth, CornerScore *out);

#endif
