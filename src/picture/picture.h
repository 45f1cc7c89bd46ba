// picture.h - what the maker brings in, decoded: the door of this room.
// Shape:   8-bit sRGB with alpha, not premultiplied, 4 bytes a pixel (r g b a), rows from the top, no padding.
// Memory:  pixels and means belong to the arena they were read into.
#ifndef PM_PICTURE_PICTURE_H
#define PM_PICTURE_PICTURE_H

#include "base/work.h"

#include <stdint.h>

#define PICTURE_DEFAULT_LIMIT_PX 200e6 // above it a decoded picture would take most of a small machine's memory

// What a JPEG file says of its blocks: the mean of each, rounded to a multiple of a step, but neither cut off at 0 and 255 nor
// smeared, as pixels are. In the file's order: lightness (about 128) and the differences of blue and of red (about 0).
// Source:  ITU-T T.81 (a block's first coefficient is 8 times its mean), ITU-T T.871 (the three values).
typedef struct BlockMeans {
    int step;                // eighths of a code; 0 = the file says nothing, or its pixels were changed since (profile, orientation)
    int width_px, height_px; // of a block: 8, or more where resolution was reduced
    int across, down;        // blocks that cover the picture; the last ones may reach beyond it
    int16_t *multiples;      // across * down, by rows
} BlockMeans;

#define PICTURE_MEANS 3

typedef struct Picture {
    int width_px, height_px;
    uint8_t *rgba;
    BlockMeans means[PICTURE_MEANS]; // all three or none
} Picture;

static inline bool picture_has_means(const Picture *picture)
{
    return picture->means[0].step > 0;
}

typedef struct PictureOptions {
    double limit_px;            // largest width x height
    const char *child_program;  // path of the program that is started with CHILD_WORD; NULL decodes in this process (tests)
    double wait_s;              // how long the child may take; 0 = by the size of the picture, far more than it needs
} PictureOptions;

PictureOptions picture_defaults(void);

// The hidden first argument by which the program knows that it is the decoding child.
#define PICTURE_CHILD_WORD "--decode-child"

// Decodes the bytes of a picture file in a child process. `name` stands in error texts.
// Errors: ERROR_INPUT (empty, not a picture, truncated, over the limit: with its size), ERROR_SYSTEM.
MUST_USE bool picture_read(const void *bytes, size_t size_bytes, const char *name, const PictureOptions *options,
                           Arena *keep, Work *work, Picture *out, Error *err);

// The child's whole life: reads its order from the descriptors that picture_read set up, limits itself, decodes, answers. Returns
// the exit code.
int picture_child_main(int argc, char **argv);

#endif
