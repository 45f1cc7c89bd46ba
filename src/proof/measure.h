// measure.h - the proof's own plane geometry: flat edges, an index over them, scan lines, distances.
// Written apart from `shape` on purpose: code that made a mistake should not be the code that vouches for it.
// Units:   doubles in millimetres, y down; signed area positive for outer rings.
// Rule:    a curve is flattened from its control points as written at t = k/n, always from the same of its two ends, so
//          that two pieces that share a curve get the same points to the bit.
// Errors:  ERROR_SYSTEM; ERROR_INPUT when hostile data would take too much time or room (the proof makes it a fault).
// Source:  n: G. Wang, "The subdivision method for finding the intersection between two Bezier curves or surfaces",
//          Zhejiang University Journal 1984. Length: 5-point Gauss-Legendre rule (M. Abramowitz, I. Stegun, "Handbook
//          of Mathematical Functions", table 25.4). Area: Green's theorem, exact for cubics.
#ifndef PM_PROOF_MEASURE_H
#define PM_PROOF_MEASURE_H

#include "base/work.h"

#include <stddef.h>

#define MEASURE_FLAT_MM 0.002      // a fifth of the proof's tolerance; halving it costs 1.4 times the points
#define MEASURE_STEP_MM 0.1        // between scan lines: far below anything that a blade cuts on purpose
#define MEASURE_MAX_EDGES 4000000u // flat edges of one shape; a 10 ft kit has less than a million in all

typedef struct Spot {
    double x, y;
} Spot;

typedef struct ReadCurve { // a line has p[1] == p[0] and p[2] == p[3]
    Spot p[4];
    bool is_line;
} ReadCurve;

typedef struct ReadPart {
    int first, count;
    bool closed;
    int object; // of a drawing: which of its paths it belongs to
} ReadPart;

typedef struct ReadPath { // path data as written; a Z that has a way to go is a line of its own
    ReadCurve *curves;
    int curve_count;
    ReadPart *parts;
    int part_count;
} ReadPath;

typedef struct SpotBox {
    Spot min, max;
} SpotBox;

typedef struct Edge {
    Spot a, b;
    int owner;
} Edge;
typedef struct Edges {
    Edge *items;
    size_t count, capacity;
} Edges;

// An index over edges: a uniform grid for distances and crossings, its rows for rays.
typedef struct Field {
    const Edge *edges;
    int edge_count;
    SpotBox box;
    double cell_mm;
    int columns, rows;
    int *first, *held;         // by cell
    int *row_first, *row_held; // by row
} Field;

double measure_gap(Spot a, Spot b);                   // distance of two points
Spot measure_moved(Spot p, const double to_sheet[6]); // SVG matrix order
bool measure_before(Spot a, Spot b);                  // by y, then x
ReadCurve measure_reversed(ReadCurve curve);
ReadCurve measure_one_way(ReadCurve curve, bool *turned);    // the direction in which it is flattened
int measure_compare(const ReadCurve *a, const ReadCurve *b); // a total order on control points as written

double measure_length(const ReadPath *path);
double measure_area(const ReadPath *path); // signed sum over closed parts
SpotBox measure_box(const ReadPath *path); // exact, from the curves; min > max when empty

// Adds the flat edges of some curves, in their order and direction; edges longer than longest_mm are divided evenly.
MUST_USE bool measure_flatten(const ReadCurve *curves, int count, const double *to_sheet, double longest_mm, int owner,
                              Arena *arena, Edges *edges, Error *err);

MUST_USE bool measure_field(const Edge *edges, size_t count, Arena *arena, Field *out, Error *err);
bool measure_inside(const Field *field, Spot p); // even-odd
// Distance to the nearest edge whose owner is not `but_owner`, or limit_mm; *edge is its index or -1 (NULL is fine).
double measure_distance(const Field *field, Spot p, double limit_mm, int but_owner, int *edge);
double measure_to_edge(Spot p, const Edge *edge);

// Calls visit for each edge within reach_mm of p; an edge may come more than once.
typedef void MeasureVisit(void *data, int edge, double distance_mm);
void measure_near(const Field *field, Spot p, double reach_mm, MeasureVisit *visit, void *data);

// Looks for a point of segment a-b that is inside all of nothing (wanted inside: in none of the fields), or inside one
// of the fields (wanted outside), by more than tolerance_mm. True when there is one, with its place.
bool measure_strays(const Field *const *fields, int field_count, Spot a, Spot b, bool wanted_inside,
                    double tolerance_mm, Spot *at);

// One scan line: where it crosses edges, by x (then by owner).
typedef struct ScanHit {
    double x;
    int owner;
    int edge;
} ScanHit;
typedef bool ScanRow(void *data, double y_mm, const ScanHit *hits, int hit_count, Error *err);
// Crosses the edges with lines every MEASURE_STEP_MM and hands over each line that meets any.
MUST_USE bool measure_scan(const Edge *edges, size_t count, Work *work, ScanRow *row, void *data, Error *err);

#endif
