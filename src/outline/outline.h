// outline.h - the door: Separation -> Outlines, one planar map of shared arcs.
// Shape:   arc i is chain i. Travelling along an arc, region `left` lies on the left as seen on screen (y down), `right`
//          on the right. Region 0 is everything outside: the ground that reaches the picture's edge, and what is beyond it.
//          Enclosed ground is a region of its own with label 0. A loop without junction has from == to: one artificial node.
//          Every arc is fitted once and flattened once; no two arcs meet except at nodes (checked, exact).
// Units:   whole micrometres; the box of all regions but ground is [offset, offset + figure size] within 1 um, aspect kept.
#ifndef PM_OUTLINE_OUTLINE_H
#define PM_OUTLINE_OUTLINE_H

#include "separation/separation.h"
#include "shape/area.h"

typedef struct Arc {
    int from, to;           // nodes
    int left, right;        // regions
} Arc;

typedef struct Region {
    int label;              // 0 = ground, i + 1 = colours[i]
    double area_mm2;
    Area area;              // links into arcs, normalised, the region on their right
    int64_t area_px;
    Point inside;           // a point well inside, for findings and later edits
} Region;

typedef struct Outlines {
    double mm_per_px;       // final scale: x_mm = offset + (x_px - origin_px) * mm_per_px
    double origin_px[2];
    double offset_mm;       // room left for a border, both sides
    double width_mm, height_mm;     // of the figure, without border
    Chains chains;
    Arc *arcs;
    int arc_count;
    Point *nodes;
    int node_count;
    Region *regions;        // [0] is the outside, its area is empty
    int region_count;
    SeparationColour *colours;      // copied, same order as in the separation
    int colour_count;
    Findings findings;      // copied and moved to mm
    PenDetail *pen_details; // copied; still in pixels of the picture (see origin_px, mm_per_px)
    int pen_detail_count;
    int64_t boundary_corners_px;    // pixel corners on all boundaries (benchmark)
    int64_t curve_count;
} Outlines;

typedef struct OutlineOptions {
    double figure_height_mm;
    double offset_mm;           // border that `stack` will add round the figure
    double tolerance_mm;        // of the fit (0.1); never under 0.15 px, nor over 0.5 px when hard-edged
} OutlineOptions;

OutlineOptions outline_defaults(void);

MUST_USE bool outline_make(const Picture *picture, const Separation *separation, const OutlineOptions *options,
                           Arena *keep, Work *work, Outlines *out, Error *err);

// The area of a set of regions: every arc with both sides inside the set is dropped, no clipping. in_set has
// region_count entries.
MUST_USE bool outline_union(const Outlines *outlines, const bool *in_set, Arena *keep, Work *work, Area *out,
                            Error *err);

// The same in steps, for a caller with threads: after the beginning each arc's curves are found for themselves. The units
// are independent of one another; each has an arena of its own that lives until the end. What was left out is done there.
// Memory:  work's scratch holds the making from the beginning to the end: it must not be rewound between.
typedef struct OutlineMaking OutlineMaking;
MUST_USE bool outline_begin(const Picture *picture, const Separation *separation, const OutlineOptions *options, Work *work,
                            OutlineMaking **out, Error *err);
int outline_unit_count(const OutlineMaking *making);
MUST_USE bool outline_unit(OutlineMaking *making, int unit, Arena *own, Work *work, Error *err);
MUST_USE bool outline_end(OutlineMaking *making, Arena *keep, Work *work, Outlines *out, Error *err);

#endif
