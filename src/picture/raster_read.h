// raster_read.h - bytes of a PNG, JPEG, WebP, TIFF, GIF or HEIC file -> pixels; the only module that sees libvips.
// Shape:   pixels as in picture.h; embedded colour profile and orientation are honoured, a missing alpha becomes 255.
// Errors:  ERROR_INPUT: empty, not a picture, damaged or truncated, over the limit.
// Memory:  pixels go to the caller's sink; nothing is kept here.
#ifndef PM_PICTURE_RASTER_READ_H
#define PM_PICTURE_RASTER_READ_H

#include "picture/picture.h"

#include <stddef.h>

typedef struct RasterSize {
    int width_px, height_px; // as stored, before an orientation turns it
} RasterSize;

// Who takes the pixels and means: called once, with all of them. False (with err set) stops the decoder.
typedef bool (*RasterSink)(void *taker, const Picture *decoded, Error *err);

// Starts the library, silences its messages; safe to call more than once.
MUST_USE bool raster_library_start(Error *err);

// The pixels that a header claims for which the library takes memory of its own, and that already while it reads the
// header: those of a WebP file. 0 for other files and for damaged ones.
double raster_claimed_px(const void *bytes, size_t size_bytes);

// Reads the header alone, before any pixel; refuses what has more than limit_px pixels.
MUST_USE bool raster_read_header(const void *bytes, size_t size_bytes, double limit_px, RasterSize *out, Error *err);

// Decodes the first picture of the file.
MUST_USE bool raster_read(const void *bytes, size_t size_bytes, double limit_px, RasterSink sink, void *taker,
                          Error *err);

#endif
