// nest.c - how many sheets the nest takes, and how long. Prints numbers and asserts none.
// Sets:    bin_*.json: jigsaws of whole sheets (optimum known, gap 0, turns as in the file and free);
//          the other files: sheets are squares of 1.5 and 2 times the largest side of a piece (gap 0, free turns):
//          N sheets, F = mean squared fill, K = N - 1 + used share of the last one;
//          made ones: rings and discs, frames in frames, pieces like those of a kit.
#include "base/rng.h"
#include "nest/nest.h"
#include "nest_one.h"
#include "shape/overlay.h"

#include <dirent.h>
#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define MOST_ITEMS 400
#define LARGEST_MM 200.0    // the strip sets are scaled to this

typedef struct Set {
    Arena arena;
    NestItem items[MOST_ITEMS];
    int count;
    double area_mm2, largest_mm;
} Set;

static double cpu_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static void set_clear(Set *set)
{
    memset(set, 0, sizeof *set);
    set->arena = arena_make(0);
}

static void add_item(Set *set, const Rings *rings)
{
    if (set->count >= MOST_ITEMS) return;
    Box box = rings_box(rings);
    set->largest_mm = fmax(set->largest_mm, fmax(box_width_mm(box), box_height_mm(box)));
    set->area_mm2 += rings_area_mm2(rings);
    set->items[set->count++] = (NestItem){rings, {1, 0}};
}

static Ring ring_from_json(const json_t *outline, double scale, Arena *arena)
{
    Ring ring = {arena_new(arena, Point, json_array_size(outline)), 0};
    for (size_t i = 0; i < json_array_size(outline); i++) {
        const json_t *p = json_array_get(outline, i);
        ring.points[ring.count++] = point_from_mm(json_number_value(json_array_get(p, 0)) * scale,
                                                  json_number_value(json_array_get(p, 1)) * scale);
    }
    if (ring_area2_um2(&ring) < 0)
        for (int i = 0; i < ring.count / 2; i++) {
            Point kept = ring.points[i];
            ring.points[i] = ring.points[ring.count - 1 - i];
            ring.points[ring.count - 1 - i] = kept;
        }
    return ring;
}

static double largest_side(const json_t *items)
{
    double largest = 0;
    for (size_t i = 0; i < json_array_size(items); i++) {
        const json_t *outline = json_object_get(json_array_get(items, i), "outline");
        double least[2] = {INFINITY, INFINITY}, most[2] = {-INFINITY, -INFINITY};
        for (size_t k = 0; k < json_array_size(outline); k++)
            for (size_t axis = 0; axis < 2; axis++) {
                double v = json_number_value(json_array_get(json_array_get(outline, k), axis));
                least[axis] = fmin(least[axis], v);
                most[axis] = fmax(most[axis], v);
            }
        largest = fmax(largest, fmax(most[0] - least[0], most[1] - least[1]));
    }
    return largest;
}

static void read_items(Set *set, const json_t *items, double scale)
{
    for (size_t i = 0; i < json_array_size(items); i++) {
        const json_t *item = json_array_get(items, i);
        Rings *rings = arena_new(&set->arena, Rings, 1);
        rings->items = arena_new(&set->arena, Ring, 1);
        rings->items[0] = ring_from_json(json_object_get(item, "outline"), scale, &set->arena);
        rings->count = 1;
        for (json_int_t n = json_integer_value(json_object_get(item, "demand")); n > 0; n--) add_item(set, rings);
    }
}

typedef struct Score { int sheets; double fill2, last, seconds; } Score;

static Score run(const Set *set, double width_mm, double height_mm, double corner_mm, double gap_mm, NestTurn turn)
{
    Paper paper = {.id = "bench", .width_mm = width_mm + PAPER_ALLOWANCE_MM, .height_mm = height_mm + PAPER_ALLOWANCE_MM};
    NestOptions options = nest_defaults(&paper);
    options.space = (Space){width_mm, height_mm, corner_mm, false};
    options.gap_mm = gap_mm;
    options.turn = turn;
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    Error err = {0};
    NestResult result;
    Score score = {0, 0, 0, 0};
    if (!overlay_create(NULL, &work.overlay, &err)) return score;
    double start = cpu_s();
    if (!nest_pieces(set->items, set->count, &options, &keep, &work, &result, &err)) {
        printf("  failed: %s\n", err.text);
    } else {
        score.seconds = cpu_s() - start;
        score.sheets = result.sheet_count;
        double fill[MOST_ITEMS] = {0}, low = 0;
        for (int i = 0; i < set->count; i++) {
            fill[result.places[i].sheet] += rings_area_mm2(set->items[i].rings) / (width_mm * height_mm);
            if (result.places[i].sheet != result.sheet_count - 1) continue;
            const double *m = result.places[i].to_sheet;
            for (int r = 0; r < set->items[i].rings->count; r++)
                for (int k = 0; k < set->items[i].rings->items[r].count; k++) {
                    Point p = set->items[i].rings->items[r].points[k];
                    low = fmax(low, m[1] * p.x / 1000.0 + m[3] * p.y / 1000.0 + m[5] - options.origin_mm[1]);
                }
        }
        for (int s = 0; s < score.sheets; s++) score.fill2 += fill[s] * fill[s] / score.sheets;
        score.last = low / height_mm;
    }
    arena_free(&keep);
    arena_free(&work.scratch);
    overlay_destroy(work.overlay);
    return score;
}

static void print_score(const char *name, const char *what, int pieces, double bound, Score score)
{
    printf("%-14s %-22s %4d pieces  %3d sheets  at least %5.2f  K %6.3f  F %.3f  %6.2f s\n", name, what, pieces, score.sheets,
           bound, score.sheets - 1 + score.last, score.fill2, score.seconds);
}

static void bench_file(const char *folder, const char *file)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, file);
    json_t *root = json_load_file(path, 0, NULL);
    if (!root) return;
    const json_t *items = json_object_get(root, "items"), *sheet = json_object_get(root, "sheet");
    const char *name = json_string_value(json_object_get(root, "name"));
    Set *set = calloc(1, sizeof *set);
    if (!set || !name) exit(1);
    set_clear(set);
    if (sheet) {
        read_items(set, items, 1);
        double w = json_number_value(json_array_get(sheet, 0)), h = json_number_value(json_array_get(sheet, 1));
        double known = json_number_value(json_object_get(root, "known_optimal_sheets"));
        print_score(name, "as drawn", set->count, known, run(set, w, h, 0, 0, NEST_TURN_NONE));
        print_score(name, "free", set->count, known, run(set, w, h, 0, 0, NEST_TURN_FREE));
    } else {
        read_items(set, items, LARGEST_MM / largest_side(items));
        for (double times = 1.5; times <= 2; times += 0.5) {
            double side = times * LARGEST_MM;
            char what[32];
            snprintf(what, sizeof what, "square %.1f x largest", times);
            print_score(name, what, set->count, set->area_mm2 / (side * side), run(set, side, side, 0, 0, NEST_TURN_FREE));
        }
    }
    arena_free(&set->arena);
    free(set);
    json_decref(root);
}

static Ring round_ring(double cx, double cy, double rx, double ry, int corners, bool hole, Arena *arena)
{
    Ring ring = {arena_new(arena, Point, corners), corners};
    for (int i = 0; i < corners; i++) {
        double a = 2 * 3.14159265358979 * (hole ? corners - i : i) / corners;
        ring.points[i] = point_from_mm(cx + rx * cos(a), cy + ry * sin(a));
    }
    return ring;
}

static Ring box_ring(double x, double y, double w, double h, bool hole, Arena *arena)
{
    Ring ring = {arena_new(arena, Point, 4), 4};
    const double xs[4] = {0, w, w, 0}, ys[4] = {0, 0, h, h};
    for (int i = 0; i < 4; i++) ring.points[hole ? 3 - i : i] = point_from_mm(x + xs[i], y + ys[i]);
    return ring;
}

static void add_with_hole(Set *set, Ring outer, Ring hole)
{
    Rings *rings = arena_new(&set->arena, Rings, 1);
    rings->items = arena_new(&set->arena, Ring, 2);
    rings->items[rings->count++] = outer;
    if (hole.count) rings->items[rings->count++] = hole;
    add_item(set, rings);
}

static void bench_made(void)
{
    Set *set = calloc(1, sizeof *set);
    if (!set) exit(1);
    set_clear(set);
    for (int i = 0; i < 6; i++) {
        add_with_hole(set, round_ring(500, 500, 95, 95, 200, false, &set->arena), round_ring(500, 500, 75, 75, 200, true, &set->arena));
        add_with_hole(set, round_ring(500, 500, 70, 70, 200, false, &set->arena), (Ring){NULL, 0});
    }
    print_score("rings + discs", "letter, gap 3", set->count, 6, run(set, 203.2, 266.7, 3, 3, NEST_TURN_FREE));
    arena_free(&set->arena);
    set_clear(set);
    for (int i = 0; i < 4; i++)
        for (int deep = 0; deep < 4; deep++) {
            double d = 22.0 * deep;
            add_with_hole(set, box_ring(d, d, 190 - 2 * d, 255 - 2 * d, false, &set->arena),
                          deep < 3 ? box_ring(d + 15, d + 15, 160 - 2 * d, 225 - 2 * d, true, &set->arena) : (Ring){NULL, 0});
        }
    print_score("frames", "letter, gap 3", set->count, 4, run(set, 203.2, 266.7, 3, 3, NEST_TURN_FREE));
    arena_free(&set->arena);
    for (int many = 0; many < 2; many++) {
        set_clear(set);
        Rng rng = rng_make(7);
        int wanted = many ? 250 : 41;
        while (set->count < wanted) {
            double r = many ? 15 + 60 * rng_unit(&rng) * rng_unit(&rng) : set->count < 26 ? 80 + 20 * rng_unit(&rng) : 10 + 40 * rng_unit(&rng);
            Ring outer = round_ring(1000, 1000, r, r * (0.8 + 0.5 * rng_unit(&rng)), 700, false, &set->arena);
            for (int i = 0; i < outer.count; i++) {
                double bump = 1 - 0.15 * (1 + sin(i * 0.05 * (1 + set->count % 7)));
                outer.points[i].x = (int32_t)(1000000 + (outer.points[i].x - 1000000) * bump);
                outer.points[i].y = (int32_t)(1000000 + (outer.points[i].y - 1000000) * bump);
            }
            add_with_hole(set, outer, (Ring){NULL, 0});
        }
        print_score(many ? "many" : "like a kit", "letter, gap 3", set->count, set->area_mm2 / (203.2 * 266.7), run(set, 203.2, 266.7, 3, 3, NEST_TURN_FREE));
        arena_free(&set->arena);
    }
    free(set);
}

static int by_text(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

int main(int argc, char **argv)
{
    if (argc > 1) return strcmp(argv[1], "--folder") == 0 ? nest_folder(argc, argv) : nest_one(argc, argv);
    bench_made();
    const char *shared = getenv("PM_SHARED");
    char folder[2048];
    snprintf(folder, sizeof folder, "%s/data/nesting", shared ? shared : "../shared");
    DIR *dir = opendir(folder);
    if (!dir) {
        printf("skipped the shared sets: %s is not there\n", folder);
        return 0;
    }
    char *names[64];
    size_t count = 0;
    for (struct dirent *entry; (entry = readdir(dir)) && count < 64;)
        if (strstr(entry->d_name, ".json")) names[count++] = strdup(entry->d_name);
    closedir(dir);
    qsort(names, count, sizeof *names, by_text);
    for (size_t i = 0; i < count; i++) {
        bench_file(folder, names[i]);
        free(names[i]);
    }
    return 0;
}
