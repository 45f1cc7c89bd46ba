// explain.h - which colours, pure close by, a pixel can be a blend of.
// Shape:   an Explainer looks at one picture and one label map in the making (palette.h). The colours near one pixel are
//          gathered outwards: a wider window goes on where the narrower one stopped, as long as the map stays as it is.
// Units:   distances in pixels; tolerances and costs in codes, which are steps of the encoded 8-bit channels.
// Method:  see label.h.
// Errors:  memory.
#ifndef PM_SEPARATION_EXPLAIN_H
#define PM_SEPARATION_EXPLAIN_H

#include "separation/palette.h"

#define WIDEST_WINDOW_PX 12
#define WINDOW_OFFSETS ((2 * WIDEST_WINDOW_PX + 1) * (2 * WIDEST_WINDOW_PX + 1))
#define MOST_NEAR 6 // colours considered for one pixel, nearest first

typedef struct Vector {
    double r, g, b;
} Vector;

typedef struct Near { // a colour that is pure near a pixel
    uint8_t label;
    double distance_px;
    Vector colour;
} Near;

typedef struct NearColours {
    Near items[MOST_NEAR]; // nearest first
    int count;
    uint32_t at;   // the pixel
    int next;             // offset to be looked at next
    uint64_t seen, around; // a bit a palette colour: those listed; all that can be within the widest window
} NearColours;

typedef struct Offset {
    int16_t dx, dy;
    int32_t delta; // in the label map
    double distance_px;
} Offset;

typedef struct Explainer {
    const Picture *picture;
    const Palette *palette;
    const uint8_t *label;
    Offset offsets[WINDOW_OFFSETS]; // nearest first
    int offsets_within[WIDEST_WINDOW_PX + 1];
    uint64_t *around; // of each block: the colours that are pure in it or in a block beside it; NULL: not kept
    bool *is_known;   // the block's entry is filled
    int blocks_across, blocks_down;
} Explainer;

// `for_wide_windows` keeps what lies around each block, so that a search ends when it has found all of that. It pays
// where many pixels look far, in noise, and costs more than it saves in a clean picture.
// Errors: ERROR_SYSTEM.
MUST_USE bool explainer_make(const Picture *picture, const Palette *palette, const uint8_t *label,
                             bool for_wide_windows, Arena *arena, Explainer *out, Error *err);

// To be called when the label map has changed.
void explainer_forget(Explainer *explainer);

NearColours near_none(const Explainer *explainer, uint32_t at);

// Adds the colours that are pure within the window of this radius (at most WIDEST_WINDOW_PX) and not yet listed.
void near_widen(const Explainer *explainer, int window_px, NearColours *near);

// The label of the best explanation of a colour by one, two or three colours nearby; LABEL_UNDECIDED when none comes
// within the tolerance.
uint8_t explain_by_near(Vector colour, const NearColours *near, double tolerance_codes);

// The same by any one colour of the palette, blended with the nearest one or two pure ones.
uint8_t explain_by_foreign(const Palette *palette, Vector colour, const NearColours *near, double tolerance_codes);

// Whether the colour lies within the tolerance of `thin`, or of a blend of it and one that is pure nearby.
bool is_explained_with(Vector colour, Vector thin, const NearColours *near, double tolerance_codes);

double vector_distance2(Vector a, Vector b);

static inline Vector vector_of(Srgb8 c)
{
    return (Vector){c.r, c.g, c.b};
}

static inline Vector vector_of_label(const Palette *palette, uint8_t label)
{
    return vector_of(palette->colours[label - LABEL_FIRST].colour);
}

#endif
