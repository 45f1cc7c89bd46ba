// layout.c - see layout.h.
#include "seam/layout.h"

bool layout_copy(const Layout *layout, Arena *keep, Layout *out, Error *err)
{
    size_t strips = (size_t)layout->border_count + 1;
    *out = *layout;
    out->borders = arena_copy(keep, layout->borders, (size_t)layout->border_count, sizeof *layout->borders);
    out->first_cross = arena_copy(keep, layout->first_cross, strips + 1, sizeof *layout->first_cross);
    out->crosses = arena_copy(keep, layout->crosses, (size_t)layout->first_cross[strips], sizeof *layout->crosses);
    return (out->borders && out->first_cross && out->crosses) || error_memory(err);
}

Cell cell_for(Space space, bool turned)
{
    Cell cell = {space.width_mm - SEAM_SLACK_MM, space.height_mm - SEAM_SLACK_MM, space.corner_mm};
    if (turned) {
        cell.along_mm = space.height_mm - SEAM_SLACK_MM;
        cell.across_mm = space.width_mm - SEAM_SLACK_MM;
    }
    return cell;
}

// A rectangle a x b clears two opposite corner triangles with legs c when it is shifted along the box: the room left
// over in both directions together must be 2 c.
double cell_along_limit_mm(const Cell *cell, double across_mm)
{
    double limit = cell->along_mm + cell->across_mm - 2.0 * cell->corner_mm - across_mm;
    return limit < cell->along_mm ? limit : cell->along_mm;
}
