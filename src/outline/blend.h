// blend.h - what share of a pixel has which colour.
// A pixel on an edge is a mix of the colours on its two sides, in encoded sRGB (some programs: in proportion to light) premultiplied by
// alpha; where one shape was drawn over
// another one's edge a third colour may shine through. Shares are by least squares on the line between the two, or in the
// triangle of the three; far off both the pixel is no such blend.
// Units:   shares 0..1; pixels.
#ifndef PM_OUTLINE_BLEND_H
#define PM_OUTLINE_BLEND_H

#include "outline/arcs.h"

typedef struct Pixels {     // what the edges are read from
    const Picture *picture;
    const Separation *separation;
    double colour[SEPARATION_MAX_COLOURS + 1][4];   // of each label, premultiplied, 0..255
    bool in_light;                                  // in proportion to light, not encoded
} Pixels;

typedef struct Blend {      // the line between the colours of the two sides
    const double *from;
    double axis[4];
    double length2;
    double allowed2;        // squared distance from the line
    double pure2;
} Blend;

typedef struct Shares {
    double other;       // of the colour at the line's end
    double third;       // of a third one, 0 without
    int third_label;
    bool is_pure;       // as good as the colour at the line's start
    bool is_off_line;   // farther from the line between the two than a clean blend would be
} Shares;

Pixels blend_prepare(const Picture *picture, const Separation *separation, bool in_light);

// -1 outside the picture.
int blend_label(const Pixels *pixels, int x, int y);

Blend blend_between(const Pixels *pixels, int from_label, int to_label);

// False when the pixel is no blend of the two, nor nearly one, or when both have one colour. third_label: the colour to look for first, or -1: none, then the one
// of which least is needed.
bool blend_shares(const Pixels *pixels, const Blend *blend, int third_label, int x, int y, Shares *out);

// The shares of these three alone; false when they do not explain the pixel.
bool blend_three(const Pixels *pixels, const Blend *blend, int third_label, int x, int y, Shares *out);

// The pixels on both sides of a crack, as seen by who travels from `from` to `to`.
typedef struct Sides { Cell left, right; } Sides;
Sides blend_sides(Cell from, Cell to);

#endif
