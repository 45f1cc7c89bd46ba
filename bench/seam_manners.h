// seam_manners.h - how tidily the seams of a picture lie: above one another, square at their ends, straight, apart.
// Units:   millimetres of seam, or counts. What is hidden by cover counts for stacked seams alone.
#ifndef PM_BENCH_SEAM_MANNERS_H
#define PM_BENCH_SEAM_MANNERS_H

#include "seam/seam.h"

typedef struct Manners {
    double upper_mm;      // seam of all layers but the base ...
    double stacked_mm;    // ... within 12.7 mm of a seam of any lower layer, and at less than 20 degrees to it ...
    double next_mm;       // ... of the layer right below it in the order
    double visible_mm;    // seam in sight
    double odd_mm;        // of it, runs neither along x nor along y, nor square into the outline at both ends
    int four_meet;        // places where four seams in sight end
    int bends;            // corners inside a seam, in sight on both sides
    int bent_twice;       // seams with more than one of them
    int close_joints;     // pairs of ends in sight under an inch apart on one and the same seam
    int ends, untidy_ends; // ends in sight on the outline; those neither square within 5 degrees nor in a concave corner
} Manners;

// Adds what one picture has; pieces[i] is layer i of the stack.
MUST_USE bool manners_add(const Stack *stack, const LayerPieces *pieces, const SeamOptions *options, Arena *scratch,
                          Manners *totals, Error *err);
void manners_print(const char *name, const Manners *manners);

#endif
