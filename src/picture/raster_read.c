// raster_read.c - see raster_read.h.
// Steps:   header, limit, colour (profile or plain sRGB), alpha, 8 bits, memory, orientation.
#include "picture/raster_read.h"

#include "picture/drawing.h"
#include "picture/jpeg_means.h"

#include <string.h>
#include <vips/vips.h>

#define FORMATS "PNG, JPEG, WebP, TIFF, GIF and HEIC files work"

static void swallow_message(const gchar *domain, GLogLevelFlags level, const gchar *message, gpointer data)
{
    (void)domain, (void)level, (void)message, (void)data;
}

bool raster_library_start(Error *err)
{
    // A broken file makes the decoders talk; what matters of it is in our own error sentence.
    g_log_set_default_handler(swallow_message, NULL);
    if (VIPS_INIT("papermason")) return error_set(err, ERROR_SYSTEM, "the picture library could not be started");
    vips_block_untrusted_set(TRUE);
    vips_cache_set_max(0);
    vips_concurrency_set(1); // each worker thread would reserve address space that the child's limit does not have
    return true;
}

// The library keeps a log of what went wrong; we tell it in our own words and leave the log empty.
static bool refuse(VipsImage *image, Error *err, const char *text)
{
    vips_error_clear();
    if (image) g_object_unref(image);
    return error_set(err, ERROR_INPUT, "%s", text);
}

static VipsImage *open_sequential(const void *bytes, size_t size_bytes)
{
    return vips_image_new_from_buffer(bytes, size_bytes, "", "access", VIPS_ACCESS_SEQUENTIAL, "fail_on",
                                      VIPS_FAIL_ON_TRUNCATED, NULL);
}

static uint32_t little_endian(const uint8_t *at, int count)
{
    uint32_t value = 0;
    for (int i = 0; i < count; i++) value |= (uint32_t)at[i] << (8 * i);
    return value;
}

// RFC 9649: the first chunk after "RIFF", a size and "WEBP" is one of three kinds, and tells the size of the canvas.
double raster_claimed_px(const void *bytes, size_t size_bytes)
{
    const uint8_t *b = bytes;
    if (size_bytes < 30 || memcmp(b, "RIFF", 4) != 0 || memcmp(b + 8, "WEBP", 4) != 0) return 0.0;
    if (memcmp(b + 12, "VP8X", 4) == 0) return (1.0 + little_endian(b + 24, 3)) * (1.0 + little_endian(b + 27, 3));
    if (memcmp(b + 12, "VP8L", 4) == 0) {
        uint32_t sides = little_endian(b + 21, 4);
        return (1.0 + (sides & 0x3fff)) * (1.0 + (sides >> 14 & 0x3fff));
    }
    if (memcmp(b + 12, "VP8 ", 4) == 0)
        return (double)(little_endian(b + 26, 2) & 0x3fff) * (little_endian(b + 28, 2) & 0x3fff);
    return 0.0;
}

// The library knows loaders of more formats than it opens for us; those would be called damaged.
static bool is_format_of_ours(const char *loader)
{
    static const char *const loaders[] = {"VipsForeignLoadPng",  "VipsForeignLoadJpeg",  "VipsForeignLoadWebp",
                                          "VipsForeignLoadTiff", "VipsForeignLoadNsgif", "VipsForeignLoadHeif"};
    for (size_t i = 0; loader && i < sizeof loaders / sizeof *loaders; i++)
        if (strncmp(loader, loaders[i], strlen(loaders[i])) == 0) return true;
    return false;
}

static bool refuse_size(double width, double height, double limit_px, Error *err)
{
    return error_set(err, ERROR_INPUT,
                     "the picture is %.0f x %.0f pixels (%.0f million), more than the limit of %.0f million; "
                     "make it smaller: 4000 pixels on the longer side are plenty",
                     width, height, width * height / 1e6, limit_px / 1e6);
}

static bool open_checked(const void *bytes, size_t size_bytes, double limit_px, VipsImage **out, Error *err)
{
    *out = NULL;
    if (size_bytes == 0) return error_set(err, ERROR_INPUT, "the file is empty (0 bytes); choose the picture itself");
    if (!drawing_check(bytes, size_bytes, err)) return false;
    if (!is_format_of_ours(vips_foreign_find_load_buffer(bytes, size_bytes)))
        return refuse(NULL, err, "this is not a picture that can be read; " FORMATS);
    VipsImage *image = open_sequential(bytes, size_bytes);
    if (!image)
        return refuse(NULL, err, "the beginning of the picture is damaged or cut off; copy or export the file again");
    double width = vips_image_get_width(image), height = vips_image_get_height(image);
    if (width * height > limit_px) {
        refuse_size(width, height, limit_px, err);
        g_object_unref(image);
        return false;
    }
    *out = image;
    return true;
}

bool raster_read_header(const void *bytes, size_t size_bytes, double limit_px, RasterSize *out, Error *err)
{
    *out = (RasterSize){0};
    VipsImage *image;
    if (!open_checked(bytes, size_bytes, limit_px, &image, err)) return false;
    *out = (RasterSize){vips_image_get_width(image), vips_image_get_height(image)};
    g_object_unref(image);
    return true;
}

typedef struct Source { const void *bytes; size_t size_bytes; bool is_jpeg; } Source;

// ITU-T T.81: a start marker, and the beginning of the next one.
static bool is_jpeg(const void *bytes, size_t size_bytes)
{
    return size_bytes > 3 && memcmp(bytes, "\xFF\xD8\xFF", 3) == 0;
}

// Each step takes over its input and gives a new image, or NULL; NULL in gives NULL out.
static VipsImage *stepped(VipsImage *before, VipsImage *after, int failed)
{
    g_object_unref(before);
    return failed ? NULL : after;
}

static VipsImage *to_srgb(VipsImage *image, bool use_profile)
{
    VipsImage *next = NULL;
    bool has_profile = vips_image_get_typeof(image, VIPS_META_ICC_NAME) != 0;
    bool is_cmyk = vips_image_get_interpretation(image) == VIPS_INTERPRETATION_CMYK;
    int failed;
    if (has_profile && use_profile)
        failed = vips_icc_transform(image, &next, "srgb", "embedded", TRUE, NULL);
    else if (is_cmyk)
        failed = vips_icc_transform(image, &next, "srgb", "input_profile", "cmyk", NULL);
    else
        failed = vips_colourspace(image, &next, VIPS_INTERPRETATION_sRGB, NULL);
    return stepped(image, next, failed);
}

static VipsImage *with_alpha(VipsImage *image)
{
    VipsImage *next = NULL;
    if (!image || vips_image_hasalpha(image)) return image;
    int failed = vips_addalpha(image, &next, NULL);
    return stepped(image, next, failed);
}

static VipsImage *four_bands_of_8_bits(VipsImage *image)
{
    VipsImage *next = NULL;
    if (!image) return NULL;
    if (vips_image_get_bands(image) < 4) return stepped(image, NULL, 1);
    if (vips_image_get_bands(image) > 4) {
        int failed = vips_extract_band(image, &next, 0, "n", 4, NULL);
        image = stepped(image, next, failed);
        if (!image) return NULL;
    }
    if (vips_image_get_format(image) == VIPS_FORMAT_UCHAR) return image;
    int failed = vips_cast(image, &next, VIPS_FORMAT_UCHAR, NULL);
    return stepped(image, next, failed);
}

static VipsImage *upright(VipsImage *image)
{
    VipsImage *next = NULL;
    if (!image || vips_image_get_orientation(image) <= 1) return image;
    // A turn reads columns, which a sequential reader cannot give.
    VipsImage *in_memory = vips_image_copy_memory(image);
    image = stepped(image, in_memory, in_memory == NULL);
    if (!image) return NULL;
    int failed = vips_autorot(image, &next, NULL);
    return stepped(image, next, failed);
}

// Are the pixels what the file's blocks hold, each in its place?
static bool is_as_stored(VipsImage *image)
{
    return vips_image_get_typeof(image, VIPS_META_ICC_NAME) == 0 && vips_image_get_orientation(image) <= 1 && vips_image_get_bands(image) == 3;
}

// Decodes and hands over; *decoded tells a bad file (false) from a taker that said no.
static bool decode(VipsImage *image, const Source *source, bool use_profile, RasterSink sink, void *taker, bool *decoded, Error *err)
{
    bool wants_means = source->is_jpeg && is_as_stored(image);
    *decoded = false;
    image = upright(four_bands_of_8_bits(with_alpha(to_srgb(image, use_profile))));
    if (!image) return false;
    size_t size_bytes = 0;
    uint8_t *rgba = vips_image_write_to_memory(image, &size_bytes);
    int width = vips_image_get_width(image), height = vips_image_get_height(image);
    g_object_unref(image);
    if (!rgba) return false;
    *decoded = true;
    Picture picture = {.width_px = width, .height_px = height, .rgba = rgba};
    if (wants_means) (void)jpeg_means_read(source->bytes, source->size_bytes, width, height, picture.means);
    bool taken = sink(taker, &picture, err);
    jpeg_means_free(picture.means);
    g_free(rgba);
    return taken;
}

bool raster_read(const void *bytes, size_t size_bytes, double limit_px, RasterSink sink, void *taker, Error *err)
{
    Source source = {bytes, size_bytes, is_jpeg(bytes, size_bytes)};
    // A colour profile that cannot be applied must not cost the picture: second try without it.
    for (int use_profile = 1; use_profile >= 0; use_profile--) {
        VipsImage *image;
        bool decoded;
        if (!open_checked(bytes, size_bytes, limit_px, &image, err)) return false;
        bool has_profile = vips_image_get_typeof(image, VIPS_META_ICC_NAME) != 0;
        if (decode(image, &source, use_profile != 0, sink, taker, &decoded, err)) return true;
        vips_error_clear();
        if (decoded) return false;
        if (!has_profile) break;
    }
    return error_set(err, ERROR_INPUT,
                     "the picture is damaged or cut off before its end; copy or export the file again");
}
