// art.h - drawings with a known answer: rasters of an SVG as a maker would bring them, and the truth about them.
// Truth:   the same drawing by librsvg without antialiasing, at a multiple of the size: every sample has a colour of the
//          drawing. Colours nearer than dE00 3 are one, the larger one's. Class 0 is transparency.
// Variants: hue turned (in the SVG's text), mirrored, scaled, padded, on a coloured ground; compressed afterwards.
// Errors:  false, after a word on stderr; a benchmark asserts nothing.
#ifndef PM_BENCH_ART_H
#define PM_BENCH_ART_H

#include "picture/picture.h"
#include "separation/colour.h"

#include <stddef.h>

#define ART_MOST_CLASSES 200

typedef struct Art {
    char group[32], name[64];
    char *svg;
    size_t size_bytes;
} Art;

typedef struct ArtList { Art *items; int count; } ArtList;

typedef struct Rendering {
    int longest_px;         // of the drawing, padding apart
    bool is_mirrored;
    int pad_px;
    bool has_ground;
    Srgb8 ground;
    double shift_px[2];     // truth only: the drawing moved by this, so that other places are sampled
} Rendering;

typedef struct Truth {
    int width, height;      // in samples
    int samples;            // a pixel's side
    double shift_px[2];     // of the drawing
    uint8_t *at;            // class of each sample
    Srgb8 colours[ART_MOST_CLASSES]; // [0] is the ground's when the rendering has one
    bool has_ground;
    int count;              // classes, the transparent one included
} Truth;

// All SVG files of a folder's sub-folders, sorted: a sub-folder is a group. Folders in sub-folders count as their drawings' names.
ArtList art_list(const char *folder, const char *group);
void art_free(ArtList *list);

// A copy of the SVG's text with every hexadecimal colour's hue turned by this part of the circle (0..1).
Art art_with_hue_turned(const Art *art, double part);

bool art_picture(const Art *art, const Rendering *how, Picture *out);       // pixels by malloc
bool art_truth(const Art *art, const Rendering *how, int samples, Truth *out); // `at` by malloc

// The picture as it comes back from a JPEG, with what the file says of its blocks (jpeg_means_free). Half the colour resolution when `is_halved`.
bool art_compress(Picture *picture, int quality, bool is_halved);

double art_de00(Srgb8 a, Srgb8 b);

#endif
