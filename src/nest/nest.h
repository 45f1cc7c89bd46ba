// nest.h - the door: outlines of the pieces of one paper -> places on the fewest sheets.
// Units:   placements take finished-piece millimetres to sheet millimetres: x' = a x + c y + e, y' = b x + d y + f
//          (SVG matrix order), a turn and a shift, never mirrored. Values are already rounded to 9 decimals.
// Shape:   each piece lies in the usable box, clear of the corner marks, touching the box allowed; pieces are `gap_mm` apart.
// Errors:  ERROR_JOB when a piece fits no sheet (it is a caller's bug when the seams are ours); ERROR_INPUT for a space or gap that is
//          no size, and for a number of sheets below 0.
#ifndef PM_NEST_NEST_H
#define PM_NEST_NEST_H

#include "base/work.h"
#include "paper/paper.h"
#include "shape/ring.h"

typedef struct NestItem {
    const Rings *rings;     // flat outline with holes, finished-piece coordinates
    Fit fit;                // an angle at which it fits alone; one that the options' turn does not allow is no use
} NestItem;

#define NEST_LEFT_OVER (-1)

typedef struct NestPlace {
    int sheet;              // 0, 1, ... of this paper; NEST_LEFT_OVER when most_sheets were not enough
    double to_sheet[6];     // all 0 for what is left over
} NestPlace;

typedef struct NestResult {
    NestPlace *places;      // one an item, same order
    int sheet_count;
    int left_over;          // pieces that no sheet took: always 0 without most_sheets
} NestResult;

typedef enum NestTurn { NEST_TURN_FREE, NEST_TURN_QUARTERS, NEST_TURN_HALVES, NEST_TURN_NONE } NestTurn;

typedef struct NestOptions {
    Paper paper;            // its id stands in error texts
    Space space;            // what the nest may use: the paper's, by nest_defaults
    double origin_mm[2];    // where the space lies on the sheet
    double gap_mm;          // 3; 5 on textured paper and board: their edges fray
    NestTurn turn;          // free; halves on grained paper, none on textured
    int orders;             // how many piece orders are tried (a fixed amount of work, whatever the machine)
    int moves;              // of pieces, to save sheets afterwards; likewise
    uint64_t seed;
    int most_sheets;        // 0: as many as it takes. Else what finds no place on so many is left over, a piece that fits such a
                            // sheet at no angle too; as much paper as can be found a place is laid
} NestOptions;

NestOptions nest_defaults(const Paper *paper);

// The first answer: one piece after the other.
MUST_USE bool nest_start(const NestItem *items, int item_count, const NestOptions *options, Arena *keep, Work *work,
                         NestResult *out, Error *err);

// A better answer, or the same: sheets are emptied into the others while that is possible, then the last one is used less. At most
// `moves` pieces are moved (and a few more to end a round); the same moves and seed give the same bytes. `work` needs an overlay
// handle unless the gap is 0. Like the first answer, it has passed nest_check.
MUST_USE bool nest_improve(const NestItem *items, int item_count, const NestOptions *options, const NestResult *from, int64_t moves,
                           uint64_t seed, Arena *keep, Work *work, NestResult *out, Error *err);

// Both, with the options' moves and seed.
MUST_USE bool nest_pieces(const NestItem *items, int item_count, const NestOptions *options, Arena *keep, Work *work,
                          NestResult *out, Error *err);

#endif
