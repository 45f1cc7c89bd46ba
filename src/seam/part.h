// part.h - one connected part of a layer as the search sees it: flat boundary points that know their chains.
// Shape:   point i starts edge i, which ends at point next[i]; the inside lies to the right of every edge.
// Units:   whole micrometres; turned coordinates are millimetres: u along the frame's direction, v to the right of it.
#ifndef PM_SEAM_PART_H
#define PM_SEAM_PART_H

#include "seam/cuts.h"

typedef struct Frame {
    double cos, sin;
} Frame; // u = x cos + y sin, v = -x sin + y cos

// A boundary in a frame.
typedef struct Turned {
    double *u, *v;
    const int *next;
    int count;
    bool has_slits; // two edges may lie on one another, back to back
} Turned;

typedef struct Part {
    int index; // connected part of the layer, in the order of its outer rings
    Area area; // outer ring and holes, links into the stack's chains
    int count; // boundary points
    Point *points;
    int *next;
    int *chain;      // of edge i; -1 for a seam that the search has laid, where only the straight edge counts
    int *chain_edge; // the chain's flat edge (the lower of its two point indices)
    double *from, *to; // edge i is this share of that flat edge, in the boundary's direction; NULL: all are whole
    bool *backwards; // the boundary runs against the chain here
    bool *bulges;    // the boundary turns towards its inside at this point: it may lie on a hull
    int *twin;       // the edge that runs the other way along a slit, or -1; NULL when the part has no slit
    bool *locked;    // no seam may end inside this edge: a piece that is cut already lies behind it; may be NULL
    int *first;      // ring r has the points first[r] .. first[r + 1] - 1; ring 0 is the outer one
    int ring_count;
    double *swept_mm2; // running sum of the area swept from the origin by the edges before i
    Box box;
    double area_mm2, length_mm;
    Point *hull;
    int hull_count;
} Part;

MUST_USE bool part_make(const Chains *chains, const Area *layer_area, int outer_ring, int index, Arena *keep, Part *out,
                        Error *err);

// The rest of a part whose points, rings (the outer one first) and edges are there: area, box, hull ...
MUST_USE bool part_measure(Part *part, Arena *keep, Error *err);

// The ring that an edge belongs to.
int part_ring_of(const Part *part, int edge);

// Where a seam that ends on edge i, `along` of the way, has its node: on the chain's curve.
Point part_node(const Part *part, const Chains *chains, int edge, double along);

// Finds the slits of a part made of a plot, and the edges of frozen pieces.
MUST_USE bool part_note_cuts(Part *part, const Cuts *cuts, Arena *keep, Error *err);

MUST_USE bool part_turn(const Part *part, Frame frame, Arena *keep, Turned *out, Error *err);

// Plain rings as a boundary (`next` filled in); for the regions that hide seams.
MUST_USE bool boundary_of_rings(const Rings *rings, Arena *keep, Point **out_points, int **out_next, int *out_count,
                                Error *err);

MUST_USE bool boundary_turn(const Point *points, const int *next, int count, Frame frame, Arena *keep, Turned *out,
                            Error *err);

Point frame_to_plane(Frame frame, double u, double v);

#endif
