// fuzz_picture.c - any bytes as a picture file, decoded in this process: a clean refusal, or whole pixels within the
// limit.
#include "picture/jpeg_means.h"
#include "picture/raster_read.h"

#include "base/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define LIMIT_PX 65536.0 // small, so that an input costs little

int LLVMFuzzerInitialize(int *argc, char ***argv);
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size_bytes);

static void want(bool holds, const char *what)
{
    if (holds) return;
    fprintf(stderr, "broken: %s\n", what);
    abort();
}

typedef struct Taken {
    int times;
    int width_px, height_px;
    uint32_t sum; // every byte is looked at, so that missing ones are noticed
} Taken;

static bool take(void *taker, const Picture *decoded, Error *err)
{
    (void)err;
    Taken *taken = taker;
    want(decoded->width_px > 0 && decoded->height_px > 0, "a picture has pixels");
    for (size_t i = 0; i < (size_t)decoded->width_px * (size_t)decoded->height_px * 4; i++) taken->sum += decoded->rgba[i];
    for (int k = 0; picture_has_means(decoded) && k < PICTURE_MEANS; k++) {
        want(block_means_fit(&decoded->means[k], decoded->width_px, decoded->height_px), "blocks cover the picture");
        for (size_t i = 0; i < block_means_count(&decoded->means[k]); i++) taken->sum += (uint32_t)decoded->means[k].multiples[i];
    }
    taken->times++;
    taken->width_px = decoded->width_px, taken->height_px = decoded->height_px;
    return true;
}

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc, (void)argv;
    Error err = {0};
    return raster_library_start(&err) ? 0 : 1;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size_bytes)
{
    Error err = {0};
    RasterSize size;
    Taken taken = {0};
    bool has_header = raster_read_header(data, size_bytes, LIMIT_PX, &size, &err);
    want(has_header || (err.kind == ERROR_INPUT && err.text[0]), "a refusal says what is wrong");
    double claimed_px = raster_claimed_px(data, size_bytes);
    want(claimed_px >= 0.0 && claimed_px < 1e15, "a header claims a finite size");
    want(!has_header || claimed_px == 0.0 || claimed_px == (double)size.width_px * size.height_px,
         "a header claims what the library finds");
    want(!has_header || (double)size.width_px * size.height_px <= LIMIT_PX, "a header keeps the limit");
    err = (Error){0};
    bool read = raster_read(data, size_bytes, LIMIT_PX, take, &taken, &err);
    if (!read) {
        want(taken.times == 0, "a refused picture gives no pixels");
        want(err.kind == ERROR_INPUT && text_is_utf8(err.text, strlen(err.text)), "an error text is UTF-8");
        return 0;
    }
    want(has_header, "what is read has a header");
    want(taken.times == 1, "a picture is handed over once");
    want((taken.width_px == size.width_px && taken.height_px == size.height_px) ||
             (taken.width_px == size.height_px && taken.height_px == size.width_px),
         "the pixels are as many as the header says");
    return 0;
}
