// seam_along.c - see seam_along.h. Seams are looked at every 2 mm, each place against all seams of lower layers.
#include "seam_along.h"

#include "shape/cover.h"

#include <math.h>

#define STEP_MM 2.0
#define NEAR_MM 12.7
#define ALONG_COS 0.93969262 // of 20 degrees

typedef struct Line { Point a, b; double x, y, length_mm; } Line; // x, y: its direction

typedef struct LayerLines { Line *items; int count; Cover paper; } LayerLines;

static bool take_lines(const LayerPieces *pieces, Arena *scratch, LayerLines *out, Error *err)
{
    int most = 0;
    for (int s = 0; s < pieces->seam_count; s++)
        for (int k = 0; k < pieces->seams[s].link_count; k++) most += link_point_count(&pieces->seams[s].links[k]);
    out->items = arena_new(scratch, Line, most);
    if (!out->items) return error_memory(err);
    for (int s = 0; s < pieces->seam_count; s++)
        for (int k = 0; k < pieces->seams[s].link_count; k++) {
            const Link *link = &pieces->seams[s].links[k];
            for (int n = 0; n + 1 < link_point_count(link); n++) {
                Point a = link_point(&pieces->chains, link, n), b = link_point(&pieces->chains, link, n + 1);
                double length_mm = point_distance_mm(a, b);
                out->items[out->count++] = (Line){a, b, (b.x - a.x) / UM_PER_MM / length_mm, (b.y - a.y) / UM_PER_MM / length_mm,
                                                  length_mm};
            }
        }
    return true;
}

// No paper lies between the two layers there.
static bool lies_right_on(const LayerLines *layers, int upper, int lower, Point p)
{
    for (int i = lower + 1; i < upper; i++)
        if (layers[i].paper.edge_count > 0 && cover_contains(&layers[i].paper, p)) return false;
    return true;
}

static bool has_seam_below(const LayerLines *layers, int upper, const Line *line, Point p)
{
    for (int lower = upper - 1; lower >= 0; lower--)
        for (int i = 0; i < layers[lower].count; i++) {
            const Line *other = &layers[lower].items[i];
            if (fabs(line->x * other->x + line->y * other->y) < ALONG_COS) continue;
            if (point_segment_distance_mm(p, other->a, other->b) > NEAR_MM) continue;
            if (lies_right_on(layers, upper, lower, p)) return true;
        }
    return false;
}

static void measure_line(const LayerLines *layers, int upper, const Line *line, double *above_mm, double *along_mm)
{
    int steps = (int)ceil(line->length_mm / STEP_MM);
    *above_mm += line->length_mm;
    for (int i = 0; i < steps; i++) {
        double t = (i + 0.5) / steps;
        Point p = {line->a.x + (int32_t)((line->b.x - line->a.x) * t), line->a.y + (int32_t)((line->b.y - line->a.y) * t)};
        if (has_seam_below(layers, upper, line, p)) *along_mm += line->length_mm / steps;
    }
}

bool seams_along(const Stack *stack, const LayerPieces *pieces, Arena *scratch, double *above_mm, double *along_mm, Error *err)
{
    LayerLines *layers = arena_new(scratch, LayerLines, stack->layer_count);
    if (!layers) return error_memory(err);
    for (int i = 0; i < stack->layer_count; i++)
        if (!take_lines(&pieces[i], scratch, &layers[i], err) ||
            !cover_make(&stack->layers[i].rings, scratch, &layers[i].paper, err))
            return false;
    for (int upper = 1; upper < stack->layer_count; upper++)
        for (int i = 0; i < layers[upper].count; i++)
            measure_line(layers, upper, &layers[upper].items[i], above_mm, along_mm);
    return true;
}
