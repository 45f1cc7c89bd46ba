// watch.h - the places of a kit that have to stay as they are meant: covered, or closed.
// Places are sampled along curves, one for about each WATCH_STEP_MM; what they are to a maker (a stroke, a seam, the edge of
// one piece under one cover) is a unit. A unit that belongs to two classes is two units.
// Memory:  everything lies in `keep`.
// Errors:  ERROR_SYSTEM.
#ifndef PM_BENCH_SIMULATE_WATCH_H
#define PM_BENCH_SIMULATE_WATCH_H

#include "simulate/bodies.h"

#define WATCH_STEP_MM 1.0
#define WATCH_REACH_MM 12.0 // covers farther off than this are not looked at; no error moves anything so far

typedef enum WatchClass {
    WATCH_LINE,             // placement lines as far inside the cover's edge as asked for, on what the cover is placed on
    WATCH_LINE_SECOND,      // ... on a part that was placed itself, while the cover is placed mostly on another
    WATCH_LINE_NARROW,      // ... and those nearer: on narrow parts, and where another edge comes near
    WATCH_LABEL,
    WATCH_MATCH,
    WATCH_SEAM_HIDDEN,      // seams that are covered by at least the margin
    WATCH_UNDERLAP,         // the hidden edge of a layer under its neighbour, as far in as asked for
    WATCH_UNDERLAP_CLAMPED, // ... and where it is nearer
    WATCH_UNDERLAP_RIM,     // a hidden edge whose cover's nearest edge borders on something lower: the underlap would look out
    WATCH_EDGE_TO_EDGE,     // a layer's edge in sight that meets a higher layer's with nothing beneath: may open, as a seam
    WATCH_SEAM_OPEN,        // seams in sight: they may open, but not by more than the limit
    WATCH_CLASSES
} WatchClass;
const char *watch_class_name(WatchClass class);

typedef struct WatchOptions {
    double inset_mm, pen_inset_mm, underlap_mm, margin_mm; // what the kit was made with
    double other_inset_mm; // > 0: placement lines of whole inset are looked at as if they had been drawn with this one
} WatchOptions;
// The program's defaults: 1.5 mm, 2 mm by pen, 6 mm (10 mm above 4 ft), 3 mm; no other inset.
WatchOptions watch_defaults(const ReadKit *kit);

typedef struct WatchPoint {
    Spot at;
    Spot away;         // unit vector to the nearest edge of the cover; of what may open from its own paper to the other
    Spot inward;       // of an edge: unit vector into its own paper, the way the blade's kerf moves it; else 0
    double depth_mm;   // from there to that edge
    int body, cover;   // what it belongs to; the cover, or the other side of what may open; -1 = nothing covers it
    int tool_piece;    // whose sheet's tool error moves it; -1 = none: it is a cut
    bool is_told;      // the cover's edge is its only hiding, so that what it needs can be told
    int near_first, near_count;
} WatchPoint;

typedef struct WatchNear { // a higher body near a point
    int body;
    double depth_mm;
} WatchNear;

typedef struct WatchUnit {
    WatchClass class;
    int first, count;
} WatchUnit;

typedef struct Watch {
    WatchPoint *points;
    WatchNear *near;
    WatchUnit *units;
    size_t point_count, point_room, near_count, near_room, unit_count, unit_room;
} Watch;

MUST_USE bool watch_make(const Bodies *bodies, const WatchOptions *options, Arena *keep, Work *work, Watch *out,
                         Error *err);

#endif
