// label_map.c - random maps of labels with shared arcs, and random rings, for property tests.
#include "support/label_map.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>

// Ways along the grid of corners: right, down, left, up.
static const int step_x[4] = {1, 0, -1, 0}, step_y[4] = {0, 1, 0, -1};

typedef struct Grid {
    LabelMap *map;
    Point *corners; // (columns + 1) x (rows + 1)
    bool *done;     // sides that lie on an arc: corner * 2 + (0 right, 1 down)
    Rng *rng;
    int cell_um;
    MapStyle style;
    Arena *keep;
} Grid;

static int label_at(const LabelMap *map, int x, int y)
{
    return x < 0 || y < 0 || x >= map->columns || y >= map->rows ? -1 : map->labels[y * map->columns + x];
}

// The labels right and left of the side that leaves corner (x, y) in way d.
static int right_of(const LabelMap *map, int x, int y, int d)
{
    static const int cell_x[4] = {0, -1, -1, 0}, cell_y[4] = {0, 0, -1, -1};
    return label_at(map, x + cell_x[d], y + cell_y[d]);
}

static int left_of(const LabelMap *map, int x, int y, int d)
{
    static const int cell_x[4] = {0, 0, -1, -1}, cell_y[4] = {-1, 0, 0, -1};
    return label_at(map, x + cell_x[d], y + cell_y[d]);
}

static bool is_border(const LabelMap *map, int x, int y, int d)
{
    return right_of(map, x, y, d) != left_of(map, x, y, d);
}

static int degree(const LabelMap *map, int x, int y)
{
    int n = 0;
    for (int d = 0; d < 4; d++) n += is_border(map, x, y, d);
    return n;
}

static bool *side_done(Grid *grid, int x, int y, int d)
{
    int from_x = d == 2 ? x - 1 : x, from_y = d == 3 ? y - 1 : y;
    return &grid->done[2 * (from_y * (grid->map->columns + 1) + from_x) + d % 2];
}

static Point corner(const Grid *grid, int x, int y)
{
    return grid->corners[y * (grid->map->columns + 1) + x];
}

static Curve side_curve(Grid *grid, Point a, Point b)
{
    if (grid->style != MAP_CURVED) return curve_line(a, b);
    int most = grid->cell_um / 20;
    Point p1 = {a.x + (b.x - a.x) / 3, a.y + (b.y - a.y) / 3}, p2 = {b.x - (b.x - a.x) / 3, b.y - (b.y - a.y) / 3};
    p1.x += (int)rng_below(grid->rng, (uint32_t)(2 * most + 1)) - most;
    p1.y += (int)rng_below(grid->rng, (uint32_t)(2 * most + 1)) - most;
    p2.x += (int)rng_below(grid->rng, (uint32_t)(2 * most + 1)) - most;
    p2.y += (int)rng_below(grid->rng, (uint32_t)(2 * most + 1)) - most;
    return (Curve){a, p1, p2, b, false};
}

// Follows the border from a corner until the next node, or until it is back.
static void trace(Grid *grid, int x, int y, int d)
{
    LabelMap *map = grid->map;
    Curve *curves = arena_new(grid->keep, Curve, 2 * (map->columns + 1) * (map->rows + 1));
    int n = 0, start_x = x, start_y = y;
    MapArc arc = {map->arc_count, left_of(map, x, y, d), right_of(map, x, y, d)};
    for (;;) {
        *side_done(grid, x, y, d) = true;
        curves[n++] = side_curve(grid, corner(grid, x, y), corner(grid, x + step_x[d], y + step_y[d]));
        x += step_x[d];
        y += step_y[d];
        if (degree(map, x, y) != 2 || (x == start_x && y == start_y)) break;
        int back = (d + 2) % 4;
        for (d = 0; d == back || !is_border(map, x, y, d);) d++;
    }
    Chain chain;
    Error err;
    int index;
    bool ok = chain_make(curves, n, x == start_x && y == start_y, grid->keep, &chain, &err) &&
              chains_add(&map->chains, &chain, grid->keep, &index, &err);
    assert(ok);
    (void)ok;
    map->arcs[map->arc_count++] = arc;
}

static void shake_corners(Grid *grid)
{
    int wide = grid->map->columns + 1, high = grid->map->rows + 1;
    int most = grid->style == MAP_STAIRS ? 0 : grid->cell_um * 12 / 100;
    for (int i = 0; i < wide * high; i++) {
        int dx = (int)rng_below(grid->rng, (uint32_t)(2 * most + 1)) - most;
        int dy = (int)rng_below(grid->rng, (uint32_t)(2 * most + 1)) - most;
        grid->corners[i] = (Point){i % wide * grid->cell_um + dx, i / wide * grid->cell_um + dy};
    }
}

static void trace_all(Grid *grid)
{
    LabelMap *map = grid->map;
    for (int nodes = 1; nodes >= 0; nodes--) // arcs between nodes first, then loops without any
        for (int y = 0; y <= map->rows; y++)
            for (int x = 0; x <= map->columns; x++)
                for (int d = 0; d < 4; d++)
                    if (is_border(map, x, y, d) && !*side_done(grid, x, y, d) && (!nodes || degree(map, x, y) != 2))
                        trace(grid, x, y, d);
}

LabelMap label_map_of(const int *labels, int columns, int rows, int cell_um, MapStyle style, Rng *rng, Arena *keep)
{
    LabelMap map = {.columns = columns, .rows = rows};
    int corners = (columns + 1) * (rows + 1);
    map.labels = arena_copy(keep, labels, (size_t)(columns * rows), sizeof *labels);
    map.arcs = arena_new(keep, MapArc, 2 * corners);
    Grid grid = {&map, arena_new(keep, Point, corners), arena_new(keep, bool, 2 * corners), rng, cell_um, style, keep};
    for (int i = 0; i < columns * rows; i++)
        if (labels[i] >= map.label_count) map.label_count = labels[i] + 1;
    shake_corners(&grid);
    trace_all(&grid);
    return map;
}

LabelMap label_map_make(Rng *rng, int columns, int rows, int label_count, int cell_um, MapStyle style, Arena *keep)
{
    int *labels = arena_new(keep, int, columns *rows);
    for (int i = 0; i < columns * rows; i++) {
        bool as_before = i > 0 && rng_below(rng, 3) > 0; // larger patches, holes and touching corners all come up
        int before = i >= columns && rng_below(rng, 2) ? i - columns : i - 1;
        labels[i] = as_before ? labels[before] : (int)rng_below(rng, (uint32_t)label_count);
    }
    return label_map_of(labels, columns, rows, cell_um, style, rng, keep);
}

static bool in_set(int label, uint32_t set)
{
    return label >= 0 && (set >> label & 1);
}

Area label_map_union(const LabelMap *map, uint32_t set, Arena *keep)
{
    Link *links = arena_new(keep, Link, map->arc_count);
    int n = 0;
    for (int i = 0; i < map->arc_count; i++) {
        bool left = in_set(map->arcs[i].left, set), right = in_set(map->arcs[i].right, set);
        if (left == right) continue;
        Link link = {i, 0, map->chains.items[i].point_count - 1};
        links[n++] = right ? link : link_reversed(link);
    }
    Area area;
    Error err;
    bool ok = area_from_links(&map->chains, links, n, keep, &area, &err);
    assert(ok);
    (void)ok;
    return area;
}

int64_t label_map_area2(const LabelMap *map, uint32_t set)
{
    int64_t sum = 0;
    for (int i = 0; i < map->arc_count; i++) {
        int weight = (int)in_set(map->arcs[i].right, set) - (int)in_set(map->arcs[i].left, set);
        const Chain *chain = &map->chains.items[i];
        for (int j = 0; weight && j + 1 < chain->point_count; j++)
            sum += weight * point_cross((Point){0, 0}, chain->points[j], chain->points[j + 1]);
    }
    return sum;
}

Ring random_star(Rng *rng, Point centre, int corners, int least, int most, Arena *keep)
{
    Ring ring = {arena_new(keep, Point, corners), 0};
    for (int i = 0; i < corners; i++) {
        double angle = 6.283185307179586 * (i + 0.8 * rng_unit(rng)) / corners,
               r = least + (most - least) * rng_unit(rng);
        Point p = {centre.x + (int32_t)round(r * cos(angle)), centre.y + (int32_t)round(r * sin(angle))};
        if (ring.count == 0 || !point_equal(p, ring.points[ring.count - 1])) ring.points[ring.count++] = p;
    }
    return ring;
}
