// tint.h - the area of a colour that has no label, from the means of a JPEG's blocks.
// A strip 1 px wide between two colours leaves no pixel of its own colour: halved colour resolution smears it over the edge, and
// all three channels are cut off beside black and white. But the mean of a block holds it whole, rounded to a step: what labels and
// their colours do not give of a mean is the strip's, and how far the edge beside it is off.
// Method:  r = d1 (A - B) + a (S - B) + other edges' shifts + rounding, in three channels: `a` by generalised least squares, where
//          the edge A|B may lie anywhere, all others where labels have them, within a part of a pixel. What is left of r tells whether
//          S was the colour.
// Cells:   blocks of the colour differences, at most 16 px; lightness has as many or four in each.
// Units:   areas in pixels.
// Source:  picture.h, BlockMeans; A. C. Aitken, "On Least Squares and Linear Combination of Observations", Proceedings of the Royal
//          Society of Edinburgh 55 (1935) 42-48.
// Errors:  ERROR_SYSTEM (memory), ERROR_CANCELLED.
#ifndef PM_SEPARATION_TINT_H
#define PM_SEPARATION_TINT_H

#include "separation/palette.h"

#define TINT_THIN_PX 4 // the steps to both sides' colours together: a pixel with no more belongs to a strip

typedef struct Trio { uint8_t a, b, s; } Trio; // labels: a strip of s between a and b

static inline bool trio_is_same(Trio a, Trio b)
{
    return a.a == b.a && a.b == b.b && a.s == b.s;
}

typedef struct TintCells {
    const Picture *picture;
    const uint8_t *label;
    int width_px, height_px, across, down; // of a cell; whole ones alone
    double colour[256][3];                 // of labels: lightness and colour differences
    double noise2[3];                      // of a cell's mean
} TintCells;

typedef struct Tint {
    double area_px, error2;
    double misfit; // squares of what is left, in errors
    bool is_alone; // nothing else of s lies in the cell
    bool is_tip;   // something else of s lies between both sides: the strip widens
    bool is_told;
} Tint;

bool tint_can_tell(const Picture *picture);

void tint_cells(const Picture *picture, const Palette *palette, const uint8_t *label, TintCells *out);

#define TINT_MOST_EDGES 8

typedef struct TintEdge { uint8_t a, b; int cracks; } TintEdge; // a < b

typedef struct TintContent { // of a cell, as labels have it
    int px_of[256], px;
    TintEdge edges[TINT_MOST_EDGES];
    int edge_count;
    bool is_unclear; // more edges, or something without a colour
} TintContent;

// Does a plain cell have its label's colour? Not where two shades share a label.
bool tint_is_sound(const TintCells *cells, int cell);

void tint_look(const TintCells *cells, int cell, TintContent *out);

// What labels do not give of a cell's mean, beside one edge that may lie anywhere.
typedef struct TintRest {
    double rest[3], inverse[3][3]; // of its covariance
    double all;                    // squares of errors: no strip can explain more
    int px;
    bool is_told, is_alone, is_tip;
} TintRest;

// `content`: what tint_look gave. s is 0 where no strip's colour lies in the cell already; else what is thin of it counts as no strip yet.
TintRest tint_rest(const TintCells *cells, int cell, const TintContent *content, Trio trio);

// How much of s would explain it best.
Tint tint_measure(const TintCells *cells, const TintRest *rest, Trio trio);

// Is this pixel, of label s, part of a strip?
bool tint_is_thin(const TintCells *cells, int x, int y, Trio trio);

#endif
