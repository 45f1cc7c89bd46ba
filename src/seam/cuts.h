// cuts.h - a layer divided beforehand along seams that are wanted: by the maker, or by pieces that are cut already.
// What such seams leave of a connected part is a plot; the search divides plots as if they were parts of their own.
// Shape:   a seam that ends on two rings of one plot does not divide it: the plot's ring runs along it on both sides (a
//          slit). Everything is exact: plots share the chains of their seams, nodes lie on the layer's curves.
// Memory:  in the arena given at the start. Chains of the stack keep their indices; refined copies come behind them.
#ifndef PM_SEAM_CUTS_H
#define PM_SEAM_CUTS_H

#include "base/work.h"
#include "seam/seam.h"

#define CUT_OF_FROZEN (-1)
#define CUT_OF_SEARCH (-2)

typedef struct Cut {
    int chain;
    int line;     // the wanted line that it is part of, or CUT_OF_...
    Point middle; // a point of it
} Cut;

typedef struct Plot {
    Area area;  // one outer ring, the first, and its holes
    int part;   // connected part of the layer
    int frozen; // the frozen piece that it is, or -1
} Plot;

typedef struct Cuts {
    Chains chains;
    Plot *plots;
    size_t plot_count, plot_room;
    Cut *items;
    size_t count, room;
    Arena *keep;
} Cuts;

// One flat edge on the boundary of a plot, in its chain's direction.
typedef struct PlotEdge {
    Point a, b;
    int chain, edge;
} PlotEdge;

// Each connected part is a plot.
MUST_USE bool cuts_start(const Chains *chains, const Area *layer, Arena *keep, Cuts *out, Error *err);

// The edges of one plot, or of all for plot < 0; NULL when memory ran out.
PlotEdge *cuts_edges(const Cuts *cuts, int plot, Arena *arena, int *out_count);

// Puts a node on the boundary: *out is the curve's own point there. On a seam of a frozen piece it is the nearer end
// of the edge.
MUST_USE bool cuts_add_node(Cuts *cuts, int chain, int edge, double along, Point *out, Error *err);
// The same with the node's place given (within a micrometre or so of the chain).
MUST_USE bool cuts_add_node_at(Cuts *cuts, int chain, int edge, double along, Point at, Error *err);

// Makes two of the cut that goes through this point at one of its corners, if there is one.
MUST_USE bool cuts_split_at(Cuts *cuts, Point at, Error *err);

// A run of straight stretches to divide along. Both ends are flat points of the plot's boundary; a run that ends
// where it began may also touch nothing.
typedef struct CutRun {
    const Point *points;
    int count;
    int line; // as in Cut
    Point middle;
} CutRun;

// Divides a plot. *sound: false when the run meets the boundary in between, or itself; then nothing has changed.
MUST_USE bool cuts_along(Cuts *cuts, int plot, const CutRun *run, Work *work, bool *sound, Error *err);

// *out: the plot that a point lies inside, or -1.
MUST_USE bool cuts_plot_at(const Cuts *cuts, Point at, Arena *scratch, int *out, Error *err);

// A seam that has the plot on both sides: index into items, or -1.
int cuts_slit_of(const Cuts *cuts, const Plot *plot);

#endif
