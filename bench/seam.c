// seam.c - prints how much seam is seen, against the best grid, and how long dividing takes; asserts nothing.
// Use:     seam-bench [--draw FOLDER] [--only WORD] [--height INCHES] [--paper WORD] PICTURE.png ...
// Cases:   32, 54 and 96 in high, each on letter, 12x12 and 12x24; default stack. Times are processor time of dividing alone.
#include "seam_manners.h"

#include "seam/seam.h"
#include "shape/overlay.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

typedef struct Case {
    double height_in;
    const char *paper;
} Case;

static const Case cases[] = {{32.0, "letter"}, {32.0, "12x12"}, {32.0, "12x24"}, {54.0, "letter"}, {54.0, "12x12"},
                             {54.0, "12x24"},  {96.0, "letter"}, {96.0, "12x12"}, {96.0, "12x24"}};
enum { CASES = sizeof cases / sizeof *cases };

typedef struct Score {
    double visible_in, total_in, seconds;
    int pieces, narrow, seams, short_seams; // under an inch: most often between two that end on the same third one
} Score;

typedef struct Totals {
    Score ours, grid, ours_base, grid_base;
    Score group_ours[2], group_grid[2]; // pictures with no dark outlines, and with them
    Manners manners;
    int over_grid; // pictures with a layer of more pieces than the grid has
    double slowest_s;
} Totals;

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static void *load(const char *path, size_t *size_bytes)
{
    FILE *f = fopen(path, "rb");
    if (!f) return NULL;
    fseek(f, 0, SEEK_END);
    *size_bytes = (size_t)ftell(f);
    rewind(f);
    void *bytes = malloc(*size_bytes + 1);
    if (bytes && fread(bytes, 1, *size_bytes, f) != *size_bytes) {
        free(bytes);
        bytes = NULL;
    }
    fclose(f);
    return bytes;
}

static bool make_stack(const char *path, double height_in, Arena *keep, Work *work, Stack *out, Error *err)
{
    size_t size_bytes;
    void *bytes = load(path, &size_bytes);
    if (!bytes) return error_set(err, ERROR_SYSTEM, "%s cannot be read", path);
    Picture picture;
    Separation separation;
    Outlines outlines;
    PictureOptions picture_options = picture_defaults();
    SeparationOptions separation_options = separation_defaults();
    OutlineOptions outline_options = outline_defaults();
    StackOptions stack_options = stack_defaults();
    separation_options.figure_height_mm = outline_options.figure_height_mm = height_in * 25.4;
    bool fine = picture_read(bytes, size_bytes, path, &picture_options, keep, work, &picture, err) &&
                separation_make(&picture, &separation_options, keep, work, &separation, err) &&
                outline_make(&picture, &separation, &outline_options, keep, work, &outlines, err) &&
                stack_make(&outlines, &stack_options, keep, work, out, err);
    free(bytes);
    return fine;
}

static void add(Score *score, const LayerPieces *pieces, double seconds)
{
    for (int i = 0; i < pieces->seam_count; i++) {
        score->visible_in += pieces->seams[i].visible_mm / 25.4;
        score->total_in += pieces->seams[i].length_mm / 25.4;
        score->short_seams += pieces->seams[i].length_mm < 25.4;
    }
    score->pieces += pieces->piece_count;
    score->seams += pieces->seam_count;
    score->narrow += (int)pieces->findings.count;
    score->seconds += seconds;
}

static void add_score(Score *to, const Score *from)
{
    to->visible_in += from->visible_in;
    to->total_in += from->total_in;
    to->pieces += from->pieces;
    to->narrow += from->narrow;
    to->seams += from->seams;
    to->short_seams += from->short_seams;
    to->seconds += from->seconds;
}

static void draw_rings(FILE *f, const Rings *rings, const char *style)
{
    fprintf(f, "<path style=\"%s\" fill-rule=\"evenodd\" d=\"", style);
    for (int r = 0; r < rings->count; r++) {
        for (int i = 0; i < rings->items[r].count; i++)
            fprintf(f, "%c%.2f %.2f", i ? 'L' : 'M', rings->items[r].points[i].x / 1e3,
                    rings->items[r].points[i].y / 1e3);
        fprintf(f, "Z");
    }
    fprintf(f, "\"/>\n");
}

// Pieces pale, what is covered darker; seams red, and grey where the cover (less the margin) hides them.
static void draw(const char *folder, const char *name, const Stack *stack, const LayerPieces *pieces, const char *paper)
{
    char path[1024], letter[8];
    layer_letter(pieces->layer, letter);
    snprintf(path, sizeof path, "%s/%s-%s-%s.svg", folder, name, paper, letter);
    FILE *f = fopen(path, "w");
    if (!f) return;
    const Layer *layer = &stack->layers[pieces->layer];
    fprintf(f, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"-5 -5 %.1f %.1f\">\n", stack->width_mm + 10,
            stack->height_mm + 10);
    fprintf(f, "<rect x=\"-5\" y=\"-5\" width=\"100%%\" height=\"100%%\" fill=\"#fff\"/>\n");
    draw_rings(f, &layer->rings, "fill:#ffe9a8;stroke:#222;stroke-width:1");
    draw_rings(f, &layer->cover, "fill:#8899aa;fill-opacity:.35");
    for (int i = 0; i < pieces->seam_count; i++) {
        const Seam *seam = &pieces->seams[i];
        bool seen = seam->visible_mm > 0.5 * seam->length_mm;
        fprintf(f, "<polyline fill=\"none\" stroke=\"%s\" stroke-width=\"2.5\" points=\"",
                seen                     ? "#d00"
                : seam->visible_mm > 1.0 ? "#e80"
                                         : "#357");
        for (int k = 0; k < link_point_count(&seam->links[0]); k++) {
            Point p = link_point(&pieces->chains, &seam->links[0], k);
            fprintf(f, "%.2f,%.2f ", p.x / 1e3, p.y / 1e3);
        }
        fprintf(f, "\"/>\n");
    }
    for (int i = 0; i < pieces->piece_count; i++) {
        Box box = rings_box(&pieces->pieces[i].rings);
        fprintf(f, "<text x=\"%.1f\" y=\"%.1f\" font-size=\"18\" fill=\"#060\">%s</text>\n",
                (box.min.x + box.max.x) / 2e3 - 10, (box.min.y + box.max.y) / 2e3, pieces->pieces[i].id);
    }
    fprintf(f, "</svg>\n");
    fclose(f);
}

static const char *short_name(const char *path, char out[64])
{
    const char *slash = strrchr(path, '/');
    snprintf(out, 64, "%s", slash ? slash + 1 : path);
    char *dash = strstr(out, "-2048");
    if (dash) *dash = 0;
    return out;
}

// Seconds for the base layer with one fixed seam down its middle.
static bool time_fixed(const Stack *stack, const SeamOptions *options, Arena *keep, Work *work, double *out_s,
                       Error *err)
{
    Point points[2] = {point_from_mm(stack->width_mm / 2, 0), point_from_mm(stack->width_mm / 2, stack->height_mm)};
    SeamLine line = {points, 2};
    SeamOptions with = *options;
    LayerPieces pieces;
    double start = now_s();
    with.wishes.fixed = &line;
    with.wishes.fixed_count = 1;
    if (!seam_divide(stack, 0, &with, keep, work, &pieces, err)) return false;
    *out_s = now_s() - start;
    return true;
}

// The layer again, clear of the seams above it.
static bool settle(const Stack *stack, LayerPieces *all, int layer, const SeamOptions *options, Arena *keep, Work *work,
                   Error *err)
{
    SeamOptions with = *options;
    LayerPieces settled;
    bool changed;
    if (!seam_lines(all + layer + 1, stack->layer_count - layer - 1, keep, &with.above, &with.above_count, err)) return false;
    if (!seam_settle(stack, layer, &with, &all[layer], keep, work, &settled, &changed, err)) return false;
    if (changed) all[layer] = settled;
    return true;
}

static bool measure(const char *path, const Case *one, const char *folder, Arena *keep, Work *work, Totals *totals,
                    Error *err)
{
    Stack stack;
    Paper paper;
    char name[64];
    if (!make_stack(path, one->height_in, keep, work, &stack, err) || !paper_parse(one->paper, &paper, err))
        return false;
    SeamOptions options = seam_defaults(&paper);
    Score ours = {0}, grid = {0};
    double fixed_s = 0.0;
    int over = 0;
    LayerPieces *all = arena_new(keep, LayerPieces, stack.layer_count);
    if (!all) return error_memory(err);
    for (int layer = stack.layer_count - 1; layer >= 0; layer--) {
        LayerPieces a, b;
        double start = now_s();
        if (!seam_divide(&stack, layer, &options, keep, work, &a, err)) return false;
        all[layer] = a;
        if (!settle(&stack, all, layer, &options, keep, work, err)) return false;
        a = all[layer];
        double middle = now_s();
        if (!seam_divide_grid(&stack, layer, &options, keep, work, &b, err)) return false;
        add(&ours, &a, middle - start);
        add(&grid, &b, now_s() - middle);
        if (a.piece_count > b.piece_count) over = 1;
        if (layer == 0) {
            add(&totals->ours_base, &a, 0.0);
            add(&totals->grid_base, &b, 0.0);
        }
        if (layer == 0 && !time_fixed(&stack, &options, keep, work, &fixed_s, err)) return false;
        if (folder) draw(folder, short_name(path, name), &stack, &a, one->paper);
    }
    printf("%-14s %2.0f %-6s  pieces %3d of %3d  visible %6.1f of %6.1f (%3.0f %%)  all %6.1f of %6.1f  narrow %d (%d) "
           " %.2f s, base with a fixed seam %.2f s%s\n",
           short_name(path, name), one->height_in, one->paper, ours.pieces, grid.pieces, ours.visible_in,
           grid.visible_in, grid.visible_in > 0.0 ? 100.0 * ours.visible_in / grid.visible_in : 100.0, ours.total_in,
           grid.total_in, ours.narrow, grid.narrow, ours.seconds, fixed_s, over ? "  MORE PIECES" : "");
    fflush(stdout);
    if (!manners_add(&stack, all, &options, &work->scratch, &totals->manners, err)) return false;
    add_score(&totals->group_ours[stack.base_is_line_colour], &ours);
    add_score(&totals->group_grid[stack.base_is_line_colour], &grid);
    add_score(&totals->ours, &ours);
    add_score(&totals->grid, &grid);
    totals->over_grid += over;
    if (ours.seconds > totals->slowest_s) totals->slowest_s = ours.seconds;
    return true;
}

int main(int argc, char **argv)
{
    const char *folder = NULL, *only = NULL, *paper = NULL;
    double height_in = 0.0; // of the cases wanted; 0 = all
    int first = 1;
    for (; first + 1 < argc && argv[first][0] == '-'; first += 2) {
        if (strcmp(argv[first], "--draw") == 0)
            folder = argv[first + 1];
        else if (strcmp(argv[first], "--only") == 0)
            only = argv[first + 1];
        else if (strcmp(argv[first], "--paper") == 0)
            paper = argv[first + 1];
        else if (strcmp(argv[first], "--height") == 0)
            height_in = atof(argv[first + 1]);
    }
    for (int k = 0; k < CASES; k++) {
        if (height_in > 0.0 && cases[k].height_in != height_in) continue;
        if (paper && strcmp(cases[k].paper, paper) != 0) continue;
        Totals totals = {0};
        for (int i = first; i < argc; i++) {
            if (only && !strstr(argv[i], only)) continue;
            Arena keep = arena_make(0);
            Work work = {.scratch = arena_make(0)};
            Error err = {0};
            if (!overlay_create(NULL, &work.overlay, &err) ||
                !measure(argv[i], &cases[k], folder, &keep, &work, &totals, &err))
                printf("%s: %s\n", argv[i], err.text);
            overlay_destroy(work.overlay);
            arena_free(&work.scratch);
            arena_free(&keep);
        }
        printf("%2.0f in, %s: visible %.1f %% of the grid's (base layer %.1f %%), all seams %.1f %%, pieces %.1f %%; "
               "pictures with more pieces %d; "
               "narrow %d (grid %d); seams under an inch %d of %d; %.2f s, slowest %.2f s\n",
               cases[k].height_in, cases[k].paper, 100.0 * totals.ours.visible_in / totals.grid.visible_in,
               100.0 * totals.ours_base.visible_in / totals.grid_base.visible_in,
               100.0 * totals.ours.total_in / totals.grid.total_in, 100.0 * totals.ours.pieces / totals.grid.pieces,
               totals.over_grid, totals.ours.narrow, totals.grid.narrow, totals.ours.short_seams, totals.ours.seams, totals.ours.seconds, totals.slowest_s);
        for (int k2 = 0; k2 < 2; k2++)
            printf("  %s dark outlines: visible %.1f of %.1f in, %.1f %%; pieces %d of %d\n", k2 ? "with" : "without",
                   totals.group_ours[k2].visible_in, totals.group_grid[k2].visible_in,
                   100.0 * totals.group_ours[k2].visible_in / totals.group_grid[k2].visible_in,
                   totals.group_ours[k2].pieces, totals.group_grid[k2].pieces);
        manners_print("  manners", &totals.manners);
    }
    return 0;
}
