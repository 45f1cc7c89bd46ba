// outline.c - prints how near outlines are to the drawing, how few curves they need and how long they take.
// Use:     outline-bench PICTURES_FOLDER [NAME] [--height MM] [--svg FOLDER]
//          outline-bench --time PICTURE.png
// Truth:   NAME.svg drawn by librsvg without antialiasing at 4 times the size (16 area samples a pixel), each sample the
//          nearest colour of truth.json. Our outlines are sampled at the same places. On white, ground counts as white.
// Left out: truth areas that the separation gave to another colour as a whole (specks), and 2 px round them.
#include "outline/outline.h"

#include <cairo.h>
#include <dirent.h>
#include <librsvg/rsvg.h>
#include <math.h>
#include <png.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define SAMPLES 4
#define SPECK_PX 20
#define MOST 80
#define MARGIN_PX 2

static double now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

static bool load_png(const char *path, Picture *out, double *ms)
{
    png_image image = {.version = PNG_IMAGE_VERSION};
    double start = now_ms();
    if (!png_image_begin_read_from_file(&image, path)) return false;
    image.format = PNG_FORMAT_RGBA;
    *out = (Picture){(int)image.width, (int)image.height, malloc(PNG_IMAGE_SIZE(image))};
    bool ok = out->rgba && png_image_finish_read(&image, NULL, out->rgba, 0, NULL);
    *ms = now_ms() - start;
    return ok;
}

// The drawing without antialiasing, as colours (0xAARRGGBB, premultiplied with alpha 0 or 255).
static cairo_surface_t *draw_truth(const char *path, int width, int height)
{
    GError *error = NULL;
    RsvgHandle *handle = rsvg_handle_new_from_file(path, &error);
    if (!handle) return NULL;
    const char *style = "*{shape-rendering:crispEdges !important}";
    (void)rsvg_handle_set_stylesheet(handle, (const guint8 *)style, strlen(style), NULL);
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_ARGB32, width, height);
    cairo_t *cr = cairo_create(surface);
    RsvgRectangle box = {0, 0, width, height};
    (void)rsvg_handle_render_document(handle, cr, &box, NULL);
    cairo_destroy(cr);
    g_object_unref(handle);
    cairo_surface_flush(surface);
    return surface;
}

static uint32_t colour_of(const Separation *s, int label, bool on_white)
{
    if (label == 0) return on_white ? 0xffffffffu : 0;
    Srgb8 c = s->colours[label - 1].colour;
    return 0xff000000u | (uint32_t)c.r << 16 | (uint32_t)c.g << 8 | c.b;
}

// Classes: labels of the separation by colour; ground is class 0, or the class of white when it is on white.
typedef struct Classes { uint32_t colour[MOST]; int count, of_label[MOST]; } Classes;

static Classes classes_of(const Separation *s, bool on_white)
{
    Classes c = {.count = 0};
    for (int label = 0; label <= s->colour_count; label++) {
        uint32_t colour = colour_of(s, label, on_white);
        int i = 0;
        while (i < c.count && c.colour[i] != colour) i++;
        if (i == c.count) c.colour[c.count++] = colour;
        c.of_label[label] = i;
    }
    return c;
}

static int nearest_class(const Classes *c, uint32_t colour, bool on_white)
{
    if (colour >> 24 < 128) colour = on_white ? 0xffffffffu : 0;
    int best = 0, least = 1 << 30;
    for (int i = 0; i < c->count; i++) {
        int sum = 0;
        for (int k = 0; k < 32; k += 8) {
            int d = (int)(c->colour[i] >> k & 255) - (int)(colour >> k & 255);
            sum += d * d * (k == 24 ? 100 : 1);
        }
        if (sum < least) least = sum, best = i;
    }
    return best;
}

typedef struct Sampler { uint32_t last_colour; int last_class; } Sampler;

static int truth_at(const uint32_t *row, int x, const Classes *c, bool on_white, Sampler *s)
{
    if (row[x] != s->last_colour) *s = (Sampler){row[x], nearest_class(c, row[x], on_white)};
    return s->last_class;
}

typedef struct Crossing { double x; int row, class_after; } Crossing;

static int by_row_then_x(const void *a, const void *b)
{
    const Crossing *p = a, *q = b;
    if (p->row != q->row) return p->row < q->row ? -1 : 1;
    return (p->x > q->x) - (p->x < q->x);
}

static Crossing *list_crossings(const Outlines *o, const Classes *c, int rows, size_t *count)
{
    size_t capacity = 1 << 16, n = 0;
    Crossing *list = malloc(capacity * sizeof *list);
    for (int i = 0; i < o->arc_count; i++) {
        const Chain *chain = &o->chains.items[i];
        for (int k = 0; k + 1 < chain->point_count; k++) {
            double p[4] = {chain->points[k].x, chain->points[k].y, chain->points[k + 1].x, chain->points[k + 1].y};
            for (int j = 0; j < 4; j++)
                p[j] = ((p[j] / 1000 - o->offset_mm) / o->mm_per_px + o->origin_px[j % 2]) * SAMPLES - 0.5;
            bool down = p[3] > p[1];
            double top = down ? p[1] : p[3], bottom = down ? p[3] : p[1];
            for (int y = (int)ceil(top); y < bottom && y < rows; y++) {
                if (y < 0) continue;
                if (n == capacity) list = realloc(list, (capacity *= 2) * sizeof *list);
                double x = p[0] + (p[2] - p[0]) * (y - p[1]) / (p[3] - p[1]);
                int region = down ? o->arcs[i].left : o->arcs[i].right;
                list[n++] = (Crossing){x, y, c->of_label[o->regions[region].label]};
            }
        }
    }
    qsort(list, n, sizeof *list, by_row_then_x);
    *count = n;
    return list;
}

// Truth components (in picture pixels) that the separation gave away, grown by MARGIN_PX.
static uint8_t *left_out(const uint32_t *truth, int pitch, const Separation *s, const Classes *c, bool on_white)
{
    int w = s->width_px, h = s->height_px;
    size_t px = (size_t)w * (size_t)h;
    uint8_t *class_at = malloc(px), *out = calloc(px, 1), *seen = calloc(px, 1);
    int *stack = malloc(px * sizeof *stack);
    Sampler sampler = {0, nearest_class(c, 0, on_white)};
    for (int y = 0; y < h; y++)
        for (int x = 0; x < w; x++)
            class_at[(size_t)y * (size_t)w + (size_t)x] = (uint8_t)truth_at(
                truth + (size_t)(y * SAMPLES + SAMPLES / 2) * (size_t)pitch, x * SAMPLES + SAMPLES / 2, c, on_white, &sampler);
    for (size_t start = 0; start < px; start++) {
        if (seen[start]) continue;
        int depth = 0, first = 0;
        int64_t wrong = 0;
        stack[depth++] = (int)start;
        seen[start] = 1;
        // the stack doubles as the list: its entries up to `depth` stay
        while (first < depth) {
            int at = stack[first++], x = at % w, steps[4] = {1, -1, w, -w};
            wrong += c->of_label[s->label[at]] != class_at[at];
            for (int k = 0; k < 4; k++) {
                int to = at + steps[k];
                if (to < 0 || (size_t)to >= px || (k == 0 && x + 1 == w) || (k == 1 && x == 0)) continue;
                if (seen[to] || class_at[to] != class_at[at]) continue;
                seen[to] = 1;
                stack[depth++] = to;
            }
        }
        if (wrong * 2 <= depth) continue;
        for (int i = 0; i < depth; i++)
            for (int dy = -MARGIN_PX; dy <= MARGIN_PX; dy++)
                for (int dx = -MARGIN_PX; dx <= MARGIN_PX; dx++) {
                    int x = stack[i] % w + dx, y = stack[i] / w + dy;
                    if (x >= 0 && y >= 0 && x < w && y < h) out[(size_t)y * (size_t)w + (size_t)x] = 1;
                }
    }
    free(class_at);
    free(seen);
    free(stack);
    return out;
}

typedef struct Offsets { double differing[MOST], area[MOST], border[MOST]; int64_t left_out_px; } Offsets;

static Offsets compare(const Outlines *o, const Separation *s, const char *svg, bool on_white)
{
    Offsets sum = {.left_out_px = 0};
    int width = s->width_px * SAMPLES, height = s->height_px * SAMPLES;
    cairo_surface_t *surface = draw_truth(svg, width, height);
    if (!surface) return sum;
    Classes c = classes_of(s, on_white);
    const uint32_t *truth = (const uint32_t *)(const void *)cairo_image_surface_get_data(surface);
    int pitch = cairo_image_surface_get_stride(surface) / 4;
    uint8_t *skip = left_out(truth, pitch, s, &c, on_white);
    for (size_t i = 0; i < (size_t)s->width_px * (size_t)s->height_px; i++) sum.left_out_px += skip[i];
    size_t count, next = 0;
    Crossing *list = list_crossings(o, &c, height, &count);
    Sampler sampler = {0, nearest_class(&c, 0, on_white)};
    for (int y = 0; y < height; y++) {
        int mine = c.of_label[0];
        for (int x = 0; x < width; x++) {
            while (next < count && list[next].row == y && list[next].x <= x) mine = list[next++].class_after;
            int theirs = truth_at(truth + (size_t)y * (size_t)pitch, x, &c, on_white, &sampler);
            if (mine == theirs || skip[(size_t)(y / SAMPLES) * (size_t)s->width_px + (size_t)(x / SAMPLES)]) continue;
            sum.differing[mine]++, sum.differing[theirs]++;
            sum.area[mine]++, sum.area[theirs]--;
        }
        while (next < count && list[next].row == y) next++;
    }
    for (int i = 0; i < o->arc_count; i++) {
        Link whole = {i, 0, o->chains.items[i].point_count - 1};
        double length_px = link_length_mm(&o->chains, &whole) / o->mm_per_px;
        int a = c.of_label[o->regions[o->arcs[i].left].label], b = c.of_label[o->regions[o->arcs[i].right].label];
        if (a != b) sum.border[a] += length_px, sum.border[b] += length_px;
    }
    for (int i = 0; i < c.count; i++) sum.differing[i] /= SAMPLES * SAMPLES, sum.area[i] /= SAMPLES * SAMPLES;
    free(list);
    free(skip);
    cairo_surface_destroy(surface);
    return sum;
}

static void write_svg(const Outlines *o, const char *folder, const char *name, const char *png)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/%s.svg", folder, name);
    FILE *f = fopen(path, "w");
    if (!f) return;
    double s = o->mm_per_px, w = o->width_mm / s + 2 * o->origin_px[0], h = o->height_mm / s + 2 * o->origin_px[1];
    fprintf(f, "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' viewBox='0 0 %g %g'>\n", w, h);
    fprintf(f, "<image xlink:href='%s' style='image-rendering:pixelated'/>\n", png);
    fprintf(f, "<g fill='none' stroke='#f0f' stroke-width='.15'>\n");
    for (int i = 0; i < o->arc_count; i++) {
        const Chain *chain = &o->chains.items[i];
        for (int k = 0; k < chain->curve_count; k++) {
            Point p[4] = {chain->curves[k].p0, chain->curves[k].p1, chain->curves[k].p2, chain->curves[k].p3};
            double v[8];
            for (int j = 0; j < 8; j++)
                v[j] = ((j % 2 ? p[j / 2].y : p[j / 2].x) / 1000.0 - o->offset_mm) / s + o->origin_px[j % 2];
            fprintf(f, "<path d='M%.3f %.3fC%.3f %.3f %.3f %.3f %.3f %.3f'%s/><circle cx='%.3f' cy='%.3f' r='.25' fill='%s' stroke='none'/>\n",
                    v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7], chain->curves[k].is_line ? " stroke='#0aa'" : "", v[0],
                    v[1], k ? "#00f" : "#f00");
        }
    }
    fprintf(f, "</g></svg>\n");
    fclose(f);
}

typedef struct Total { double worst_offset, worst_area, offsets, curves, corners; int colours; } Total;

static void measure(const char *folder, const char *name, const char *kind, double height_mm, const char *svg_folder, Total *total)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/%s/%s-2048-%s.png", folder, name, name, kind);
    Picture picture;
    double decode_ms;
    if (!load_png(path, &picture, &decode_ms)) return;
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    Separation separation;
    Outlines outlines;
    Error err = {0};
    SeparationOptions how = separation_defaults();
    how.figure_height_mm = height_mm;
    how.smallest_area_px = SPECK_PX;
    OutlineOptions options = outline_defaults();
    options.figure_height_mm = height_mm;
    double start = now_ms();
    if (!separation_make(&picture, &how, &keep, &work, &separation, &err)) {
        printf("%-14s %-5s %s\n", name, kind, err.text);
        return;
    }
    double middle = now_ms();
    if (!outline_make(&picture, &separation, &options, &keep, &work, &outlines, &err)) {
        printf("%-14s %-5s %s\n", name, kind, err.text);
        return;
    }
    double end = now_ms();
    if (svg_folder) write_svg(&outlines, svg_folder, name, path);
    snprintf(path, sizeof path, "%s/%s/%s.svg", folder, name, name);
    bool on_white = strcmp(kind, "white") == 0;
    Offsets offsets = compare(&outlines, &separation, path, on_white);
    double worst = 0, area = 0;
    for (int i = 0; i < MOST; i++) {
        if (offsets.border[i] <= 0) continue;
        worst = fmax(worst, offsets.differing[i] / offsets.border[i]);
        area = fmax(area, fabs(offsets.area[i]) / offsets.border[i]);
        total->offsets += offsets.differing[i] / offsets.border[i];
        total->colours++;
    }
    printf("%-14s %-5s offset %.3f px, area %.3f px (worst colour), %lld px left out; %d regions, %d arcs, %lld curves, 1 to %.1f corners; "
           "separation %.0f ms, outline %.0f ms%s\n",
           name, kind, worst, area, (long long)offsets.left_out_px, outlines.region_count, outlines.arc_count,
           (long long)outlines.curve_count, (double)outlines.boundary_corners_px / (double)outlines.curve_count, middle - start,
           end - middle, separation.hard_edged ? " (hard-edged)" : "");
    fflush(stdout);
    total->worst_offset = fmax(total->worst_offset, worst);
    total->worst_area = fmax(total->worst_area, area);
    total->curves += (double)outlines.curve_count;
    total->corners += (double)outlines.boundary_corners_px;
    free(picture.rgba);
    arena_free(&keep);
    arena_free(&work.scratch);
}

static int compare_names(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

static int time_one(const char *path, double height_mm)
{
    double best[3] = {1e9, 1e9, 1e9};
    int64_t px = 0;
    for (int round = 0; round < 5; round++) {
        Picture picture;
        double decode_ms;
        if (!load_png(path, &picture, &decode_ms)) return 1;
        Arena keep = arena_make(0);
        Work work = {.scratch = arena_make(0)};
        Separation separation;
        Outlines outlines;
        Error err = {0};
        SeparationOptions how = separation_defaults();
        how.figure_height_mm = height_mm;
        OutlineOptions options = outline_defaults();
        options.figure_height_mm = height_mm;
        double start = now_ms();
        if (!separation_make(&picture, &how, &keep, &work, &separation, &err)) return puts(err.text), 1;
        double middle = now_ms();
        if (!outline_make(&picture, &separation, &options, &keep, &work, &outlines, &err)) return puts(err.text), 1;
        double end = now_ms();
        px = (int64_t)picture.width_px * picture.height_px;
        best[0] = fmin(best[0], decode_ms);
        best[1] = fmin(best[1], middle - start);
        best[2] = fmin(best[2], end - middle);
        free(picture.rgba);
        arena_free(&keep);
        arena_free(&work.scratch);
    }
    printf("%.1f Mpx: libpng %.0f ms, separation %.0f ms, outline %.0f ms: %.2f times the decode\n", (double)px / 1e6, best[0],
           best[1], best[2], (best[1] + best[2]) / best[0]);
    return 0;
}

int main(int argc, char **argv)
{
    const char *folder = NULL, *only = NULL, *svg_folder = NULL, *timed = NULL;
    double height_mm = 812.8;
    for (int i = 1; i < argc; i++) {
        if (!strcmp(argv[i], "--height") && i + 1 < argc) height_mm = strtod(argv[++i], NULL);
        else if (!strcmp(argv[i], "--svg") && i + 1 < argc) svg_folder = argv[++i];
        else if (!strcmp(argv[i], "--time") && i + 1 < argc) timed = argv[++i];
        else if (!folder) folder = argv[i];
        else only = argv[i];
    }
    if (timed) return time_one(timed, height_mm);
    if (!folder) return puts("use: outline-bench PICTURES_FOLDER [NAME] [--height MM] [--svg FOLDER] | --time PICTURE.png"), 2;
    DIR *dir = opendir(folder);
    if (!dir) return 1;
    char *names[256];
    int count = 0;
    for (struct dirent *e; (e = readdir(dir)) && count < 256;)
        if (e->d_name[0] != '.' && !strchr(e->d_name, '.')) names[count++] = strdup(e->d_name);
    closedir(dir);
    qsort(names, (size_t)count, sizeof *names, compare_names);
    Total total = {.worst_offset = 0};
    for (int i = 0; i < count; i++) {
        if (only && strcmp(only, names[i])) continue;
        measure(folder, names[i], "white", height_mm, svg_folder, &total);
        measure(folder, names[i], "alpha", height_mm, NULL, &total);
    }
    printf("all: offset mean %.3f px, worst %.3f px; area worst %.3f px; 1 curve to %.1f pixel corners\n",
           total.offsets / fmax(1, total.colours), total.worst_offset, total.worst_area, total.corners / fmax(1, total.curves));
    return 0;
}
