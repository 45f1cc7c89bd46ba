// maker.h - what separation_make holds while it works, and what it tells in the end. For separation.c and tell.c alone.
// Errors:  ERROR_SYSTEM (memory), ERROR_CANCELLED.
#ifndef PM_SEPARATION_MAKER_H
#define PM_SEPARATION_MAKER_H

#include "separation/despeckle.h"
#include "separation/fringe.h"
#include "separation/ground.h"
#include "separation/label.h"
#include "separation/palette.h"
#include "separation/runs.h"
#include "separation/shading.h"
#include "separation/wish.h"

typedef struct Maker {
    const Picture *picture;
    const SeparationOptions *options;
    Arena *keep;
    Work *work;
    Separation *out;
    Palette palette;
    LabelStats edges;
    Fringes fringes;
    Runs runs;
    Ground ground;
    int first_thin; // palette colours from here to first_wished - 1 were found in thin lines alone
    int first_wished; // from here on: colours that a wish brought in
    WishNotes notes;
    bool is_wished_away[256]; // working labels
    double mm_per_px;
    Specks specks;
    Shading shading;
    int8_t paper_of[SEPARATION_MAX_COLOURS]; // palette colour -> paper in hand, -1: none
    uint8_t matched_into[SEPARATION_MAX_COLOURS]; // palette colour -> the one whose labels it has since papers were matched
    uint8_t final_label[256]; // working label -> label of the result
    int plateau_colours; // palette colours that come from thin areas, next after those of cores
    bool is_photo;
} Maker;

// Adds a finding, with its place in pixels.
MUST_USE bool maker_tell(Maker *m, const char *kind, const char *text, double x_px, double y_px, Error *err);

// Soft shading, specks that joined a neighbour, colours that went or live in thin lines alone, neighbours hardly to be told apart, a photograph.
MUST_USE bool maker_tell_all(Maker *m, Error *err);

#endif
