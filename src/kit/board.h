// board.h - a backing board for the finished piece: the base's outline drawn in, in panels of the board at hand.
// Shape:   everything of the base, less BOARD_INSET_MM all round (round its holes as well). Straight joints: level ones right
//          across, upright ones between two of them, so that four panels need not meet. Where the piece parts, the board parts
//          too; other joints keep BOARD_CLEAR_MM from seams of the base that run along them, as far as places allow.
// Along:   a seam runs along a joint where it leaves the joint's direction by at most 30 degrees and lies nearer than
//          BOARD_CLEAR_MM; seams that part the piece do not count.
// Source:  inset and distance are common practice, no source.
// Units:   whole micrometres of the finished piece.
#ifndef PM_KIT_BOARD_H
#define PM_KIT_BOARD_H

#include "kit/draft.h"

#define BOARD_INSET_MM 15.0
#define BOARD_CLEAR_MM 50.8
#define BOARD_LEAST_MM 150.0    // of a board's side

typedef struct BoardPanel {
    char id[16];            // "B1", by row, then x
    Box box;                // of what is cut
    Rings rings;
} BoardPanel;

typedef struct BoardJoint { Point from, to; } BoardJoint;

typedef struct Board {
    double size_mm[2];      // of the board at hand, as it lies: perhaps turned by a quarter
    Rings outline;
    BoardJoint *joints;
    int joint_count;
    BoardPanel *panels;
    int panel_count;
    double along_mm;        // seams that run along joints all the same
} Board;

// *out is NULL when no board is asked for. ERROR_JOB when nothing of the base is wide enough.
MUST_USE bool board_make(const Draft *draft, Arena *keep, Work *work, const Board **out, Error *err);

#endif
