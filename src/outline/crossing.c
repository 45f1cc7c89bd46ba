// crossing.c - a uniform grid over the flat edges, exact tests within its cells; see crossing.h.
#include "outline/crossing.h"

#include <math.h>

typedef struct Edge {
    Point a, b;
    int32_t arc, index;
} Edge;

typedef struct Grid {
    Box box;
    double cell_um;
    int columns, rows;
    int *first;         // columns * rows + 1
    int *edges;
} Grid;

static bool list_edges(const Chains *chains, Arena *scratch, Edge **out, int *out_count, Box *box, Error *err)
{
    size_t count = 0;
    for (size_t i = 0; i < chains->count; i++) count += (size_t)chains->items[i].point_count - 1;
    Edge *edges = arena_new(scratch, Edge, count);
    *box = box_empty();
    if (!edges) return error_memory(err);
    int n = 0;
    for (size_t i = 0; i < chains->count; i++) {
        const Chain *chain = &chains->items[i];
        for (int k = 0; k + 1 < chain->point_count; k++)
            edges[n++] = (Edge){chain->points[k], chain->points[k + 1], (int32_t)i, k};
        for (int k = 0; k < chain->point_count; k++) box_add(box, chain->points[k]);
    }
    *out = edges;
    *out_count = n;
    return true;
}

static int cell_of(double um, double from_um, double cell_um, int count)
{
    int i = (int)floor((um - from_um) / cell_um);
    return i < 0 ? 0 : i >= count ? count - 1 : i;
}

// Columns of one grid row that the edge may touch (a little more, never less).
static void columns_in_row(const Grid *grid, const Edge *e, int row, int *from, int *to)
{
    double top = grid->box.min.y + row * grid->cell_um - 1.0, bottom = top + grid->cell_um + 2.0;
    double x0 = e->a.x, y0 = e->a.y, x1 = e->b.x, y1 = e->b.y;
    double left = fmin(x0, x1), right = fmax(x0, x1);
    if (y0 != y1) {
        double slope = (x1 - x0) / (y1 - y0);
        double xa = x0 + (fmax(top, fmin(y0, y1)) - y0) * slope, xb = x0 + (fmin(bottom, fmax(y0, y1)) - y0) * slope;
        left = fmax(left, fmin(xa, xb) - 1.0);
        right = fmin(right, fmax(xa, xb) + 1.0);
    }
    *from = cell_of(left, grid->box.min.x, grid->cell_um, grid->columns);
    *to = cell_of(right, grid->box.min.x, grid->cell_um, grid->columns);
}

// Counts (fill == false) or writes the edges of every cell.
static void spread_edges(Grid *grid, const Edge *edges, int count, bool fill, int *next)
{
    for (int i = 0; i < count; i++) {
        double low = fmin(edges[i].a.y, edges[i].b.y), high = fmax(edges[i].a.y, edges[i].b.y);
        int row = cell_of(low - 1.0, grid->box.min.y, grid->cell_um, grid->rows);
        int last = cell_of(high + 1.0, grid->box.min.y, grid->cell_um, grid->rows);
        for (; row <= last; row++) {
            int from, to;
            columns_in_row(grid, &edges[i], row, &from, &to);
            for (int c = from; c <= to; c++) {
                int cell = row * grid->columns + c;
                if (fill) grid->edges[next[cell]++] = i;
                else grid->first[cell + 1]++;
            }
        }
    }
}

static bool make_grid(const Edge *edges, int count, Box box, Arena *scratch, Grid *grid, Error *err)
{
    double width = (double)box.max.x - box.min.x + 1, height = (double)box.max.y - box.min.y + 1;
    double cell = fmax(4.0, sqrt(width * height / count));
    cell = fmax(cell, fmax(width, height) / 20000.0);
    *grid = (Grid){.box = box, .cell_um = cell, .columns = (int)(width / cell) + 1, .rows = (int)(height / cell) + 1};
    size_t cells = (size_t)grid->columns * (size_t)grid->rows;
    grid->first = arena_new(scratch, int, cells + 1);
    int *next = arena_new(scratch, int, cells);
    if (!grid->first || !next) return error_memory(err);
    spread_edges(grid, edges, count, false, next);
    for (size_t i = 0; i < cells; i++) {
        grid->first[i + 1] += grid->first[i];
        next[i] = grid->first[i];
    }
    grid->edges = arena_new(scratch, int, grid->first[cells]);
    if (!grid->edges) return error_memory(err);
    spread_edges(grid, edges, count, true, next);
    return true;
}

// The node in which an end of an edge lies, or -1.
static int node_at_end(const CrackMap *map, const Chains *chains, const Edge *e, bool at_b)
{
    if (!at_b && e->index == 0) return map->arcs[e->arc].from;
    if (at_b && e->index + 2 == chains->items[e->arc].point_count) return map->arcs[e->arc].to;
    return -1;
}

// True when the two edges may share this pair of ends: the same node, or the joint of two edges of one arc.
static bool may_share(const CrackMap *map, const Chains *chains, const Edge *e, bool e_at_b, const Edge *f, bool f_at_b)
{
    if (e->arc == f->arc && e->index + e_at_b == f->index + f_at_b) return true;
    int node = node_at_end(map, chains, e, e_at_b);
    return node >= 0 && node == node_at_end(map, chains, f, f_at_b);
}

static bool edges_clash(const CrackMap *map, const Chains *chains, const Edge *e, const Edge *f)
{
    if (!segments_touch(e->a, e->b, f->a, f->b)) return false;
    for (int k = 0; k < 4; k++) {
        bool e_at_b = k & 1, f_at_b = k >> 1;
        Point pe = e_at_b ? e->b : e->a, pf = f_at_b ? f->b : f->a;
        if (!point_equal(pe, pf) || !may_share(map, chains, e, e_at_b, f, f_at_b)) continue;
        Point other_e = e_at_b ? e->a : e->b, other_f = f_at_b ? f->a : f->b;
        return point_on_segment(other_e, f->a, f->b) || point_on_segment(other_f, e->a, e->b);
    }
    return true;
}

// About where two edges that touch do so: on e, where the line of f passes.
static void touching_place(const Edge *e, const Edge *f, double *x, double *y)
{
    double ex = (double)e->b.x - e->a.x, ey = (double)e->b.y - e->a.y, fx = (double)f->b.x - f->a.x, fy = (double)f->b.y - f->a.y;
    double cross = ex * fy - ey * fx, along = 0.5;
    if (cross != 0) along = (((double)f->a.x - e->a.x) * fy - ((double)f->a.y - e->a.y) * fx) / cross;
    if (cross == 0 && point_on_segment(f->a, e->a, e->b)) {
        *x = f->a.x;
        *y = f->a.y;
        return;
    }
    along = along < 0 ? 0 : along > 1 ? 1 : along;
    *x = e->a.x + along * ex;
    *y = e->a.y + along * ey;
}

static void note_clash(const Edge *e, const Edge *f, Clashes *clashes, bool *is_hit)
{
    if (clashes->count + 2 > clashes->capacity) {
        is_hit[e->arc] = is_hit[f->arc] = true;
        return;
    }
    double x, y;
    touching_place(e, f, &x, &y);
    clashes->items[clashes->count++] = (Clash){e->arc, x, y};
    if (f->arc != e->arc) clashes->items[clashes->count++] = (Clash){f->arc, x, y};
}

static bool find_clashes(const CrackMap *map, const Chains *chains, Work *work, Clashes *clashes, bool *is_hit, Error *err)
{
    Edge *edges = NULL;
    int count = 0;
    Box box;
    Grid grid;
    if (!list_edges(chains, &work->scratch, &edges, &count, &box, err)) return false;
    if (!make_grid(edges, count, box, &work->scratch, &grid, err)) return false;
    int64_t tests = 0;
    for (int cell = 0; cell < grid.columns * grid.rows; cell++) {
        for (int i = grid.first[cell]; i < grid.first[cell + 1]; i++) {
            const Edge *e = &edges[grid.edges[i]];
            for (int k = i + 1; k < grid.first[cell + 1]; k++) {
                const Edge *f = &edges[grid.edges[k]];
                if (!edges_clash(map, chains, e, f)) continue;
                note_clash(e, f, clashes, is_hit);
            }
            tests += grid.first[cell + 1] - i;
            if (tests > 65536) {
                tests = 0;
                if (!work_goes_on(work, err)) return false;
            }
        }
    }
    return true;
}

// ---- order round the nodes ----

typedef struct Spoke {
    int arc;
    Point tip;      // the flat point after the node
    int slot;       // direction of the first crack: 0 east, 1 south, 2 west, 3 north
} Spoke;

typedef struct Hub {
    Spoke items[4];
    int count;
    Point at;
} Hub;

static void add_spoke(Hub *hub, Point at, Spoke spoke)
{
    hub->at = at;
    hub->items[hub->count++] = spoke;
}

static int slot_of(Cell from, Cell to)
{
    return to.x > from.x ? 0 : to.y > from.y ? 1 : to.x < from.x ? 2 : 3;
}

static void sort_by_slot(Hub *hub)
{
    for (int i = 1; i < hub->count; i++)
        for (int k = i; k > 0 && hub->items[k].slot < hub->items[k - 1].slot; k--) {
            Spoke s = hub->items[k];
            hub->items[k] = hub->items[k - 1];
            hub->items[k - 1] = s;
        }
}

// True when b comes before c on the way round from a (clockwise on screen), directions seen from the node.
static bool in_turn(Point node, Point a, Point b, Point c)
{
    int ab = point_side(node, a, b), bc = point_side(node, b, c), ca = point_side(node, c, a);
    return (ab > 0) + (bc > 0) + (ca > 0) >= 2;
}

// The fault lies at the node: nearby it the arcs are to follow the pixels, not all along.
static void note_wrong_hub(const Hub *hub, Clashes *clashes, bool *is_hit)
{
    for (int k = 0; k < hub->count; k++) {
        int arc = hub->items[k].arc;
        if (clashes->count < clashes->capacity) clashes->items[clashes->count++] = (Clash){arc, hub->at.x, hub->at.y};
        else is_hit[arc] = true;
    }
}

static bool find_wrong_turns(const CrackMap *map, const Chains *chains, Work *work, Clashes *clashes, bool *is_hit, Error *err)
{
    Hub *hubs = arena_new(&work->scratch, Hub, map->node_count);
    if (!hubs) return error_memory(err);
    for (int i = 0; i < map->arc_count; i++) {
        const CrackArc *arc = &map->arcs[i];
        if (arc->is_loop) continue;
        const Cell *cells = map->corners + arc->first;
        const Chain *chain = &chains->items[i];
        int last = chain->point_count - 1;
        add_spoke(&hubs[arc->from], chain->points[0], (Spoke){i, chain->points[1], slot_of(cells[0], cells[1])});
        add_spoke(&hubs[arc->to], chain->points[last],
                  (Spoke){i, chain->points[last - 1], slot_of(cells[arc->count], cells[arc->count - 1])});
    }
    for (int n = 0; n < map->node_count; n++) {
        Hub *hub = &hubs[n];
        sort_by_slot(hub);
        bool ok = true;
        for (int k = 0; k + 2 < hub->count; k++)
            ok = ok && in_turn(hub->at, hub->items[0].tip, hub->items[k + 1].tip, hub->items[k + 2].tip);
        if (!ok) note_wrong_hub(hub, clashes, is_hit);
    }
    return true;
}

// ---- regions without area ----

static bool find_empty_regions(const CrackMap *map, const Chains *chains, Work *work, bool *is_hit, Error *err)
{
    int64_t *area2 = arena_new(&work->scratch, int64_t, map->region_count);
    if (!area2) return error_memory(err);
    for (int i = 0; i < map->arc_count; i++) {
        const Chain *chain = &chains->items[i];
        uint64_t sum = 0;
        for (int k = 0; k + 1 < chain->point_count; k++) {
            Point a = chain->points[k], b = chain->points[k + 1];
            sum += (uint64_t)((int64_t)a.x * b.y - (int64_t)b.x * a.y);
        }
        area2[map->arcs[i].right] = (int64_t)((uint64_t)area2[map->arcs[i].right] + sum);
        area2[map->arcs[i].left] = (int64_t)((uint64_t)area2[map->arcs[i].left] - sum);
    }
    for (int i = 0; i < map->arc_count; i++) {
        bool left_empty = map->arcs[i].left > 0 && area2[map->arcs[i].left] <= 0;
        bool right_empty = map->arcs[i].right > 0 && area2[map->arcs[i].right] <= 0;
        if (left_empty || right_empty) is_hit[i] = true;
    }
    return true;
}

bool crossing_find(const CrackMap *map, const Chains *chains, Work *work, Clashes *clashes, bool *is_hit, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    bool ok = find_clashes(map, chains, work, clashes, is_hit, err) && find_wrong_turns(map, chains, work, clashes, is_hit, err) &&
              find_empty_regions(map, chains, work, is_hit, err);
    arena_rewind(&work->scratch, mark);
    return ok;
}
