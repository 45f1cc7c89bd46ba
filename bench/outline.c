// outline.c - prints how near outlines are to the drawing, how few curves they need and how long they take.
// Use:     outline-bench PICTURES_FOLDER [NAME] [--height MM] [--svg FOLDER]
//          outline-bench --time PICTURE.png
// Truth:   NAME.svg drawn by librsvg without antialiasing at 4 times the size (16 area samples a pixel), each sample the
//          nearest colour of truth.json. Our outlines are sampled at the same places. On white, ground counts as white.
// More drawings, sizes and kinds: pictures-bench.
#include "art.h"
#include "offset.h"
#include "outline/outline.h"
#include "overlay.h"

#include <dirent.h>
#include <math.h>
#include <png.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define SAMPLES 4
#define SPECK_PX 20

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
    *out = (Picture){.width_px = (int)image.width, .height_px = (int)image.height, .rgba = malloc(PNG_IMAGE_SIZE(image))};
    bool ok = out->rgba && png_image_finish_read(&image, NULL, out->rgba, 0, NULL);
    *ms = now_ms() - start;
    return ok;
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
    SeparationOptions colours = separation_defaults();
    colours.figure_height_mm = height_mm;
    colours.smallest_area_px = SPECK_PX;
    OutlineOptions options = outline_defaults();
    options.figure_height_mm = height_mm;
    double start = now_ms();
    if (!separation_make(&picture, &colours, &keep, &work, &separation, &err)) {
        printf("%-14s %-5s %s\n", name, kind, err.text);
        return;
    }
    double middle = now_ms();
    if (!outline_make(&picture, &separation, &options, &keep, &work, &outlines, &err)) {
        printf("%-14s %-5s %s\n", name, kind, err.text);
        return;
    }
    double end = now_ms();
    if (svg_folder) overlay_write(&outlines, &picture, svg_folder, name);
    char name_folder[1024];
    snprintf(name_folder, sizeof name_folder, "%s/%s", folder, name);
    ArtList art = art_list(name_folder, name);
    Rendering how = {.longest_px = picture.width_px > picture.height_px ? picture.width_px : picture.height_px,
                     .has_ground = strcmp(kind, "white") == 0, .ground = {255, 255, 255}};
    Truth truth = {0};
    if (art.count == 0 || !art_truth(&art.items[0], &how, SAMPLES, &truth)) return;
    Offsets offsets = offset_measure(&outlines, &separation, NULL, &truth, 1);
    free(truth.at);
    art_free(&art);
    double worst = offsets.worst_px, area = offsets.worst_area_px;
    for (int i = 0; i < offsets.count; i++) {
        if (offsets.border[i] <= 0) continue;
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
