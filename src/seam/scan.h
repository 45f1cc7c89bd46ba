// scan.h - where a family of parallel lines crosses a boundary, and what cuts along them cost.
// A line at v = p runs along u (LINES_ALONG_U), one at u = p runs along v. Crossings of a line are sorted; two by two
// they bound the chords that lie inside.
#ifndef PM_SEAM_SCAN_H
#define PM_SEAM_SCAN_H

#include "seam/part.h"

typedef enum LineWay { LINES_ALONG_U, LINES_ALONG_V } LineWay;

typedef struct Crossing {
    double at;    // position along the line
    double along; // fraction of the boundary edge
    int edge;
} Crossing;

typedef struct Scan {
    int *first; // line i has the crossings first[i] .. first[i + 1] - 1: an even number
    Crossing *items;
    int line_count;
} Scan;

// `positions` rise.
MUST_USE bool scan_lines(const Turned *turned, LineWay way, const double *positions, int count, Arena *keep, Scan *out,
                         Error *err);

typedef struct LineCost {
    double visible_mm, hidden_mm;
    int chords;
} LineCost;

// The cost of cutting along line i of `part` within lo..hi; `hidden` is the scan of the hiding regions.
LineCost scan_cost(const Scan *part, const Scan *hidden, int line, double lo, double hi);

// Sum of cost per millimetre (visible_weight or hidden_weight) of line i from its start up to each of the rising
// `stops`, number of chords that begin before it, and whether it lies inside a chord.
void scan_running_cost(const Scan *part, const Scan *hidden, int line, double visible_weight, double hidden_weight,
                       const double *stops, int stop_count, double *out_cost, int *out_chords, bool *out_inside);

#endif
