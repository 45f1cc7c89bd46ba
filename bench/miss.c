// miss.c - see miss.h.
#include "miss.h"

#include <cairo.h>

#define SIDE_PX 96  // of the picture, in a panel
#define ZOOM 5
#define GAP 8
#define CLEAR 0xffff00ffu   // a colour that no drawing has

static uint32_t pixel_of(Srgb8 c)
{
    return 0xff000000u | (uint32_t)c.r << 16 | (uint32_t)c.g << 8 | c.b;
}

static uint32_t class_pixel(const Truth *t, uint8_t class)
{
    return class == 0 && !t->has_ground ? CLEAR : pixel_of(t->colours[class]);
}

static int corner_of_crop(int middle, int size)
{
    int from = middle - SIDE_PX / 2;
    if (from + SIDE_PX > size) from = size - SIDE_PX;
    return from < 0 ? 0 : from;
}

bool miss_draw(const Picture *picture, const Truth *t, const uint8_t *theirs, const uint8_t *ours, int x_px, int y_px, const char *path)
{
    int panel = SIDE_PX * ZOOM, x0 = corner_of_crop(x_px, t->width), y0 = corner_of_crop(y_px, t->height);
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 3 * panel + 2 * GAP, panel);
    unsigned char *data = cairo_image_surface_get_data(surface);
    int stride = cairo_image_surface_get_stride(surface);
    for (int y = 0; y < panel; y++)
        for (int x = 0; x < panel; x++) {
            int u = x0 + x / ZOOM, v = y0 + y / ZOOM;
            if (u >= t->width || v >= t->height) continue;
            size_t at = (size_t)v * (size_t)t->width + (size_t)u;
            const uint8_t *p = picture->rgba + at * 4;
            uint32_t *row = (uint32_t *)(void *)(data + (size_t)y * (size_t)stride);
            row[x] = p[3] < 128 ? CLEAR : pixel_of((Srgb8){p[0], p[1], p[2]});
            row[x + panel + GAP] = class_pixel(t, theirs[at]);
            row[x + 2 * (panel + GAP)] = class_pixel(t, ours[at]);
        }
    cairo_surface_mark_dirty(surface);
    bool good = cairo_surface_write_to_png(surface, path) == CAIRO_STATUS_SUCCESS;
    cairo_surface_destroy(surface);
    return good;
}
