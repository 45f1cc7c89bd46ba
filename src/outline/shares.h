// shares.h - what a path along an edge covers of each pixel that it passes, against what the picture says.
// The share of the left side in a pixel is the area to the left of the path within the pixel's square. Its derivative by a vertex
// of the path is the length of the side within the square, turned by a quarter, weighed by the lever that the vertex has there.
// Shape:   a path of straight sides through its vertices; a vertex may be rounded, then the path cuts it off along a short curve.
// Units:   pixels; shares 0..1. Memory: in the arena that shares_prepare is given.
// Source:  areas by the surveyor's formula (see shape/ring.h); the derivative is our own.
#ifndef PM_OUTLINE_SHARES_H
#define PM_OUTLINE_SHARES_H

#include "outline/subpixel.h"

#define BIT_VERTICES 6      // that move the path within one pixel
#define COMPARED_BITS 256   // see Comparison

typedef struct PathVertex {
    Vec at;         // never exactly on the border of a pixel: see off_grid
    int crack;      // of the arc, near it; of a loop also beyond the last, which comes before the first
    bool is_round;  // the path cuts it off along a curve
} PathVertex;

typedef struct EdgePixel {
    uint64_t key;       // where it lies; 0 = this slot is free
    double in_picture;  // share of the left side
    double in_path;     // the same, as the path last compared has it
    int stamp;          // of the comparison that in_path is from
    bool is_blend;      // of the two sides, so that the picture tells its share
} EdgePixel;

typedef struct EdgePath {
    const Pixels *pixels;
    const ArcPainting *painting;
    const CrackMap *map;
    const CrackArc *arc;
    int left_label, right_label;
    bool is_closed;         // then the last vertex is the first one again
    PathVertex *vertices;
    int count, most;        // of vertices
    EdgePixel *slots;       // a hash table of the pixels that were asked for; a power of two
    int slot_mask, slots_used, stamp;
} EdgePath;

typedef struct PathBit {    // a stretch of the path within one pixel
    int slot;
    bool is_blend;
    double off;             // the path's share less the picture's; 0 where the picture does not tell
    int first, count;       // these vertices move it
    Vec by[BIT_VERTICES];   // the share's derivative by each of them
    Vec middle;             // between where the path comes in and where it goes out
} PathBit;

// The bits in the path's order. A path of a few vertices has fewer than fit; of a longer one the bits that fit no more are left out,
// of the cost too: many hundred pixels tell where a few vertices lie well enough.
typedef struct Comparison {
    PathBit bits[COMPARED_BITS];
    int count;
    double cost;            // sum of squares over pixels: those passed, and those beside the cracks from vertex to vertex
} Comparison;

// Empty, with room for `most` vertices; for about crack_count cracks of the arc.
MUST_USE bool shares_prepare(const Pixels *pixels, const ArcPainting *painting, const CrackMap *map, const CrackArc *arc,
                             bool is_closed, int crack_count, int most, Arena *scratch, EdgePath *out, Error *err);

// Compares what the vertices from..to can change: the sides from the vertex before to the one behind, and all pixels beside the
// cracks from `from` to `to`, which the path should have passed. The pixels in which the first of those sides begins and the last ends
// are not passed, since more of the path lies there.
void shares_compare(EdgePath *path, int from, int to, Comparison *out);

// A point on a border between pixels is moved off it by a hundred-thousandth: then it lies in one pixel.
Vec off_grid(Vec point);

#endif
