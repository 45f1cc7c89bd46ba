// lap_layer.h - the laps of one layer while they are chosen: what is known of its pieces and seams. lap.h chooses, lap_frozen.h
// says which laps are there already.
// Memory:  all in `store`, which lives as long as the choice.
#ifndef PM_SEAM_LAP_LAYER_H
#define PM_SEAM_LAP_LAYER_H

#include "base/work.h"
#include "seam/lap_shape.h"
#include "seam/seam.h"
#include "shape/cover.h"

#define LAP_WIDE_SHARE 0.5  // of a seam must have a lap of LAP_LEAST_MM, else it is not worth it; as the proof asks

typedef enum LapRefusal { REFUSED_NOT, REFUSED_SHORT, REFUSED_ROOM } LapRefusal;

typedef struct LappedPiece {
    Point *hull; // of what is cut; NULL until it is asked for
    int hull_count;
    bool frozen;
    CoverEdge *under;     // edges of laps of frozen pieces that lie under its face; of the others, seams tell
    size_t under_count, under_room;
    int *seams; // its seams
    int seam_count;
} LappedPiece;

typedef struct LappedSeam {
    Point *points;
    int count;
    LapShape shape;
    LapRefusal refusal; // of the last attempt, while it has none
    int moved_in; // the attempt in which its lap was asked to go over
} LappedSeam;

typedef struct LapStep { // what an attempt changed: a seam's lap, and the turn of a piece
    int seam, lap_of, piece;
    LapShape shape;
    Fit fit;
} LapStep;

typedef struct Lapping {
    const SeamOptions *options;
    Space space;
    LayerPieces *out;
    LappedPiece *pieces;
    LappedSeam *seams;
    int *ranks;  // by piece: when it is joined; 0 = first
    LapStep *steps;
    size_t step_count, step_room;
    int attempt;
    Arena store; // what outlives a seam
    Arena *keep;
    Work *work;
} Lapping;

// The flat points of the seams, and the seams of each piece.
MUST_USE bool lap_layer_make(Lapping *l, Error *err);

int lap_other_piece(const Lapping *l, int seam, int piece);

// Whether a piece's face runs along the seam in the seam's direction, with its inside on the right.
bool lap_runs_along(const Lapping *l, int seam, int piece);

MUST_USE bool lap_edge_add(CoverEdge **edges, size_t *count, size_t *room, CoverEdge edge, Arena *arena, Error *err);

#endif
