// grid_map.h - Outlines of square cells, made by hand from a few lines of text: a planar map whose every number is
// known.
// '.' is ground, '1'..'9' are the colours 0..8. Cells are cell_mm wide; ground all round is implied. The figure's box
// starts at (offset_mm, offset_mm).
#ifndef PM_TESTS_GRID_MAP_H
#define PM_TESTS_GRID_MAP_H

#include "outline/outline.h"

// Asserts on lack of memory: tests only.
Outlines grid_map(const char *const *lines, int line_count, double cell_mm, double offset_mm, Arena *keep);

// The same from labels (0 = ground).
Outlines grid_map_labels(const uint8_t *labels, int width, int height, double cell_mm, double offset_mm, Arena *keep);

#endif
