// grid.c - see grid.h.
// Lines of all offsets together form a lattice with a tenth of the cell's pitch; offset a owns the lines a, a + 10, ...
#include "seam/grid.h"

#include <math.h>
#include <stdlib.h>

typedef struct Lattice {
    double *u, *v;
    int u_count, v_count;
    double u_cost[GRID_OFFSETS], v_cost[GRID_OFFSETS];
    int crossings[GRID_OFFSETS][GRID_OFFSETS]; // [u][v]
} Lattice;

typedef struct Offset {
    double cost;
    int u, v;
} Offset;

static bool lattice_lines(double lo_um, double hi_um, double pitch_mm, Arena *scratch, double **out, int *out_count,
                          Error *err)
{
    double lo = lo_um / UM_PER_MM, hi = hi_um / UM_PER_MM;
    int count = (int)((hi - lo) / pitch_mm);
    *out = arena_new(scratch, double, count + 1);
    if (!*out) return error_memory(err);
    *out_count = 0;
    for (int i = 0; i < count; i++) {
        double at = lo + (i + 1) * pitch_mm;
        if (at < hi - 0.5) (*out)[(*out_count)++] = at;
    }
    return true;
}

static void add_line_costs(const Scan *inner, const Scan *under, const AvoidScan *avoided, const GridOptions *options,
                           double *cost)
{
    for (int i = 0; i < inner->line_count; i++) {
        LineCost line = scan_cost(inner, under, i, -1e30, 1e30);
        cost[i % GRID_OFFSETS] +=
            (line.visible_mm + options->hidden_weight * line.hidden_mm) / 25.4 + options->piece_weight * line.chords;
        cost[i % GRID_OFFSETS] += avoid_line_in(avoided, under, i);
    }
}

static bool price_lattice(const Part *part, const Hiding *hiding, const GridOptions *options, Lattice *lattice,
                          Arena *scratch, Error *err)
{
    Turned turned, cover;
    Scan inner, under;
    AvoidScan avoided;
    Frame frame = {1.0, 0.0};
    double *cost = arena_new(scratch, double, lattice->v_count);
    int *chords = arena_new(scratch, int, lattice->v_count);
    bool *inside = arena_new(scratch, bool, lattice->v_count);
    if (!cost || !chords || !inside) return error_memory(err);
    if (!part_turn(part, frame, scratch, &turned, err)) return false;
    if (!boundary_turn(hiding->points, hiding->next, hiding->count, frame, scratch, &cover, err)) return false;
    if (!scan_lines(&turned, LINES_ALONG_U, lattice->v, lattice->v_count, scratch, &inner, err)) return false;
    if (!hiding_scan(hiding, &cover, LINES_ALONG_U, lattice->v, lattice->v_count, scratch, &under, err)) return false;
    if (!avoid_scan(options->avoid, frame, LINES_ALONG_U, lattice->v, &inner, scratch, &avoided, err)) return false;
    add_line_costs(&inner, &under, &avoided, options, lattice->v_cost);
    if (!scan_lines(&turned, LINES_ALONG_V, lattice->u, lattice->u_count, scratch, &inner, err)) return false;
    if (!hiding_scan(hiding, &cover, LINES_ALONG_V, lattice->u, lattice->u_count, scratch, &under, err)) return false;
    if (!avoid_scan(options->avoid, frame, LINES_ALONG_V, lattice->u, &inner, scratch, &avoided, err)) return false;
    add_line_costs(&inner, &under, &avoided, options, lattice->u_cost);
    for (int i = 0; i < lattice->u_count; i++) {
        scan_running_cost(&inner, &under, i, 1.0, 1.0, lattice->v, lattice->v_count, cost, chords, inside);
        for (int k = 0; k < lattice->v_count; k++) lattice->crossings[i % GRID_OFFSETS][k % GRID_OFFSETS] += inside[k];
    }
    return true;
}

static int compare_offsets(const void *pa, const void *pb)
{
    const Offset *a = pa, *b = pb;
    if (a->cost != b->cost) return a->cost < b->cost ? -1 : 1;
    if (a->u != b->u) return a->u - b->u;
    return a->v - b->v;
}

static bool write_layout(const Lattice *lattice, Offset offset, Arena *keep, Layout *out, Error *err)
{
    int borders = 0, strips, n = 0;
    for (int k = offset.v; k < lattice->v_count; k += GRID_OFFSETS) borders++;
    strips = borders + 1;
    *out = (Layout){.frame = {1.0, 0.0}, .is_grid = true, .border_count = borders, .estimate_in = offset.cost};
    out->borders = arena_new(keep, double, borders);
    out->first_cross = arena_new(keep, int, strips + 1);
    out->crosses = arena_new(keep, double, strips *(lattice->u_count / GRID_OFFSETS + 1));
    if (!out->borders || !out->first_cross || !out->crosses) return error_memory(err);
    for (int k = offset.v, b = 0; k < lattice->v_count; k += GRID_OFFSETS) out->borders[b++] = lattice->v[k];
    for (int s = 0; s < strips; s++) {
        out->first_cross[s] = n;
        for (int i = offset.u; i < lattice->u_count; i += GRID_OFFSETS) out->crosses[n++] = lattice->u[i];
    }
    out->first_cross[strips] = n;
    return true;
}

static bool find_way(const Part *part, const Hiding *hiding, const GridOptions *options, bool turned, Arena *keep,
                     Work *work, Layouts *out, Error *err)
{
    Lattice lattice = {0};
    Arena *scratch = &work->scratch;
    Cell cell = cell_for(options->space, turned);
    // Full cells must clear the corner marks: the sheet's longer side gives way.
    double across = cell.across_mm, along = cell_along_limit_mm(&cell, across);
    if (cell.across_mm > cell.along_mm) {
        along = cell.along_mm;
        across -= 2.0 * cell.corner_mm;
    }
    if (!lattice_lines(part->box.min.x, part->box.max.x, along / GRID_OFFSETS, scratch, &lattice.u, &lattice.u_count,
                       err) ||
        !lattice_lines(part->box.min.y, part->box.max.y, across / GRID_OFFSETS, scratch, &lattice.v, &lattice.v_count,
                       err) ||
        !price_lattice(part, hiding, options, &lattice, scratch, err))
        return false;
    Offset offsets[GRID_OFFSETS * GRID_OFFSETS];
    for (int u = 0; u < GRID_OFFSETS; u++)
        for (int v = 0; v < GRID_OFFSETS; v++)
            offsets[u * GRID_OFFSETS + v] =
                (Offset){lattice.u_cost[u] + lattice.v_cost[v] + options->piece_weight * lattice.crossings[u][v], u, v};
    qsort(offsets, GRID_OFFSETS * GRID_OFFSETS, sizeof *offsets, compare_offsets);
    for (int i = 0; i < options->best_count && i < GRID_OFFSETS * GRID_OFFSETS; i++) {
        Layout *items = arena_grow(keep, out->items, out->count, &out->capacity, sizeof *items);
        if (!items) return error_memory(err);
        out->items = items;
        if (!write_layout(&lattice, offsets[i], keep, &items[out->count++], err)) return false;
    }
    return work_goes_on(work, err);
}

bool grid_find(const Part *part, const Hiding *hiding, const GridOptions *options, Arena *keep, Work *work,
               Layouts *out, Error *err)
{
    bool square = options->space.width_mm == options->space.height_mm;
    for (int turned = 0; turned < (square || options->space.upright ? 1 : 2); turned++) {
        ArenaMark mark = arena_mark(&work->scratch);
        bool fine = find_way(part, hiding, options, turned == 1, keep, work, out, err);
        arena_rewind(&work->scratch, mark);
        if (!fine) return false;
    }
    return true;
}
