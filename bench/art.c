// art.c - see art.h.
#include "art.h"

#include "picture/jpeg_means.h"

#include <cairo.h>
#include <ctype.h>
#include <dirent.h>
#include <librsvg/rsvg.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <vips/vips.h>

#define MOST_DRAWINGS 4096
#define BAND_ROWS 1024      // of the truth, drawn at a time
#define SAME_DE00 3.0

double art_de00(Srgb8 a, Srgb8 b)
{
    return lab_difference_2000(lab_from_srgb8(a), lab_from_srgb8(b));
}

// ---- drawings on the disk ----

static bool load(const char *path, Art *art)
{
    FILE *f = fopen(path, "rb");
    if (!f) return false;
    fseek(f, 0, SEEK_END);
    art->size_bytes = (size_t)ftell(f);
    rewind(f);
    art->svg = malloc(art->size_bytes + 1);
    bool good = art->svg && fread(art->svg, 1, art->size_bytes, f) == art->size_bytes;
    if (good) art->svg[art->size_bytes] = '\0';
    fclose(f);
    return good;
}

static int by_group_then_name(const void *a, const void *b)
{
    const Art *p = a, *q = b;
    int order = strcmp(p->group, q->group);
    return order ? order : strcmp(p->name, q->name);
}

static void list_folder(const char *folder, const char *group, int depth, ArtList *list)
{
    DIR *dir = opendir(folder);
    if (!dir) return;
    for (struct dirent *e; (e = readdir(dir)) && list->count < MOST_DRAWINGS;) {
        if (e->d_name[0] == '.') continue;
        char path[1024];
        snprintf(path, sizeof path, "%s/%s", folder, e->d_name);
        size_t n = strlen(e->d_name);
        if (n > 4 && strcmp(e->d_name + n - 4, ".svg") == 0) {
            Art art = {.svg = NULL};
            snprintf(art.group, sizeof art.group, "%s", group);
            snprintf(art.name, sizeof art.name, "%.*s", (int)n - 4, e->d_name);
            if (load(path, &art)) list->items[list->count++] = art;
        } else if (depth > 0 && !strchr(e->d_name, '.')) {
            list_folder(path, group ? group : e->d_name, depth - 1, list);
        }
    }
    closedir(dir);
}

ArtList art_list(const char *folder, const char *group)
{
    ArtList list = {calloc(MOST_DRAWINGS, sizeof(Art)), 0};
    list_folder(folder, group, 1, &list);
    qsort(list.items, (size_t)list.count, sizeof *list.items, by_group_then_name);
    return list;
}

void art_free(ArtList *list)
{
    for (int i = 0; i < list->count; i++) free(list->items[i].svg);
    free(list->items);
}

// ---- hue ----

// Turns the hue, keeping the largest and the least channel: greys stay.
static Srgb8 turned(Srgb8 c, double part)
{
    double r = c.r, g = c.g, b = c.b, most = fmax(r, fmax(g, b)), least = fmin(r, fmin(g, b)), span = most - least;
    if (span <= 0) return c;
    double hue = most == r ? (g - b) / span : most == g ? 2 + (b - r) / span : 4 + (r - g) / span;
    hue = fmod(hue + 6 * part + 12, 6);
    double channel[3];
    for (int i = 0; i < 3; i++) {
        double at = fmod(hue + (i == 0 ? 0 : i == 1 ? 4 : 2), 6), up = at < 3 ? at : 6 - at; // distance from its peak
        channel[i] = least + span * fmin(1, fmax(0, 2 - up));
    }
    return (Srgb8){(uint8_t)lround(channel[0]), (uint8_t)lround(channel[1]), (uint8_t)lround(channel[2])};
}

Art art_with_hue_turned(const Art *art, double part)
{
    Art out = *art;
    out.svg = malloc(art->size_bytes * 2 + 1);
    size_t n = 0;
    for (const char *p = art->svg; *p;) {
        int digits = 0;
        while (*p == '#' && isxdigit((unsigned char)p[1 + digits]) && digits < 7) digits++;
        if (digits != 3 && digits != 6) {
            out.svg[n++] = *p++;
            continue;
        }
        char hex[7] = {0};
        for (int i = 0; i < 6; i++) hex[i] = digits == 6 ? p[1 + i] : p[1 + i / 2];
        unsigned v = (unsigned)strtoul(hex, NULL, 16);
        Srgb8 c = turned((Srgb8){(uint8_t)(v >> 16), (uint8_t)(v >> 8), (uint8_t)v}, part);
        n += (size_t)sprintf(out.svg + n, "#%02x%02x%02x", c.r, c.g, c.b);
        p += 1 + digits;
    }
    out.svg[n] = '\0';
    out.size_bytes = n;
    return out;
}

// ---- drawing ----

typedef struct Sheet { RsvgHandle *handle; int width, height, drawn_w, drawn_h; } Sheet; // in samples

static bool open_sheet(const Art *art, const Rendering *how, int samples, bool crisp, Sheet *out)
{
    GError *error = NULL;
    out->handle = rsvg_handle_new_from_data((const guint8 *)art->svg, art->size_bytes, &error);
    if (!out->handle) {
        fprintf(stderr, "%s: %s\n", art->name, error ? error->message : "cannot be read");
        g_clear_error(&error);
        return false;
    }
    const char *style = "*{shape-rendering:crispEdges !important}";
    if (crisp) (void)rsvg_handle_set_stylesheet(out->handle, (const guint8 *)style, strlen(style), NULL);
    gboolean has_w, has_h, has_box;
    RsvgLength w, h;
    RsvgRectangle box;
    rsvg_handle_get_intrinsic_dimensions(out->handle, &has_w, &w, &has_h, &h, &has_box, &box);
    double ww = has_box ? box.width : w.length, hh = has_box ? box.height : h.length, most = fmax(ww, hh);
    out->drawn_w = (int)lround(how->longest_px * ww / most) * samples;
    out->drawn_h = (int)lround(how->longest_px * hh / most) * samples;
    out->width = out->drawn_w + 2 * how->pad_px * samples;
    out->height = out->drawn_h + 2 * how->pad_px * samples;
    return true;
}

// Rows top .. top + rows of the sheet.
static cairo_surface_t *draw_rows(const Sheet *sheet, const Rendering *how, int samples, int top, int rows, bool with_ground)
{
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_ARGB32, sheet->width, rows);
    cairo_t *cr = cairo_create(surface);
    if (with_ground) {
        cairo_set_source_rgb(cr, how->ground.r / 255.0, how->ground.g / 255.0, how->ground.b / 255.0);
        cairo_paint(cr);
    }
    if (how->is_mirrored) {
        cairo_translate(cr, sheet->width, 0);
        cairo_scale(cr, -1, 1);
    }
    double pad = how->pad_px * samples;
    RsvgRectangle box = {pad + how->shift_px[0] * samples, pad - top + how->shift_px[1] * samples, sheet->drawn_w, sheet->drawn_h};
    (void)rsvg_handle_render_document(sheet->handle, cr, &box, NULL);
    cairo_destroy(cr);
    cairo_surface_flush(surface);
    return surface;
}

static uint8_t undo_alpha(uint32_t value, uint32_t alpha)
{
    return alpha ? (uint8_t)((value * 255 + alpha / 2) / alpha) : 0;
}

bool art_picture(const Art *art, const Rendering *how, Picture *out)
{
    Sheet sheet;
    *out = (Picture){0};
    if (!open_sheet(art, how, 1, false, &sheet)) return false;
    cairo_surface_t *surface = draw_rows(&sheet, how, 1, 0, sheet.height, how->has_ground);
    const unsigned char *data = cairo_image_surface_get_data(surface);
    int stride = cairo_image_surface_get_stride(surface);
    *out = (Picture){.width_px = sheet.width, .height_px = sheet.height, .rgba = malloc((size_t)sheet.width * (size_t)sheet.height * 4)};
    for (int y = 0; y < sheet.height; y++) {
        const uint32_t *row = (const uint32_t *)(const void *)(data + (size_t)y * (size_t)stride);
        uint8_t *to = out->rgba + (size_t)y * (size_t)sheet.width * 4;
        for (int x = 0; x < sheet.width; x++, to += 4) {
            uint32_t a = row[x] >> 24;
            to[0] = undo_alpha(row[x] >> 16 & 255, a), to[1] = undo_alpha(row[x] >> 8 & 255, a);
            to[2] = undo_alpha(row[x] & 255, a), to[3] = (uint8_t)a;
        }
    }
    cairo_surface_destroy(surface);
    g_object_unref(sheet.handle);
    return true;
}

// ---- truth ----

typedef struct Counts { uint32_t value[ART_MOST_CLASSES]; int64_t px[ART_MOST_CLASSES]; int count; } Counts;

static int count_colour(Counts *counts, uint32_t value)
{
    int i = 0;
    while (i < counts->count && counts->value[i] != value) i++;
    if (i == ART_MOST_CLASSES) return 0;
    if (i == counts->count) counts->value[counts->count++] = value;
    return i;
}

static void read_rows(cairo_surface_t *surface, int rows, Truth *t, int top, Counts *counts)
{
    const unsigned char *data = cairo_image_surface_get_data(surface);
    int stride = cairo_image_surface_get_stride(surface), last = 0;
    uint32_t last_value = counts->value[0];
    for (int y = 0; y < rows; y++) {
        const uint32_t *row = (const uint32_t *)(const void *)(data + (size_t)y * (size_t)stride);
        uint8_t *to = t->at + (size_t)(top + y) * (size_t)t->width;
        for (int x = 0; x < t->width; x++) {
            if (row[x] != last_value) last_value = row[x], last = count_colour(counts, row[x] >> 24 < 128 ? 0 : row[x]);
            to[x] = (uint8_t)last;
            counts->px[last]++;
        }
    }
}

// Raw classes to classes: near colours are one, the larger one's.
static void join_twins(const Counts *counts, Truth *t, uint8_t map[ART_MOST_CLASSES])
{
    bool done[ART_MOST_CLASSES] = {true};
    t->count = 1;
    map[0] = 0;
    for (int turn = 1; turn < counts->count; turn++) {
        int largest = 0;
        for (int i = 1; i < counts->count; i++)
            if (!done[i] && (!largest || counts->px[i] > counts->px[largest])) largest = i;
        uint32_t v = counts->value[largest];
        Srgb8 c = {(uint8_t)(v >> 16), (uint8_t)(v >> 8), (uint8_t)v};
        int at = 1;
        while (at < t->count && art_de00(t->colours[at], c) >= SAME_DE00) at++;
        if (at == t->count) t->colours[t->count++] = c;
        map[largest] = (uint8_t)at;
        done[largest] = true;
    }
}

bool art_truth(const Art *art, const Rendering *how, int samples, Truth *out)
{
    Sheet sheet;
    *out = (Truth){0};
    if (!open_sheet(art, how, samples, true, &sheet)) return false;
    out->width = sheet.width, out->height = sheet.height, out->samples = samples;
    out->shift_px[0] = how->shift_px[0], out->shift_px[1] = how->shift_px[1];
    out->has_ground = how->has_ground, out->colours[0] = how->ground;
    size_t size = (size_t)sheet.width * (size_t)sheet.height;
    out->at = malloc(size);
    Counts counts = {.count = 1};
    for (int top = 0; top < sheet.height; top += BAND_ROWS) {
        int rows = sheet.height - top < BAND_ROWS ? sheet.height - top : BAND_ROWS;
        cairo_surface_t *surface = draw_rows(&sheet, how, samples, top, rows, false);
        read_rows(surface, rows, out, top, &counts);
        cairo_surface_destroy(surface);
    }
    g_object_unref(sheet.handle);
    uint8_t map[ART_MOST_CLASSES];
    join_twins(&counts, out, map);
    for (size_t i = 0; i < size; i++) out->at[i] = map[out->at[i]];
    return true;
}

// ---- compression ----

bool art_compress(Picture *picture, int quality, bool is_halved)
{
    size_t px = (size_t)picture->width_px * (size_t)picture->height_px;
    uint8_t *rgb = malloc(px * 3);
    for (size_t i = 0; i < px; i++) memcpy(rgb + i * 3, picture->rgba + i * 4, 3);
    VipsImage *image = vips_image_new_from_memory(rgb, px * 3, picture->width_px, picture->height_px, 3, VIPS_FORMAT_UCHAR);
    VipsImage *back = NULL;
    void *file = NULL;
    size_t file_bytes, back_bytes;
    uint8_t *pixels = NULL;
    bool good = image && !vips_jpegsave_buffer(image, &file, &file_bytes, "Q", quality, "subsample_mode",
                                               is_halved ? VIPS_FOREIGN_SUBSAMPLE_ON : VIPS_FOREIGN_SUBSAMPLE_OFF, NULL) &&
                !vips_jpegload_buffer(file, file_bytes, &back, NULL) &&
                (pixels = vips_image_write_to_memory(back, &back_bytes)) && back_bytes == px * 3;
    for (size_t i = 0; good && i < px; i++) memcpy(picture->rgba + i * 4, pixels + i * 3, 3), picture->rgba[i * 4 + 3] = 255;
    if (good) (void)jpeg_means_read(file, file_bytes, picture->width_px, picture->height_px, picture->means);
    if (!good) fprintf(stderr, "compression failed: %s\n", vips_error_buffer());
    g_free(pixels);
    g_free(file);
    if (back) g_object_unref(back);
    if (image) g_object_unref(image);
    free(rgb);
    return good;
}
