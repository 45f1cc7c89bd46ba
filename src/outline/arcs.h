// arcs.h - the crack graph of a label map: regions, nodes and the arcs between them, still on pixel corners.
// Shape:   a crack is the side between two pixels of unlike labels; everything outside the picture is label 0. Pixel corners
//          where 3 or 4 cracks meet are nodes; runs of cracks between nodes are arcs; a loop without node has an
//          artificial node at its first corner in raster order. Two regions that touch at a corner only stay two, and meet in a node.
//          Every crack lies in exactly one arc. Regions are 4-connected and numbered by their first pixel in raster order;
//          region 0 is the outside with the ground that reaches the picture's edge.
// Units:   pixel corners, whole pixels; (0, 0) is the picture's top left corner.
#ifndef PM_OUTLINE_ARCS_H
#define PM_OUTLINE_ARCS_H

#include "base/work.h"
#include "separation/separation.h"

typedef struct Cell { int32_t x, y; } Cell;

typedef struct CrackArc {
    int from, to;       // nodes; equal for a loop
    int left, right;    // regions, as seen when travelling along the arc (y down)
    int first, count;   // corners[first .. first + count], count cracks
    bool is_loop;       // closed, and its node is artificial
} CrackArc;

typedef struct PixelRegion {
    int label;
    int64_t area_px;
    double inside_x, inside_y;  // middle of a pixel run that lies well inside
} PixelRegion;

typedef struct CrackMap {
    int width_px, height_px;
    Cell *corners;
    CrackArc *arcs;
    int arc_count;
    Cell *nodes;
    int node_count;
    PixelRegion *regions;
    int region_count;
    int64_t corner_count;   // pixel corners on boundaries, each once
} CrackMap;

// The pixel corner before crack i: a loop goes round, an open arc stays at its ends.
static inline Cell arc_corner(const CrackMap *map, const CrackArc *arc, int i)
{
    if (arc->is_loop) i = (i % arc->count + arc->count) % arc->count;
    else i = i < 0 ? 0 : i > arc->count ? arc->count : i;
    return map->corners[arc->first + i];
}

// keep may be the work's scratch arena: nothing is rewound here.
MUST_USE bool arcs_find(const uint8_t *label, int width_px, int height_px, Arena *keep, Work *work, CrackMap *out,
                        Error *err);

#endif
