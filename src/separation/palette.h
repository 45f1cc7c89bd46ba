// palette.h - the flat colours of a picture, and the pixels that are surely theirs.
// Method:  a pixel is a flat core when its whole neighbourhood has one colour: 3x3 and exactly, in a clean picture;
//          5x5 and within 8 codes under compression noise. Blends along edges have no cores, so they never become
//          colours.
// Shape:   a label map in the making: LABEL_UNDECIDED, LABEL_CLEAR (transparent), LABEL_FIRST + palette index.
//          The neighbourhood is cut at the picture's edge.
// Errors:  ERROR_SYSTEM (memory), ERROR_CANCELLED. That a picture has no flat colours is told by the counts.
#ifndef PM_SEPARATION_PALETTE_H
#define PM_SEPARATION_PALETTE_H

#include "picture/picture.h"
#include "separation/colour.h"
#include "separation/separation.h"

#define LABEL_UNDECIDED 0
#define LABEL_CLEAR 1
#define LABEL_FIRST 2
#define OPAQUE_ALPHA 128 // half: the pixel belongs to the side with the larger share

typedef struct PaletteColour {
    Srgb8 colour;
    Lab lab;
    int64_t core_px;
} PaletteColour;

typedef struct Palette {
    PaletteColour colours[SEPARATION_MAX_COLOURS];
    int count;
} Palette;

typedef struct FlatStats {
    int64_t step_count;      // places where the colour changes along a row
    int64_t soft_step_count; // of these: by few codes in both directions, which an edge between flat colours never does
    int64_t pure_px;         // pixels labelled
    int shade_count;         // core colours that are near another one and counted as it: few in flat art, many where it is shaded
    int64_t shade_px;        // their cores
    bool too_many;           // more core colours than a label can tell apart
} FlatStats;

// Clean pictures: fills `label` with the pixels that lie in a flat 3x3 and the palette of their colours.
MUST_USE bool palette_from_cores(const Picture *picture, double same_de00, Work *work, uint8_t *label, Palette *palette,
                                 FlatStats *stats, Error *err);

// Noisy pictures: the same from 5x5 neighbourhoods that are nearly flat; smaller parts have none, see faint.h. `label` need
// not be empty.
MUST_USE bool palette_from_calm_areas(const Picture *picture, Work *work, uint8_t *label, Palette *palette, int64_t *pure_px,
                                      Error *err);

// All colours of a picture that has only few (at most `most`); false in *few when it has more.
MUST_USE bool palette_of_all_pixels(const Picture *picture, int most, Work *work, Palette *palette, bool *few,
                                    Error *err);

// The palette's index for this colour within `within_de00`, nearest first; -1 when there is none.
int palette_find(const Palette *palette, Srgb8 colour, double within_de00);

// The same with a memory for shades seen before: pictures repeat them. One cache serves one palette and distance.
#define SHADE_CACHE_SIZE 65536
typedef struct ShadeCache {
    uint32_t value[SHADE_CACHE_SIZE]; // colour value + 1, 0 = free
    int8_t index[SHADE_CACHE_SIZE];
} ShadeCache;
int palette_find_cached(ShadeCache *cache, const Palette *palette, Srgb8 colour, double within_de00);

static inline Srgb8 picture_colour(const Picture *picture, size_t i)
{
    const uint8_t *p = picture->rgba + i * 4;
    return (Srgb8){p[0], p[1], p[2]};
}

#endif
