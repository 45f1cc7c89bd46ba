// separation.h - the door: Picture -> Separation, one label a pixel.
// Shape:   label[y * width_px + x]: 0 = ground (not cut), i + 1 = colours[i]. All pixels of a flat colour have its label;
//          edge pixels have the label whose share of the pixel is largest, among the labels that touch there.
//          Regions are 4-connected areas of one label.
// Units:   pixels; findings' places are pixels here.
// Errors:  ERROR_JOB: nothing but ground, one colour only, no flat colour found.
#ifndef PM_SEPARATION_SEPARATION_H
#define PM_SEPARATION_SEPARATION_H

#include "base/finding.h"
#include "picture/picture.h"
#include "separation/colour.h"

#define SEPARATION_MAX_COLOURS 64

typedef struct SeparationColour {
    Srgb8 colour;
    char name[32];          // plain word, unique in this picture ("grey", "grey-2")
    int64_t area_px;        // pixels with this label
    int region_count;
} SeparationColour;

typedef struct Separation {
    int width_px, height_px;
    uint8_t *label;
    SeparationColour *colours;  // by area, largest first; ties by colour value
    int colour_count;
    bool has_ground_colour;     // false: the ground is transparency
    Srgb8 ground_colour;
    bool hard_edged;            // edges without blends: points stay on crack middles in `outline`
    bool is_noisy;              // compression noise: outline allows more
    double box_px[4];           // x0, y0, x1, y1 of all non-ground pixels before clean-up: it fixes the scale
    Findings findings;          // specks that joined a neighbour
} Separation;

typedef struct SeparationOptions {
    double figure_height_mm;    // of the finished figure without border; with it the two sizes below are judged
    double smallest_part_mm;    // a coloured region inside a circle of this diameter is a speck (8)
    double smallest_hole_mm;    // the same for a hole or a notch of ground, and for the colour that shows through as base (4)
    double smallest_area_px;    // > 0: judge specks by area in pixels instead (fewer pixels than this = speck)
    double same_de00;           // colours nearer than this are one (3)
} SeparationOptions;

SeparationOptions separation_defaults(void);

MUST_USE bool separation_make(const Picture *picture, const SeparationOptions *options, Arena *keep, Work *work,
                              Separation *out, Error *err);

#endif
