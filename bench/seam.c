// seam.c - prints how much seam is seen, against the best grid, and how long dividing takes; asserts nothing.
// Use:     seam-bench SHARED_PICTURES [FOLDER] [options]
//          FOLDER is what tools/fetch-bench-pictures fills. Options, each with a value:
//          --set WORD      pictures of these sets (shared, drawn, map, voronoi), by a part of the set's name
//          --only WORD     pictures with this in their name
//          --every N       each N-th of the pictures that are left
//          --height INCHES, --paper WORD   one of 32, 54, 96; of letter, 12x12, 12x24 (each without: all)
//          --worst N       the N cases with most seam left above the lower bound (10)
//          --draw FOLDER   each layer as an SVG
//          --list 1        a row a case
//          --weight W      inches of seam in sight that a piece costs (the grids keep theirs)
//          --detail W      what an inch of seam in sight costs more in small detail
//          --first 1       first answers, unrefined
//          --ours 1        without the grids and the bound, which take longest
//          --grow 1        instead of all that: processor time from 8 ft to 32 ft, on letter
// Groups:  outlined: the base is the line colour, as the stack found by itself; plain: it is not.
// Columns: seam_measure.h; grids: seam_case.h; closure = (grid - ours) / (grid - bound), bound: seam_bound.h.
#include "seam_case.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define METRE_MM 1000.0

enum { HEIGHTS = 3, PAPERS = 3, GROUPS = 2, MOST_CASES = 4096 };
static const double heights_in[HEIGHTS] = {32.0, 54.0, 96.0};
static const char *const papers[PAPERS] = {"letter", "12x12", "12x24"};
static const char *const groups[GROUPS] = {"outlined", "plain"};

typedef struct Pool {
    SeamCase sum;
    int pictures, over;     // over: with more pieces than the grid has, in all
    double slowest_s;
} Pool;

typedef struct Left { char name[96]; double left_mm, share; } Left; // seam in sight above the bound; share of the grid's

typedef struct Bench {
    const char *set, *only, *paper, *draw_folder;
    int every, worst;
    double height_in;
    bool is_listed, is_growth;
    SeamWays ways;
    Pool pools[GROUPS][HEIGHTS][PAPERS];
    Left *left;
    int left_count;
} Bench;

static double percent(double part, double whole)
{
    return whole > 0.0 ? 100.0 * part / whole : 100.0;
}

static void add_case(Pool *pool, const SeamCase *one)
{
    seam_score_add(&pool->sum.ours, &one->ours);
    seam_score_add(&pool->sum.grid, &one->grid);
    seam_score_add(&pool->sum.joined, &one->joined);
    pool->sum.bound_mm += one->bound_mm;
    pool->sum.layers_over += one->layers_over;
    pool->pictures++;
    pool->over += one->ours.pieces > one->grid.pieces;
    if (one->ours.seconds > pool->slowest_s) pool->slowest_s = one->ours.seconds;
}

static void list_case(const Art *art, const char *group, double height_in, const char *paper, const SeamCase *one)
{
    const SeamScore *ours = &one->ours, *grid = &one->grid;
    printf("%-6s %-14s %-8s %2.0f %-6s pieces %3d of %3d%s  seen %6.2f of %6.2f m (%3.0f %%; joined grid %6.2f; at least %5.2f)  "
           "all %6.2f of %6.2f  along %5.2f of %5.2f  fours %d of %d  near %d  bent %d of %d  thin %d necks %d  tilted %d, %.0f mm  detail %d, %.0f mm (grid %d, %.0f)  %.2f s\n",
           art->group, art->name, group, height_in, paper, ours->pieces, grid->pieces, one->layers_over ? "!" : "",
           ours->visible_mm / METRE_MM, grid->visible_mm / METRE_MM, percent(ours->visible_mm, grid->visible_mm),
           one->joined.visible_mm / METRE_MM, one->bound_mm / METRE_MM,
           ours->total_mm / METRE_MM, grid->total_mm / METRE_MM, ours->along_mm / METRE_MM, ours->above_mm / METRE_MM,
           ours->fours, ours->joints, ours->near_joints, ours->bent, ours->stretches, ours->thin, ours->necks,
           ours->tilted, ours->tilted_mm, ours->details, ours->detail_mm, grid->details, grid->detail_mm, ours->seconds);
    fflush(stdout);
}

static void note_left(Bench *b, const Art *art, double height_in, const char *paper, const SeamCase *one)
{
    if (b->left_count == MOST_CASES) return;
    Left *left = &b->left[b->left_count++];
    snprintf(left->name, sizeof left->name, "%s %.40s, %.0f in, %s", art->group, art->name, height_in, paper);
    left->left_mm = one->ours.visible_mm - one->bound_mm;
    left->share = percent(one->ours.visible_mm, one->grid.visible_mm);
}

static bool wants_paper(const Bench *b, int paper)
{
    return !b->paper || strcmp(b->paper, papers[paper]) == 0;
}

static bool measure_height(Bench *b, const Art *art, int height, Error *err)
{
    SeamPicture picture;
    bool fine = seam_picture_make(art, heights_in[height], &picture, err);
    for (int paper = 0; fine && paper < PAPERS; paper++) {
        SeamCase one;
        if (!wants_paper(b, paper)) continue;
        fine = seam_case_run(&picture, art->name, papers[paper], &b->ways, b->draw_folder, &one, err);
        if (!fine) break;
        int group = !picture.stack.base_is_line_colour;
        add_case(&b->pools[group][height][paper], &one);
        note_left(b, art, heights_in[height], papers[paper], &one);
        if (b->is_listed) list_case(art, groups[group], heights_in[height], papers[paper], &one);
    }
    seam_picture_free(&picture);
    return fine;
}

static bool measure_growth(const Art *art, double sum_s[2], Error *err)
{
    static const double feet_in[2] = {96.0, 384.0};
    double seconds[2] = {0};
    int pieces[2] = {0};
    for (int i = 0; i < 2; i++) {
        SeamPicture picture;
        bool fine = seam_picture_make(art, feet_in[i], &picture, err) &&
                    seam_case_time(&picture, papers[0], &seconds[i], &pieces[i], err);
        seam_picture_free(&picture);
        if (!fine) return false;
        sum_s[i] += seconds[i];
    }
    printf("%-6s %-14s 8 ft %6.2f s, %5d pieces; 32 ft %7.2f s, %6d pieces: %5.1f times the time, %4.1f times the pieces\n", art->group,
           art->name, seconds[0], pieces[0], seconds[1], pieces[1], seconds[1] / seconds[0], (double)pieces[1] / pieces[0]);
    fflush(stdout);
    return true;
}

static bool wants_art(const Bench *b, const Art *art)
{
    return (!b->set || strstr(art->group, b->set)) && (!b->only || strstr(art->name, b->only));
}

static void measure_all(Bench *b, const ArtList *list, int *seen, double growth_s[2])
{
    for (int i = 0; i < list->count; i++) {
        Error err = {0};
        bool fine = true;
        if (!wants_art(b, &list->items[i]) || (*seen)++ % b->every != 0) continue;
        if (b->is_growth) {
            fine = measure_growth(&list->items[i], growth_s, &err);
        } else {
            for (int height = 0; height < HEIGHTS && fine; height++)
                if (b->height_in <= 0.0 || heights_in[height] == b->height_in)
                    fine = measure_height(b, &list->items[i], height, &err);
        }
        if (!fine) printf("%s: %s\n", list->items[i].name, err.text);
    }
}

// ---- tables ----

static void print_lengths(const Pool *pool)
{
    const SeamCase *sum = &pool->sum;
    double seen = sum->ours.visible_mm, grid = sum->grid.visible_mm;
    printf("%4d %8.2f %8.2f %7.1f %8.1f %8.1f %7.1f %7.1f %5d %5d %7.1f\n", pool->pictures, seen / METRE_MM, grid / METRE_MM,
           percent(seen, grid), percent(seen, sum->joined.visible_mm), percent(grid - seen, grid - sum->bound_mm),
           percent(sum->ours.total_mm, sum->grid.total_mm), percent(sum->ours.pieces, sum->grid.pieces), pool->over,
           sum->layers_over, percent(sum->bound_mm, seen));
}

static void print_forms(const Pool *pool)
{
    const SeamScore *ours = &pool->sum.ours, *grid = &pool->sum.grid;
    double along = ours->above_mm > 0.0 ? percent(ours->along_mm, ours->above_mm) : 0.0;
    double grid_along = grid->above_mm > 0.0 ? percent(grid->along_mm, grid->above_mm) : 0.0;
    printf("%6.1f (%4.1f) %5d of %5d (%4.1f %%) %5d %6d of %6d, most %2d %5d (%4d) %5d (%4d) %6d of %6d %5d %7.2f %5d %7.2f (%5d %7.2f) %8.2f %8.2f\n", along, grid_along,
           ours->fours, ours->joints, ours->joints ? percent(ours->fours, ours->joints) : 0.0, ours->near_joints, ours->bent,
           ours->stretches, ours->most_corners, ours->thin, grid->thin, ours->necks,
           grid->necks, ours->short_seams, ours->seams, ours->tilted, ours->tilted_mm / METRE_MM, ours->details,
           ours->detail_mm / METRE_MM, grid->details, grid->detail_mm / METRE_MM, ours->seconds,
           pool->slowest_s);
}

static void print_table(const Bench *b, const char *head, void (*print)(const Pool *pool))
{
    printf("\n%-9s %2s %-7s %s\n", "group", "in", "paper", head);
    for (int group = 0; group < GROUPS; group++)
        for (int height = 0; height < HEIGHTS; height++)
            for (int paper = 0; paper < PAPERS; paper++) {
                const Pool *pool = &b->pools[group][height][paper];
                if (pool->pictures == 0) continue;
                printf("%-9s %2.0f %-7s ", groups[group], heights_in[height], papers[paper]);
                print(pool);
            }
}

static int most_left(const void *a, const void *b)
{
    const Left *p = a, *q = b;
    if (p->left_mm != q->left_mm) return p->left_mm > q->left_mm ? -1 : 1;
    return strcmp(p->name, q->name);
}

static int least_saved(const void *a, const void *b)
{
    const Left *p = a, *q = b;
    if (p->share != q->share) return p->share > q->share ? -1 : 1;
    return strcmp(p->name, q->name);
}

static void print_worst(Bench *b)
{
    printf("\nmost seam in sight above the bound:\n");
    qsort(b->left, (size_t)b->left_count, sizeof *b->left, most_left);
    for (int i = 0; i < b->worst && i < b->left_count; i++)
        printf("  %6.2f m  %3.0f %% of the grid  %s\n", b->left[i].left_mm / METRE_MM, b->left[i].share, b->left[i].name);
    printf("least saved against the grid:\n");
    qsort(b->left, (size_t)b->left_count, sizeof *b->left, least_saved);
    for (int i = 0; i < b->worst && i < b->left_count; i++)
        printf("  %6.2f m  %3.0f %% of the grid  %s\n", b->left[i].left_mm / METRE_MM, b->left[i].share, b->left[i].name);
}

static bool take_option(Bench *b, const char *name, const char *value)
{
    if (strcmp(name, "--set") == 0) b->set = value;
    else if (strcmp(name, "--only") == 0) b->only = value;
    else if (strcmp(name, "--every") == 0) b->every = atoi(value) > 0 ? atoi(value) : 1;
    else if (strcmp(name, "--height") == 0) b->height_in = atof(value);
    else if (strcmp(name, "--paper") == 0) b->paper = value;
    else if (strcmp(name, "--worst") == 0) b->worst = atoi(value);
    else if (strcmp(name, "--draw") == 0) b->draw_folder = value;
    else if (strcmp(name, "--list") == 0) b->is_listed = atoi(value) != 0;
    else if (strcmp(name, "--weight") == 0) b->ways.piece_weight = atof(value);
    else if (strcmp(name, "--detail") == 0) b->ways.detail_weight = atof(value);
    else if (strcmp(name, "--first") == 0) b->ways.only_first = atoi(value) != 0;
    else if (strcmp(name, "--ours") == 0) b->ways.only_ours = atoi(value) != 0;
    else if (strcmp(name, "--grow") == 0) b->is_growth = atoi(value) != 0;
    else return false;
    return true;
}

int main(int argc, char **argv)
{
    const char *folders[2] = {NULL, NULL};
    int folder_count = 0, seen = 0;
    double growth_s[2] = {0};
    Bench *b = calloc(1, sizeof *b);
    Left *left = calloc(MOST_CASES, sizeof *left);
    if (!b || !left) return 5;
    *b = (Bench){.every = 1, .worst = 10, .left = left, .ways = {.detail_weight = -1.0}};
    for (int i = 1; i < argc; i++) {
        if (argv[i][0] != '-' && folder_count < 2) {
            folders[folder_count++] = argv[i];
        } else if (i + 1 == argc || !take_option(b, argv[i], argv[i + 1])) {
            fprintf(stderr, "seam-bench does not know '%s', or it lacks a value; see the head of bench/seam.c\n", argv[i]);
            return 2;
        } else {
            i++;
        }
    }
    for (int i = 0; i < folder_count; i++) {
        ArtList list = art_list(folders[i], i == 0 ? "shared" : NULL);
        measure_all(b, &list, &seen, growth_s);
        art_free(&list);
    }
    if (b->is_growth) {
        printf("all: %.2f s and %.2f s, %.1f times\n", growth_s[0], growth_s[1], growth_s[1] / growth_s[0]);
    } else {
        print_table(b, " pics    seam m   grid m  % grid % joined closure  all sm. pieces  over layers bound %", print_lengths);
        print_table(b, "along % (grid)   fours of joints       near   bent of stretches    thin (grid) necks (grid)   under 1 in tilted, m  detail, m (grid)            sum s slowest s", print_forms);
        if (b->worst > 0) print_worst(b);
    }
    free(left);
    free(b);
    return 0;
}
