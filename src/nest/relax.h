// relax.h - pieces that may overlap for a while, on sheets of which each can have a size of its own, moved one at a time until none
// does. Pieces never leave their sheet's space; what overlaps is paid for by the pair, and a pair that stays in trouble pays more
// and more.
// Units:   millimetres from the corner of the space. A move = one piece looks for a better place.
// Memory:  `keep` at relax_open; nothing afterwards.
// Source:  minimising weighted overlap: J. Egeblad, B. K. Nielsen, A. Odgaard, "Fast neighborhood search for two- and
//          three-dimensional nesting problems", EJOR 183 (2007) 1249-1266 (title from memory); exchange of two pieces to get out of a
//          dead end: T. Imamichi, M. Yagiura, H. Nagamochi, "An iterated local search algorithm based on nonlinear programming for the
//          irregular strip packing problem", Discrete Optimization 6 (2009) 345-361. Numbers of samples and steps are our own.
#ifndef PM_NEST_RELAX_H
#define PM_NEST_RELAX_H

#include "base/rng.h"
#include "nest/solid.h"

#define RELAX_MOST 200          // pieces: pairs are kept in a square table

typedef struct Pose {
    int sheet;
    Fit turn;
    double x, y;                // of the solid's origin
} Pose;

typedef struct Body {
    const Solid *solid;
    Cast cast;
    Pose pose;
    double x0, y0, x1, y1;      // box of its cover on the sheet
    double trouble;             // sum of its overlaps
} Body;

typedef struct Relax {
    int count;
    Body *bodies;
    int sheet_count;
    Space *spaces;              // one a sheet
    double full_height_mm, full_width_mm; // corner marks stay where the whole sheet has them
    bool free_turns;            // any angle, not only those of the solid
    float *weight, *overlap;    // count * count, symmetric
    double total;               // of all overlaps, each pair once
    Cast tried[2];
    int *order;
    int hint;                   // who was in the way last
    Rng rng;
    int64_t moves;
    Pose *best;                 // of the current separation
    float *best_weight;
} Relax;

// All bodies lie at `poses`, moved into their sheet's space where they stick out.
MUST_USE bool relax_open(const Solid *const *solids, const Pose *poses, int count, Space space, int sheet_count, uint64_t seed,
                         Arena *keep, Relax *out, Error *err);

void relax_set_size(Relax *relax, int sheet, double width_mm, double height_mm); // moves what sticks out inside
void relax_get(const Relax *relax, Pose *out);
void relax_set(Relax *relax, const Pose *poses);                    // weights start anew
void relax_forget_weights(Relax *relax);

// Piece `body` goes where it overlaps least, on any of the sheets.
void relax_place(Relax *relax, int body);

// Piece `body` goes anywhere, at any angle.
void relax_throw(Relax *relax, int body);

// Two large pieces change places.
void relax_swap(Relax *relax);

// Moves pieces until none overlap: *out = true. False when it gave up (`patience` rounds without progress, three times) or the moves
// ran out; bodies then lie as in the best round.
MUST_USE bool relax_separate(Relax *relax, int64_t most_moves, int patience, Work *work, bool *out, Error *err);

#endif
