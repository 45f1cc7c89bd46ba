// black_on_white.h - a small picture of one black shape on white ground, blended as a renderer does, and its label map.
#ifndef PM_TESTS_BLACK_ON_WHITE_H
#define PM_TESTS_BLACK_ON_WHITE_H

#include "picture/picture.h"
#include "separation/separation.h"

#define BLACK_ON_WHITE_MOST 64 // pixels a side

typedef struct BlackOnWhite {
    uint8_t rgba[4 * BLACK_ON_WHITE_MOST * BLACK_ON_WHITE_MOST], label[BLACK_ON_WHITE_MOST * BLACK_ON_WHITE_MOST];
    SeparationColour colours[3]; // black is the first
    Picture picture;
    Separation separation;
} BlackOnWhite;

// By 16 x 16 samples a pixel. It holds pointers into itself: it stays where it is.
static inline void black_on_white(BlackOnWhite *d, int side, bool (*inside)(double x, double y))
{
    *d = (BlackOnWhite){.colours = {{.colour = {0, 0, 0}}}};
    for (int i = 0; i < side * side; i++) {
        int hits = 0;
        for (int k = 0; k < 256; k++) hits += inside(i % side + (k % 16 + 0.5) / 16, i / side + (k / 16 + 0.5) / 16);
        uint8_t value = (uint8_t)(255 - (hits * 255 + 128) / 256);
        for (int c = 0; c < 3; c++) d->rgba[4 * i + c] = value;
        d->rgba[4 * i + 3] = 255;
        d->label[i] = hits >= 128;
    }
    d->picture = (Picture){.width_px = side, .height_px = side, .rgba = d->rgba};
    d->separation = (Separation){.width_px = side, .height_px = side, .label = d->label, .colours = d->colours, .colour_count = 1,
                                 .has_ground_colour = true, .ground_colour = {255, 255, 255}};
}

#endif
