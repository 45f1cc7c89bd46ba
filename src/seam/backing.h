// backing.h - where strips are glued behind the seams of the base: straight lengths of paper over its butt seams.
// A row of seams that goes straight on through the places where seams meet is one line: a strip bridges those places, and
// two strips of a line meet away from them. A bent line is followed in straight stretches, each with strips of its own.
// Shape:   strips are rectangles with square ends. They lie within the base, at least `edge_mm` from each of its edges, holes
//          too, clear of one another, and of the seams that are joined only where the piece is put up.
// Units:   finished-piece coordinates. Corners are whole micrometres, clockwise on screen.
// Memory:  everything in keep.
// Errors:  memory.
// Source:  strips of 25 to 38 mm behind seams: common practice, no source. Fewer points: D. H. Douglas, T. K. Peucker,
//          "Algorithms for the reduction of the number of points required to represent a digitized line or its caricature",
//          Cartographica 10 (1973) 112-122.
#ifndef PM_SEAM_BACKING_H
#define PM_SEAM_BACKING_H

#include "base/work.h"
#include "seam/seam.h"

#define BACKING_FROM_MM 609.6   // a base taller than 24 in bends at its seams: from there on strips are usual

typedef struct BackingOptions {
    double width_mm;        // 32; where the base is too narrow, down to least_width_mm
    double least_width_mm;  // 19
    double least_long_mm;   // shorter ones hold nothing (40)
    double longest_mm;      // what a sheet gives
    double edge_mm;         // from every edge of the base (3)
    double apart_mm;        // between two strips (1)
    double stray_mm;        // a seam leaves the middle of its strip by no more (5)
} BackingOptions;

BackingOptions backing_defaults(double longest_mm);

typedef struct BackingStrip {
    int seam;               // index into the layer's seams: the one that it lies over most
    double length_mm, width_mm;
    Point corners[4];
} BackingStrip;

typedef struct Backing {
    BackingStrip *strips;   // by seam, then along it
    int count;
    double seam_mm;         // length of the butt seams that ask for strips
    double held_mm;         // of it below strips
} Backing;

// `outline` is the base, flat.
MUST_USE bool backing_make(const Rings *outline, const LayerPieces *base, const BackingOptions *options, Arena *keep, Work *work,
                           Backing *out, Error *err);

// The same strips, but two for each one that is marked and long enough, end to end: they are easier to find a place for. Those
// that are not halved have the same corners.
MUST_USE bool backing_halve(const LayerPieces *base, const BackingOptions *options, const Backing *from, const bool *marked, Arena *keep,
                            Work *work, Backing *out, Error *err);

#endif
