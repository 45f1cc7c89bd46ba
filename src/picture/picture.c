// picture.c - see picture.h: the choice between the child and this process.
#include "picture/picture.h"

#include "picture/child.h"
#include "picture/jpeg_means.h"
#include "picture/raster_read.h"

PictureOptions picture_defaults(void)
{
    return (PictureOptions){.limit_px = PICTURE_DEFAULT_LIMIT_PX};
}

typedef struct Taker {
    Arena *keep;
    Picture *picture;
} Taker;

static bool keep_pixels(void *taker, const Picture *decoded, Error *err)
{
    Taker *to = taker;
    Picture own = *decoded;
    own.rgba = arena_copy(to->keep, decoded->rgba, (size_t)decoded->width_px * (size_t)decoded->height_px, 4);
    if (!own.rgba) return error_memory(err);
    for (int i = 0; picture_has_means(decoded) && i < PICTURE_MEANS; i++) {
        own.means[i].multiples = arena_copy(to->keep, own.means[i].multiples, block_means_count(&own.means[i]), sizeof(int16_t));
        if (!own.means[i].multiples) return error_memory(err);
    }
    *to->picture = own;
    return true;
}

static bool read_here(const void *bytes, size_t size_bytes, const char *name, const PictureOptions *options,
                      Arena *keep, Picture *out, Error *err)
{
    Taker taker = {keep, out};
    if (!raster_library_start(err)) return false;
    if (raster_read(bytes, size_bytes, options->limit_px, keep_pixels, &taker, err)) return true;
    return err->kind == ERROR_SYSTEM ? false : error_at(err, "%s", name);
}

bool picture_read(const void *bytes, size_t size_bytes, const char *name, const PictureOptions *options, Arena *keep,
                  Work *work, Picture *out, Error *err)
{
    *out = (Picture){0};
    if (size_bytes == 0)
        return error_set(err, ERROR_INPUT, "%s: the file is empty (0 bytes); choose the picture itself", name);
    if (!work_goes_on(work, err)) return false;
    if (!options->child_program) return read_here(bytes, size_bytes, name, options, keep, out, err);
    return child_read(bytes, size_bytes, name, options, keep, work, out, err);
}
