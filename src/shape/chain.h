// chain.h - a run of lines and cubic curves, fitted once and flattened once, and links to parts of it.
// A boundary between two regions, a border, a hidden edge, a seam: each is one chain, shared by whoever touches it.
// Shape:   curves follow each other (p3 of one == p0 of the next). Flat points start and end on the chain's ends; every
//          joint of curves is a flat point; `at` of a flat point is k + t: curve k at parameter t (rising; the last one
//          is curve_count). A closed chain ends where it starts: its last flat point equals its first.
// Units:   whole micrometres, control points too. Flattening is by t = i/n with n from Wang's bound.
// Source:  segment count: G. Wang, "The subdivision method for finding the intersection between two Bezier curves or
//          surfaces", Zhejiang University Journal 1984 (as given in R. Goldman, "Pyramid Algorithms", 2002).
#ifndef PM_SHAPE_CHAIN_H
#define PM_SHAPE_CHAIN_H

#include "base/error.h"
#include "shape/ring.h"

#define FLATTEN_MM 0.005 // far below the width of any blade; raising it shows facets, lowering it costs points

typedef struct Curve {
    Point p0, p1, p2, p3;   // a line has p1 == p0 and p2 == p3
    bool is_line;
} Curve;

typedef struct Chain {
    Curve *curves;
    int curve_count;
    Point *points;
    double *at;
    int point_count;
    bool closed;
    int origin;             // the chain this one is a copy of, with more flat points; -1 for an original
} Chain;

typedef struct Chains {     // a pool that only grows; links name its chains by index
    Chain *items;
    size_t count, capacity;
} Chains;

// A part of one chain's flat points, run backwards when first > last. first != last.
typedef struct Link {
    int chain;
    int first, last;
} Link;

Curve curve_line(Point a, Point b);
int curve_steps(const Curve *curve);                      // flat edges of this curve (1 for a line)
Point curve_point(const Curve *curve, double t);          // rounded; exact at t = 0 and 1
Curve curve_reversed(const Curve *curve);
// The part from t0 to t1 (t0 < t1), its ends given as the points that the flat chain has there.
Curve curve_part(const Curve *curve, double t0, double t1, Point start, Point end);

// Makes a chain of these curves (copied into keep) and flattens it. Points that fall on the point before are dropped
// (never a joint); a cubic all of whose flat points coincide is left out. Curves whose ends coincide and are lines are
// a caller's bug, and so is a chain without any extent.
MUST_USE bool chain_make(const Curve *curves, int count, bool closed, Arena *keep, Chain *out, Error *err);
MUST_USE bool chain_from_points(const Point *points, int count, bool closed, Arena *keep, Chain *out, Error *err);

// Adds to the pool and gives the new index.
MUST_USE bool chains_add(Chains *chains, const Chain *chain, Arena *keep, int *out_index, Error *err);
MUST_USE bool chains_copy(const Chains *from, Arena *keep, Chains *out, Error *err);      // deep

// A seam ends on a curve. The node nearest to fraction `along` (0..1) of the flat edge from point `edge` to edge + 1
// is the curve's own point there, rounded. Several nodes are given at once, in any order; out is a copy of the chain
// with these flat points inserted and `origin` set; out_index[i] is the flat index of node i in the copy. A node that
// falls on a flat point that is there already uses that one.
typedef struct ChainNode { int edge; double along; } ChainNode;
MUST_USE bool chain_insert(const Chain *chain, int chain_index, const ChainNode *nodes, int node_count, Arena *keep,
                           Chain *out, int *out_index, Error *err);

// The original that a chain is a copy of, over any number of copies; itself for an original.
int chain_root(const Chains *chains, int index);

// The curve's own point at that fraction of a flat edge, rounded: where chain_insert puts a node.
Point chain_edge_point(const Chain *chain, int edge, double along);

// The same as chain_insert with the nodes' places given (within a micrometre or so of the chain): for nodes that
// another computation has fixed already.
typedef struct ChainPoint { int edge; double along; Point point; } ChainPoint;
MUST_USE bool chain_insert_points(const Chain *chain, int chain_index, const ChainPoint *nodes, int node_count,
                                  Arena *keep, Chain *out, int *out_index, Error *err);

// Flat points of a link, in the link's direction; the first at [0].
int link_point_count(const Link *link);
Point link_point(const Chains *chains, const Link *link, int i);
Point link_start(const Chains *chains, const Link *link);
Point link_end(const Chains *chains, const Link *link);
Link link_reversed(Link link);
double link_length_mm(const Chains *chains, const Link *link);

// The curves of a link in its direction: whole ones as they are, split ones at the link's ends. Count first, then fill.
int link_curve_count(const Chains *chains, const Link *link);
void link_curves(const Chains *chains, const Link *link, Curve *out);

#endif
