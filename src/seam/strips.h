// strips.h - the cheapest two-stage division along one direction: strip borders, then cross cuts in each strip.
// Exact on a grid of line positions by dynamic programming. Pieces are counted by chords: every chord that is cut adds
// one (Euler's formula: pieces less holes of pieces = 1 - holes of the part + chords).
// Source:  two-stage guillotine cutting: P. C. Gilmore, R. E. Gomory, "Multistage cutting stock problems of two and
// more
//          dimensions", Operations Research 13 (1965) 94-120; the recurrence over positions is our own.
#ifndef PM_SEAM_STRIPS_H
#define PM_SEAM_STRIPS_H

#include "base/work.h"
#include "seam/avoid.h"
#include "seam/layout.h"

typedef struct StripsOptions {
    Frame frame;
    Space space;
    double step_mm; // between line positions
    double phase;   // 0..1 of a step, where they begin
    double hidden_weight, piece_weight;
    const Avoid *avoid;
} StripsOptions;

// Adds the best layout with the sheet's long side along u, and the best with it across (one when the sheet is square).
MUST_USE bool strips_find(const Part *part, const Hiding *hiding, const StripsOptions *options, Arena *keep, Work *work,
                          Layouts *out, Error *err);

#endif
