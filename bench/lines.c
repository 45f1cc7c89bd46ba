// lines.c - prints what it costs where the line colour lies: at the base, on top, or both; asserts nothing.
// Use:     lines-bench [--height INCHES] PICTURE.png ...
// Cases:   54 in high on letter, 12x12 and 12x24; pictures without a colour that goes round them are left out. Inches of
//          seam in sight, pieces, and J without penalties; the best-offset grid on the stack with lines at the base.
#include "seam/seam.h"
#include "shape/overlay.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static const char *const papers[] = {"letter", "12x12", "12x24"};
enum { PAPERS = 3, STACKS = 3 };

typedef struct Score {
    double visible_in, cost_in, seconds;
    int pieces;
} Score;

typedef struct Totals {
    Score ours[STACKS], best, grid;
    int least_cost[STACKS]; // pictures of which this stack costs least
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

static bool make_outlines(const char *path, double height_in, Arena *keep, Work *work, Outlines *out, Error *err)
{
    size_t size_bytes;
    void *bytes = load(path, &size_bytes);
    if (!bytes) return error_set(err, ERROR_SYSTEM, "%s cannot be read", path);
    Picture picture;
    Separation separation;
    PictureOptions picture_options = picture_defaults();
    SeparationOptions separation_options = separation_defaults();
    OutlineOptions outline_options = outline_defaults();
    separation_options.figure_height_mm = outline_options.figure_height_mm = height_in * 25.4;
    bool fine = picture_read(bytes, size_bytes, path, &picture_options, keep, work, &picture, err) &&
                separation_make(&picture, &separation_options, keep, work, &separation, err) &&
                outline_make(&picture, &separation, &outline_options, keep, work, out, err);
    free(bytes);
    return fine;
}

static void add(Score *to, const Score *from)
{
    to->visible_in += from->visible_in;
    to->cost_in += from->cost_in;
    to->seconds += from->seconds;
    to->pieces += from->pieces;
}

static bool divide(const Stack *stack, const char *word, bool grid, Arena *keep, Work *work, Score *out, Error *err)
{
    Paper paper;
    *out = (Score){0};
    if (!paper_parse(word, &paper, err)) return false;
    SeamOptions options = seam_defaults(&paper);
    double start_s = now_s();
    for (int layer = 0; layer < stack->layer_count; layer++) {
        LayerPieces pieces;
        if (!(grid ? seam_divide_grid : seam_divide)(stack, layer, &options, keep, work, &pieces, err)) return false;
        for (int i = 0; i < pieces.seam_count; i++) {
            double visible_in = pieces.seams[i].visible_mm / 25.4, hidden_in = pieces.seams[i].length_mm / 25.4 - visible_in;
            out->visible_in += visible_in;
            out->cost_in += visible_in + options.hidden_weight * hidden_in;
        }
        out->pieces += pieces.piece_count;
    }
    out->cost_in += options.piece_weight * out->pieces;
    out->seconds = now_s() - start_s;
    return true;
}

static bool measure(const char *path, double height_in, Arena *keep, Work *work, Totals *totals, Error *err)
{
    Outlines outlines;
    Stack stacks[STACKS];
    const char *slash = strrchr(path, '/');
    if (!make_outlines(path, height_in, keep, work, &outlines, err)) return false;
    for (int s = 0; s < STACKS; s++) {
        StackOptions options = stack_defaults();
        options.lines = (StackLines)s;
        options.thin_mm = 0.0;
        if (!stack_make(&outlines, &options, keep, work, &stacks[s], err)) return false;
        if ((int)stacks[s].lines != s) return true;
    }
    for (int p = 0; p < PAPERS; p++) {
        Score grid, ours[STACKS];
        int best = 0, cheapest = 0;
        if (!divide(&stacks[0], papers[p], true, keep, work, &grid, err)) return false;
        printf("%-28.28s %-7s grid %5.0f /%4d", slash ? slash + 1 : path, papers[p], grid.visible_in, grid.pieces);
        for (int s = 0; s < STACKS; s++) {
            static const char *const names[] = {"base", "top", "both"};
            if (!divide(&stacks[s], papers[p], false, keep, work, &ours[s], err)) return false;
            if (ours[s].visible_in < ours[best].visible_in) best = s;
            if (ours[s].cost_in < ours[cheapest].cost_in) cheapest = s;
            printf("  %s %5.0f /%4d J %5.0f %.2f s", names[s], ours[s].visible_in, ours[s].pieces, ours[s].cost_in, ours[s].seconds);
            add(&totals[p].ours[s], &ours[s]);
        }
        printf("\n");
        fflush(stdout);
        add(&totals[p].best, &ours[best]);
        add(&totals[p].grid, &grid);
        totals[p].least_cost[cheapest]++;
    }
    return true;
}

int main(int argc, char **argv)
{
    double height_in = 54.0;
    Totals totals[PAPERS] = {0};
    for (int i = 1; i < argc; i++) {
        if (strcmp(argv[i], "--height") == 0 && i + 1 < argc) {
            height_in = strtod(argv[++i], NULL);
            continue;
        }
        Error err = {0};
        Arena keep = arena_make(0);
        Work work = {.scratch = arena_make(0)};
        if (!overlay_create(NULL, &work.overlay, &err) || !measure(argv[i], height_in, &keep, &work, totals, &err))
            fprintf(stderr, "%s: %s\n", argv[i], err.text);
        overlay_destroy(work.overlay);
        arena_free(&work.scratch);
        arena_free(&keep);
    }
    for (int p = 0; p < PAPERS; p++) {
        const Totals *t = &totals[p];
        printf("%-7s in sight, m: grid %.1f", papers[p], t->grid.visible_in * 0.0254);
        for (int s = 0; s < STACKS; s++) printf(" %.1f", t->ours[s].visible_in * 0.0254);
        printf(", best %.1f (%.0f %%); pieces: grid %d %d %d %d; least J: %d %d %d\n", t->best.visible_in * 0.0254,
               t->grid.visible_in > 0.0 ? 100.0 * t->best.visible_in / t->grid.visible_in : 0.0, t->grid.pieces,
               t->ours[0].pieces, t->ours[1].pieces, t->ours[2].pieces, t->least_cost[0], t->least_cost[1], t->least_cost[2]);
    }
    return 0;
}
