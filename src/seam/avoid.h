// avoid.h - where the maker wants no seam: areas to keep clear of visible seams, lines that no seam may run along.
// Neither is forbidden outright: such a seam is so dear that it comes only where nothing else is left, and is told then.
#ifndef PM_SEAM_AVOID_H
#define PM_SEAM_AVOID_H

#include "seam/hiding.h"
#include "seam/sound.h"

#define AVOID_CLEAR_PER_IN 12.0  // inches of visible seam that one more inch inside a clear area costs: more than a way
                                 // round it; a hundred times more would let one crossing outweigh any number of pieces
#define AVOID_LINE_PER_IN 12.0   // the same for an inch along a forbidden line
#define AVOID_BESIDE_MM 5.0      // a seam as near to a forbidden line, and ...
#define AVOID_TURN 0.3639702343  // ... at less than 20 degrees to it (the tangent), runs along it

typedef enum AvoidKind { AVOID_CLEAR, AVOID_DETAIL, AVOID_AREAS } AvoidKind;

typedef struct AvoidArea {  // in which seams in sight cost more
    Cover cover;            // no edges when there is none
    Point *points;          // the same as a boundary
    int *next;
    int count;
    double per_in;          // what an inch in sight inside it costs on top
} AvoidArea;

typedef struct Avoid {
    AvoidArea areas[AVOID_AREAS];
    const SeamLine *lines;
    int line_count;
    Stroke *above;       // stretches of seams of higher layers
    int above_count;
    double above_per_in; // what an inch along them costs
} Avoid;

#define AVOID_ABOVE_MM 12.7 // a seam as near to one of a higher layer, and at less than 20 degrees to it, runs along it

MUST_USE bool avoid_make(const SeamWishes *wishes, Arena *keep, Avoid *out, Error *err);
// Families of lines are not priced by this: it is little beside what they cost, and seams are shifted later.
MUST_USE bool avoid_add_above(const SeamLine *lines, int count, double per_in, Arena *keep, Avoid *avoid, Error *err);
// Areas of small detail (detail.h).
MUST_USE bool avoid_add_detail(const Rings *places, double per_in, Arena *keep, Avoid *avoid, Error *err);
bool avoid_nothing(const Avoid *avoid);    // that the maker named

// The stretches of the part's chords on parallel lines that lie in such an area, and those along a forbidden line.
typedef struct AvoidScan {
    Scan areas[AVOID_AREAS], along;
    double per_in[AVOID_AREAS];
} AvoidScan;

// `inner` is the scan of the part, `turned` its boundary in the frame. Two empty scans when there is nothing to avoid.
MUST_USE bool avoid_scan(const Avoid *avoid, Frame frame, LineWay way, const double *positions, const Scan *inner,
                         Arena *keep, AvoidScan *out, Error *err);

// What line i costs on top, in inches of visible seam; `under` is the scan of the hiding regions.
double avoid_line_in(const AvoidScan *scan, const Scan *under, int line);

// Adds the running sum of the same up to each of the rising stops.
MUST_USE bool avoid_add_running(const AvoidScan *scan, const Scan *under, int line, const double *stops, int stop_count,
                                Arena *scratch, double *cost, Error *err);

// The same for one segment, and what it costs to run along a seam above; < 0 when memory ran out.
double avoid_segment_in(const Avoid *avoid, const Hiding *hiding, Point a, Point b, Arena *scratch);

// Visible length inside an area, and length along forbidden lines; < 0 when memory ran out.
double avoid_area_mm(const AvoidArea *area, const Hiding *hiding, Point a, Point b, Arena *scratch);
double avoid_along_mm(const SeamLine *line, Point a, Point b, Arena *scratch);
// Length along seams above; < 0 when memory ran out.
double avoid_stacked_mm(const Avoid *avoid, Point a, Point b, Arena *scratch);

#endif
