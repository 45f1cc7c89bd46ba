// overlay.c - see overlay.h.
#include "overlay.h"

#include <cairo.h>
#include <stdio.h>

static bool write_picture(const Picture *picture, const char *path)
{
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_ARGB32, picture->width_px, picture->height_px);
    unsigned char *data = cairo_image_surface_get_data(surface);
    int stride = cairo_image_surface_get_stride(surface);
    for (int y = 0; y < picture->height_px; y++) {
        uint32_t *row = (uint32_t *)(void *)(data + (size_t)y * (size_t)stride);
        const uint8_t *p = picture->rgba + (size_t)y * (size_t)picture->width_px * 4;
        for (int x = 0; x < picture->width_px; x++, p += 4) {
            uint32_t a = p[3];
            row[x] = a << 24 | p[0] * a / 255 << 16 | p[1] * a / 255 << 8 | p[2] * a / 255;
        }
    }
    cairo_surface_mark_dirty(surface);
    bool good = cairo_surface_write_to_png(surface, path) == CAIRO_STATUS_SUCCESS;
    cairo_surface_destroy(surface);
    return good;
}

static void write_curve(FILE *f, const Outlines *o, const Curve *curve, bool is_first)
{
    Point p[4] = {curve->p0, curve->p1, curve->p2, curve->p3};
    double v[8];
    for (int j = 0; j < 8; j++) v[j] = ((j % 2 ? p[j / 2].y : p[j / 2].x) / 1000.0 - o->offset_mm) / o->mm_per_px + o->origin_px[j % 2];
    fprintf(f, "<path d='M%.3f %.3fC%.3f %.3f %.3f %.3f %.3f %.3f'%s/>", v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7],
            curve->is_line ? " stroke='#0aa'" : "");
    fprintf(f, "<circle cx='%.3f' cy='%.3f' r='.25' fill='%s' stroke='none'/>\n", v[0], v[1], is_first ? "#f00" : "#00f");
}

bool overlay_write(const Outlines *o, const Picture *picture, const char *folder, const char *name)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/%s.png", folder, name);
    if (!write_picture(picture, path)) return false;
    snprintf(path, sizeof path, "%s/%s.svg", folder, name);
    FILE *f = fopen(path, "w");
    if (!f) return false;
    fprintf(f, "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' viewBox='0 0 %d %d'>\n", picture->width_px,
            picture->height_px);
    fprintf(f, "<image xlink:href='%s.png' width='%d' height='%d' style='image-rendering:pixelated'/>\n", name, picture->width_px,
            picture->height_px);
    fprintf(f, "<g fill='none' stroke='#f0f' stroke-width='.15'>\n");
    for (int i = 0; i < o->arc_count; i++)
        for (int k = 0; k < o->chains.items[i].curve_count; k++) write_curve(f, o, &o->chains.items[i].curves[k], k == 0);
    fprintf(f, "</g></svg>\n");
    return fclose(f) == 0;
}
