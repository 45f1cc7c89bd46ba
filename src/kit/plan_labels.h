// plan_labels.h - where each piece's number stands on the key plan.
// Units:   plan millimetres from the picture's top left corner.
#ifndef PM_KIT_PLAN_LABELS_H
#define PM_KIT_PLAN_LABELS_H

#include "kit/draft.h"

#define PLAN_RING_MM 1.5        // from the middle of a ring to the name beside it
#define PLAN_KNEE_MM 5.0        // from a number in the margin to where its line, level so far, turns to the piece

typedef enum PlanLabelKind {
    PLAN_LABEL_INSIDE,          // on what is seen of the piece
    PLAN_LABEL_BELOW,           // on what covers the whole piece, right of a ring on the spot
    PLAN_LABEL_LEFT, PLAN_LABEL_RIGHT,  // in the margin, with a line to the piece
} PlanLabelKind;

typedef struct PlanLabel {
    PlanLabelKind kind;
    double x_mm, y_mm;          // middle of the number
    double size_mm;             // of the letters
    double at_x_mm, at_y_mm;    // the spot on the piece that the line leads to
    bool is_seen;               // false: higher layers cover the whole piece
    int on_layer;               // the layer that is seen below the number: its colour decides the letters'
} PlanLabel;

// Width of a number in bold letters of this size.
double plan_number_mm(const char *number, double size_mm);

// out has one entry a piece of the draft. `scale` = plan mm a finished mm. `below`: a piece that others cover may get its
// name where it lies.
MUST_USE bool plan_labels(const Draft *draft, double scale, double margin_mm, bool below, Arena *keep, Work *work, PlanLabel **out,
                          Error *err);

#endif
