// trace.h - from crack arcs to fitted curves, still in pixels, and ever closer to the pixels where asked.
// Every arc is traced alone once its nodes are fixed. Where an arc comes too near another one it is pinned: first to
// straight lines through its points, then to the pixel corners themselves, which can meet nothing. A node whose arc
// follows the pixel corners there goes to its own pixel corner.
// Units:   pixels.
#ifndef PM_OUTLINE_TRACE_H
#define PM_OUTLINE_TRACE_H

#include "outline/corner.h"

typedef enum Pin { PIN_NONE, PIN_POINTS, PIN_PIXELS } Pin;

typedef struct TracedArc {
    ArcPainting painting;
    EdgePoint *points;
    int point_count;
    SharpCorner *corners;
    int corner_count;
    Vec start_tangent, end_tangent; // along the arc; (0, 0) = free
    uint8_t *pins;                  // a Pin for every crack
    bool is_hard;                   // most of its points are off by up to half a pixel, whatever the other arcs are
    bool is_pinned;                 // anywhere
    bool is_stale;                  // curves are to be made again
    FitCurve *curves;
    int curve_count;
} TracedArc;

typedef struct Trace {
    const CrackMap *map;
    bool hard_edged;        // or noisy: single points are off, longer stretches tell
    double tolerance_px;
    bool by_shortest_path;  // see fit.h
    TracedArc *arcs;        // as in map
    Vec *node_at;
    bool *node_on_pixel;
} Trace;

// Points, corners and nodes of all arcs. Memory of the result is in scratch.
MUST_USE bool trace_prepare(const Pixels *pixels, const CrackMap *map, double tolerance_px, Work *work, Trace *out,
                            Error *err);

// Makes the curves of all stale arcs. A loop's node follows its curves.
MUST_USE bool trace_curves(Trace *trace, Work *work, Error *err);

// The same for arcs first, first + step, ...: they are independent of the others while nothing is pinned. Memory of the
// curves is in `own`.
MUST_USE bool trace_some(Trace *trace, int first, int step, Arena *own, Work *work, Error *err);

// Pins the cracks of an arc that lie within radius_px of a place. False when nothing changed.
bool trace_pin(Trace *trace, int arc, Vec at, double radius_px, Pin pin);
bool trace_pin_all(Trace *trace, int arc); // to the pixels

#endif
