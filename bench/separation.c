// separation.c - prints how well and how fast pictures are separated; asserts nothing.
// Use:     separation-bench PICTURES_FOLDER [--dump FOLDER]
// Truth:   NAME-2048-labels.png, drawn without antialiasing, and truth.json beside it. Colours of the truth nearer
//          than dE00 3 count as one. On white, white areas that touch the ground belong to it, and holes show white:
//          so the truth's map is repainted (transparent -> white), and the regions of white that do not reach the
//          frame are counted.
#include "separation/separation.h"
#include "picture/picture.h"
#include "separation/runs.h"

#include <dirent.h>
#include <jansson.h>
#include <png.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define MOST_COLOURS 64
#define LEAST_PX 20

typedef struct Truth {
    Srgb8 colours[MOST_COLOURS];
    int count;         // after twins are joined
    int index_of[256]; // raw index of the label picture -> colour, -1 = transparent
    uint8_t *label;    // 0 = transparent, i + 1 = colours[i]
    int width_px, height_px;
} Truth;

typedef struct Score {
    int pictures, colours_right, regions_right;
} Score;

static double now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

static unsigned char *load(const char *path, size_t *size_bytes)
{
    FILE *f = fopen(path, "rb");
    if (!f) return NULL;
    fseek(f, 0, SEEK_END);
    *size_bytes = (size_t)ftell(f);
    rewind(f);
    unsigned char *bytes = malloc(*size_bytes + 1);
    if (bytes && fread(bytes, 1, *size_bytes, f) != *size_bytes) free(bytes), bytes = NULL;
    fclose(f);
    return bytes;
}

// Reads the raw palette indices.
static uint8_t *load_indices(const char *path, int *width_px, int *height_px)
{
    FILE *f = fopen(path, "rb");
    if (!f) return NULL;
    png_structp png = png_create_read_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
    png_infop info = png_create_info_struct(png);
    png_init_io(png, f);
    png_read_info(png, info);
    png_set_packing(png);
    *width_px = (int)png_get_image_width(png, info);
    *height_px = (int)png_get_image_height(png, info);
    uint8_t *index = malloc((size_t)*width_px * (size_t)*height_px);
    for (int y = 0; y < *height_px; y++) png_read_row(png, index + (size_t)y * (size_t)*width_px, NULL);
    png_destroy_read_struct(&png, &info, NULL);
    fclose(f);
    return index;
}

static Srgb8 parse_hex(const char *hex)
{
    unsigned v = (unsigned)strtoul(hex + 1, NULL, 16);
    return (Srgb8){(uint8_t)(v >> 16), (uint8_t)(v >> 8), (uint8_t)v};
}

static double de00(Srgb8 a, Srgb8 b)
{
    return lab_difference_2000(lab_from_srgb8(a), lab_from_srgb8(b));
}

static bool truth_load(const char *folder, const char *name, Truth *t)
{
    char path[1024];
    *t = (Truth){0};
    snprintf(path, sizeof path, "%s/%s/truth.json", folder, name);
    json_t *root = json_load_file(path, 0, NULL);
    if (!root) return false;
    json_t *colours = json_object_get(json_object_get(root, "on_transparent"), "colours");
    size_t n = json_array_size(colours);
    for (int i = 0; i < 256; i++) t->index_of[i] = -1;
    for (size_t i = 0; i < n; i++) {
        Srgb8 c = parse_hex(json_string_value(json_object_get(json_array_get(colours, i), "colour")));
        int at = 0;
        while (at < t->count && de00(t->colours[at], c) >= 3.0) at++;
        if (at == t->count) t->colours[t->count++] = c;
        t->index_of[i] = at;
    }
    json_decref(root);
    snprintf(path, sizeof path, "%s/%s/%s-2048-labels.png", folder, name, name);
    t->label = load_indices(path, &t->width_px, &t->height_px);
    if (!t->label) return false;
    for (size_t i = 0; i < (size_t)t->width_px * (size_t)t->height_px; i++)
        t->label[i] = (uint8_t)(t->index_of[t->label[i]] + 1);
    return true;
}

static int find_colour(const Truth *t, Srgb8 c, double within)
{
    for (int i = 0; i < t->count; i++)
        if (de00(t->colours[i], c) < within) return i;
    return -1;
}

// Regions of at least LEAST_PX per colour; on white, white means transparent too and regions at the frame are ground.
static void expected_regions(const Truth *t, bool on_white, Work *work, int regions[MOST_COLOURS + 1], int *white)
{
    Error err = {0};
    ArenaMark mark = arena_mark(&work->scratch);
    size_t px = (size_t)t->width_px * (size_t)t->height_px;
    uint8_t *label = arena_copy(&work->scratch, t->label, px, 1);
    *white = find_colour(t, (Srgb8){255, 255, 255}, 3.0);
    if (on_white && *white < 0) *white = t->count;
    for (size_t i = 0; on_white && i < px; i++)
        if (!label[i]) label[i] = (uint8_t)(*white + 1);
    Runs runs;
    memset(regions, 0, sizeof(int) * (MOST_COLOURS + 1));
    if (!runs_make(label, t->width_px, t->height_px, &work->scratch, work, &runs, &err)) return;
    for (int32_t i = 0; i < runs.part_count; i++) {
        const Part *p = &runs.parts[i];
        bool at_frame = p->x0 == 0 || p->y0 == 0 || p->x1 == t->width_px || p->y1 == t->height_px;
        if (!p->label || p->area_px < LEAST_PX || (on_white && p->label == *white + 1 && at_frame)) continue;
        regions[p->label - 1]++;
    }
    arena_rewind(&work->scratch, mark);
}

static double agreement(const Truth *t, const Separation *s, const int to_truth[256], bool on_white, int white)
{
    if (s->width_px != t->width_px || s->height_px != t->height_px) return -1.0;
    size_t px = (size_t)t->width_px * (size_t)t->height_px, same = 0;
    for (size_t i = 0; i < px; i++) {
        int mine = s->label[i] ? to_truth[s->label[i] - 1] : -1, theirs = (int)t->label[i] - 1;
        if (on_white && mine == white) mine = -1;
        if (on_white && theirs == white) theirs = -1;
        same += mine == theirs;
    }
    return (double)same / (double)px;
}

static void dump(const Separation *s, const char *folder, const char *name)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/%s.ppm", folder, name);
    FILE *f = fopen(path, "wb");
    if (!f) return;
    fprintf(f, "P6\n%d %d\n255\n", s->width_px, s->height_px);
    for (size_t i = 0; i < (size_t)s->width_px * (size_t)s->height_px; i++) {
        Srgb8 c = s->label[i] ? s->colours[s->label[i] - 1].colour : (Srgb8){255, 0, 255};
        fwrite(&c, 1, 3, f);
    }
    fclose(f);
}

static void compare(const char *file, const Truth *t, const Separation *s, bool on_white, bool is_jpeg, Work *work,
                    Score *score)
{
    int expected[MOST_COLOURS + 1], found[MOST_COLOURS + 1] = {0}, to_truth[256], white, wrong_colours = 0;
    expected_regions(t, on_white, work, expected, &white);
    for (int i = 0; i < s->colour_count; i++) {
        to_truth[i] = find_colour(t, s->colours[i].colour, is_jpeg ? 3.0 : 1e-6);
        if (on_white && to_truth[i] < 0 && de00(s->colours[i].colour, (Srgb8){255, 255, 255}) < 1.0)
            to_truth[i] = white;
        if (to_truth[i] < 0)
            wrong_colours++;
        else
            found[to_truth[i]] += s->colours[i].region_count;
    }
    for (int i = 0; i < t->count; i++) wrong_colours += (expected[i] > 0) != (found[i] > 0);
    bool regions_right = memcmp(expected, found, sizeof expected) == 0;
    double agreeing = agreement(t, s, to_truth, on_white, white); // only where the truth has the same size
    printf("%-34s colours %2d %-5s regions %-5s", file, s->colour_count, wrong_colours ? "WRONG" : "ok",
           regions_right ? "ok" : "WRONG");
    if (agreeing >= 0.0) printf(" agree %8.4f %%", 100.0 * agreeing);
    printf("%s%s\n", s->is_noisy ? " noisy" : "", s->hard_edged ? " hard" : "");
    for (int i = 0; i <= t->count; i++)
        if (expected[i] != found[i]) {
            char hex[8] = "white";
            if (i < t->count) colour_hex(t->colours[i], hex);
            printf("    %s: %d regions, the truth has %d\n", hex, found[i], expected[i]);
        }
    for (int i = 0; i < s->colour_count; i++) {
        char hex[8];
        colour_hex(s->colours[i].colour, hex);
        if (to_truth[i] < 0) printf("    %s (%s) is no colour of the truth\n", hex, s->colours[i].name);
    }
    score->pictures++;
    score->colours_right += wrong_colours == 0;
    score->regions_right += regions_right;
}

static bool separate(const Picture *p, Arena *keep, Work *work, Separation *s)
{
    Error err = {0};
    SeparationOptions o = separation_defaults();
    o.smallest_area_px = LEAST_PX;
    if (separation_make(p, &o, keep, work, s, &err)) return true;
    printf("    failed: %s\n", err.text);
    return false;
}

static double time_decode(const unsigned char *bytes, size_t size_bytes)
{
    double best = 1e30;
    for (int i = 0; i < 7; i++) {
        double start = now_ms();
        png_image image = {.version = PNG_IMAGE_VERSION};
        if (!png_image_begin_read_from_memory(&image, bytes, size_bytes)) return -1.0;
        if (image.format != PNG_FORMAT_RGBA) image.format = PNG_FORMAT_RGB;
        void *pixels = malloc(PNG_IMAGE_SIZE(image));
        png_image_finish_read(&image, NULL, pixels, 0, NULL);
        free(pixels);
        double took = now_ms() - start;
        if (took < best) best = took;
    }
    return best;
}

static void time_separation(const Picture *p, const unsigned char *bytes, size_t size_bytes)
{
    double best = 1e30, decode = time_decode(bytes, size_bytes);
    for (int i = 0; i < 7; i++) {
        Arena keep = arena_make(0);
        Work work = {.scratch = arena_make(0)};
        Separation s;
        double start = now_ms();
        if (!separate(p, &keep, &work, &s)) return;
        double took = now_ms() - start;
        if (took < best) best = took;
        arena_free(&keep);
        arena_free(&work.scratch);
    }
    printf("    %.1f Mpx: separation %.1f ms, libpng's decode %.1f ms: %.2f times\n",
           p->width_px * (double)p->height_px / 1e6, best, decode, best / decode);
}

static void bench_file(const char *folder, const char *name, const char *tail, const Truth *t, const char *dump_folder,
                       bool timed, Score *score)
{
    char path[1024], file[256];
    snprintf(file, sizeof file, "%s-%s", name, tail);
    snprintf(path, sizeof path, "%s/%s/%s", folder, name, file);
    size_t size_bytes;
    unsigned char *bytes = load(path, &size_bytes);
    if (!bytes) return;
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    Error err = {0};
    PictureOptions options = picture_defaults();
    Picture p;
    Separation s;
    if (!picture_read(bytes, size_bytes, file, &options, &keep, &work, &p, &err))
        printf("%s: %s\n", file, err.text);
    else if (separate(&p, &keep, &work, &s)) {
        compare(file, t, &s, strstr(tail, "alpha") == NULL, strstr(tail, ".jpg") != NULL, &work, score);
        if (dump_folder) dump(&s, dump_folder, file);
        if (timed) time_separation(&p, bytes, size_bytes);
    }
    arena_free(&keep);
    arena_free(&work.scratch);
    free(bytes);
}

static int by_name(const struct dirent **a, const struct dirent **b)
{
    return strcmp((*a)->d_name, (*b)->d_name);
}

int main(int argc, char **argv)
{
    static const char *const others[] = {"600-white.png", "4096-white.png", "600-q75.jpg", "1200-q75.jpg",
                                         "2048-q75.jpg"};
    if (argc < 2) return fprintf(stderr, "use: separation-bench PICTURES_FOLDER [--dump FOLDER]\n"), 2;
    const char *dump_folder = argc > 3 && strcmp(argv[2], "--dump") == 0 ? argv[3] : NULL;
    struct dirent **names;
    int count = scandir(argv[1], &names, NULL, by_name);
    Score main_score = {0}, other_score = {0};
    for (int i = 0; i < count; i++) {
        Truth t;
        const char *name = names[i]->d_name;
        if (name[0] != '.' && truth_load(argv[1], name, &t)) {
            bench_file(argv[1], name, "2048-white.png", &t, dump_folder, false, &main_score);
            bench_file(argv[1], name, "2048-alpha.png", &t, dump_folder, false, &main_score);
            for (size_t k = 0; k < sizeof others / sizeof *others; k++)
                bench_file(argv[1], name, others[k], &t, dump_folder, strstr(others[k], "4096") != NULL, &other_score);
            free(t.label);
        }
        free(names[i]);
    }
    free(names);
    printf("2048 px: colours right in %d of %d, regions in %d\n", main_score.colours_right, main_score.pictures,
           main_score.regions_right);
    printf("other sizes and JPEG: colours right in %d of %d, regions in %d\n", other_score.colours_right,
           other_score.pictures, other_score.regions_right);
    return 0;
}
