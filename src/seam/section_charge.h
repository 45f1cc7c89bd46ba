// section_charge.h - what a straight line through all layers would cut: lengths in sight and hidden, part by part, and what
// that is charged with.
// Method:  even-odd crossings of lines at given places with all outlines, sorted; a line hides where the union of higher
//          layers covers it (the 3 mm that a hidden seam keeps from the cover's edge are left out here: they alter a
//          charge by little).
#ifndef PM_SEAM_SECTION_CHARGE_H
#define PM_SEAM_SECTION_CHARGE_H

#include "seam/seam.h"

typedef struct SectionPart { // a connected part of a layer
    int layer, index;
    Box box;
    bool fits;          // its paper, as a whole
    double sheet_share; // of the sheet's area that its box takes
} SectionPart;

typedef struct SectionLayer {
    SectionPart *parts;
    int part_count;
    int *part_of;       // of each ring
} SectionLayer;

typedef struct SectionGround {
    const Stack *stack;
    SectionLayer *layers;
    double hidden_weight, piece_weight, least_wide_mm;
} SectionGround;

typedef struct SectionCut { // of one part by one line
    int place, part;        // index of the line
    double visible_mm, hidden_mm;
    double beside_mm;       // how far the part reaches on the side where it reaches less
} SectionCut;

MUST_USE bool section_ground(const Stack *stack, const Paper *papers, Arena *keep, Work *work, SectionGround *out, Error *err);

// Of each place: axis 0 = upright lines, axis 1 = level ones.
MUST_USE bool section_charge(const SectionGround *ground, int axis, const double *at_mm, int count, Work *work, double *out_in,
                             Error *err);

// What lines cut of one layer; in work->scratch.
MUST_USE bool section_cuts(const SectionGround *ground, int layer, int32_t *const at[2], const int count[2], Work *work,
                           SectionCut **out, int *out_count, Error *err);

#endif
