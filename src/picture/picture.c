// picture.c - see picture.h: the choice between the child and this process.
#include "picture/picture.h"

#include "picture/child.h"
#include "picture/raster_read.h"

PictureOptions picture_defaults(void)
{
    return (PictureOptions){.limit_px = PICTURE_DEFAULT_LIMIT_PX};
}

typedef struct Taker {
    Arena *keep;
    Picture *picture;
} Taker;

static bool keep_pixels(void *taker, int width_px, int height_px, const uint8_t *rgba, Error *err)
{
    Taker *to = taker;
    uint8_t *own = arena_copy(to->keep, rgba, (size_t)width_px * (size_t)height_px, 4);
    if (!own) return error_memory(err);
    *to->picture = (Picture){width_px, height_px, own};
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
