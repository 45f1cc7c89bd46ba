// foam.h - the foam squares that raised pieces lie on: how many, and where.
// A piece lies on squares when its layer is to be raised, or when it lies on a piece that does. Squares are under it where it does
// not lie on raised paper: there it is glued flat, and stands as high.
// Shape:   a square may be laid at any turn: its corners stay FOAM_EDGE_MM inside the piece, and off the raised paper below.
//          No place of the piece that a square fits is farther than FOAM_REACH_MM from one, so that none is farther than 60 mm from the next; at
//          least FOAM_LEAST on a piece that has room for them.
// Units:   finished-piece coordinates.
// Memory:  everything in keep.
// Errors:  memory. What is too narrow is a finding "raised-narrow".
// Source:  sizes: common practice, no source. Places: T. F. Gonzalez, "Clustering to minimize the maximum intercluster distance",
//          Theoretical Computer Science 38 (1985) 293-306 (each next one as far as may be from those before it).
#ifndef PM_MARK_FOAM_H
#define PM_MARK_FOAM_H

#include "seam/seam.h"

#define FOAM_SQUARE_MM 12.0
#define FOAM_EDGE_MM 4.0        // nearer to the edge a square is seen from the side
#define FOAM_REACH_MM 30.0
#define FOAM_LEAST 3            // on fewer a piece rocks
#define FOAM_HANGS_MM 60.0      // paper farther from the next square, or from raised paper, hangs down

typedef struct FoamPiece {
    bool is_up;             // it stands off
    Point *squares;         // their middles
    int count;
} FoamPiece;

typedef struct Foam {
    FoamPiece **layers;     // by layer, then by its pieces
    int square_count, piece_count;  // pieces with squares
    Findings findings;
} Foam;

MUST_USE bool foam_make(const Stack *stack, const LayerPieces *pieces, Arena *keep, Work *work, Foam *out, Error *err);

#endif
