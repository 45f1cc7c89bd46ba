// grid_map.c - flood fill, crack tracing, arcs; see grid_map.h.
#include "support/grid_map.h"

#include <assert.h>
#include <stdio.h>
#include <string.h>

typedef struct Grid {
    const uint8_t *labels;
    int width, height;
    int *region; // of each cell; region 0 is outside
    int region_count;
    double cell_mm, offset_mm;
    int first_column, first_row; // of the figure's box
} Grid;

static int region_at(const Grid *grid, int x, int y)
{
    if (x < 0 || y < 0 || x >= grid->width || y >= grid->height) return 0;
    return grid->region[y * grid->width + x];
}

static void fill(Grid *grid, int x, int y, int region, int *stack)
{
    int depth = 0, label = grid->labels[y * grid->width + x];
    stack[depth++] = y * grid->width + x;
    grid->region[y * grid->width + x] = region;
    while (depth > 0) {
        int at = stack[--depth], ax = at % grid->width, ay = at / grid->width;
        static const int step[4][2] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}};
        for (int i = 0; i < 4; i++) {
            int bx = ax + step[i][0], by = ay + step[i][1];
            if (bx < 0 || by < 0 || bx >= grid->width || by >= grid->height) continue;
            int b = by * grid->width + bx;
            if (grid->region[b] >= 0 || grid->labels[b] != label) continue;
            grid->region[b] = region;
            stack[depth++] = b;
        }
    }
}

static void find_regions(Grid *grid, int *region_label, Arena *keep)
{
    int *stack = arena_new(keep, int, grid->width * grid->height);
    memset(grid->region, 0xff, (size_t)(grid->width * grid->height) * sizeof *grid->region);
    for (int y = 0; y < grid->height; y++)
        for (int x = 0; x < grid->width; x++) {
            bool rim = x == 0 || y == 0 || x == grid->width - 1 || y == grid->height - 1;
            int at = y * grid->width + x;
            if (rim && grid->labels[at] == 0 && grid->region[at] < 0) fill(grid, x, y, 0, stack);
        }
    grid->region_count = 1;
    for (int y = 0; y < grid->height; y++)
        for (int x = 0; x < grid->width; x++) {
            int at = y * grid->width + x;
            if (grid->region[at] >= 0) continue;
            region_label[grid->region_count] = grid->labels[at];
            fill(grid, x, y, grid->region_count++, stack);
        }
}

// Directions: 0 east, 1 south, 2 west, 3 north. The cell right and left of the step from grid point (x, y).
static const int dx[4] = {1, 0, -1, 0}, dy[4] = {0, 1, 0, -1};

static void sides(const Grid *grid, int x, int y, int direction, int *left, int *right)
{
    static const int right_cell[4][2] = {{0, 0}, {-1, 0}, {-1, -1}, {0, -1}};
    static const int left_cell[4][2] = {{0, -1}, {0, 0}, {-1, 0}, {-1, -1}};
    *right = region_at(grid, x + right_cell[direction][0], y + right_cell[direction][1]);
    *left = region_at(grid, x + left_cell[direction][0], y + left_cell[direction][1]);
}

static bool has_edge(const Grid *grid, int x, int y, int direction)
{
    int left, right;
    sides(grid, x, y, direction, &left, &right);
    return left != right;
}

static int degree(const Grid *grid, int x, int y)
{
    int count = 0;
    for (int i = 0; i < 4; i++) count += has_edge(grid, x, y, i);
    return count;
}

static Point grid_point(const Grid *grid, int x, int y)
{
    return point_from_mm(grid->offset_mm + (x - grid->first_column) * grid->cell_mm,
                         grid->offset_mm + (y - grid->first_row) * grid->cell_mm);
}

typedef struct Tracer {
    const Grid *grid;
    bool *used; // (y * (width + 1) + x) * 4 + direction, both ways of an edge
    int *node;  // of each grid point, or -1
    Outlines *out;
    Arena *keep;
} Tracer;

static int node_at(Tracer *tracer, int x, int y)
{
    int at = y * (tracer->grid->width + 1) + x;
    if (tracer->node[at] < 0) {
        tracer->node[at] = tracer->out->node_count;
        tracer->out->nodes[tracer->out->node_count++] = grid_point(tracer->grid, x, y);
    }
    return tracer->node[at];
}

static void use(Tracer *tracer, int x, int y, int direction)
{
    int width = tracer->grid->width + 1;
    tracer->used[(y * width + x) * 4 + direction] = true;
    tracer->used[((y + dy[direction]) * width + x + dx[direction]) * 4 + (direction + 2) % 4] = true;
}

static void trace(Tracer *tracer, int x, int y, int direction)
{
    const Grid *grid = tracer->grid;
    Point *points = arena_new(tracer->keep, Point, (grid->width + 1) * (grid->height + 1) + 2);
    int count = 0, x0 = x, y0 = y, turn = -1;
    Arc arc = {.from = node_at(tracer, x, y)};
    sides(grid, x, y, direction, &arc.left, &arc.right);
    for (;;) {
        if (direction != turn) points[count++] = grid_point(grid, x, y);
        turn = direction;
        use(tracer, x, y, direction);
        x += dx[direction];
        y += dy[direction];
        if ((x == x0 && y == y0) || degree(grid, x, y) > 2) break;
        for (int i = 0; i < 4; i++)
            if (i != (direction + 2) % 4 && has_edge(grid, x, y, i)) {
                direction = i;
                break;
            }
    }
    arc.to = node_at(tracer, x, y);
    if (arc.from != arc.to)
        points[count++] = grid_point(grid, x, y); // a closed chain repeats its first point by itself
    Error err = {0};
    Chain chain;
    int index;
    bool made = chain_from_points(points, count, arc.from == arc.to, tracer->keep, &chain, &err) &&
                chains_add(&tracer->out->chains, &chain, tracer->keep, &index, &err);
    assert(made);
    (void)made;
    tracer->out->arcs[tracer->out->arc_count++] = arc;
}

static void trace_all(Tracer *tracer, bool nodes_only)
{
    const Grid *grid = tracer->grid;
    for (int y = 0; y <= grid->height; y++)
        for (int x = 0; x <= grid->width; x++)
            for (int i = 0; i < 4; i++) {
                bool used = tracer->used[(y * (grid->width + 1) + x) * 4 + i];
                if (used || !has_edge(grid, x, y, i) || (nodes_only && degree(grid, x, y) < 3)) continue;
                trace(tracer, x, y, i);
            }
}

static void fill_regions(Outlines *out, const Grid *grid, const int *region_label, Arena *keep)
{
    out->region_count = grid->region_count;
    out->regions = arena_new(keep, Region, grid->region_count);
    Link *links = arena_new(keep, Link, 2 * out->arc_count);
    for (int r = 1; r < grid->region_count; r++) {
        Region *region = &out->regions[r];
        region->label = region_label[r];
        int count = 0;
        for (int i = 0; i < out->arc_count; i++) {
            Link link = {i, 0, out->chains.items[i].point_count - 1};
            if (out->arcs[i].right == r) links[count++] = link;
            if (out->arcs[i].left == r) links[count++] = link_reversed(link);
        }
        Error err = {0};
        bool made = area_from_links(&out->chains, links, count, keep, &region->area, &err);
        assert(made);
        (void)made;
        region->area_mm2 = area_mm2(&out->chains, &region->area);
    }
    for (int i = 0; i < grid->width * grid->height; i++) {
        Region *region = &out->regions[grid->region[i]];
        if (region->area_px++ == 0)
            region->inside =
                point_from_mm(grid->offset_mm + (i % grid->width - grid->first_column + 0.5) * grid->cell_mm,
                              grid->offset_mm + (i / grid->width - grid->first_row + 0.5) * grid->cell_mm);
    }
}

static void fill_colours(Outlines *out, Arena *keep)
{
    static const Srgb8 palette[9] = {{29, 47, 90},  {220, 60, 50},   {240, 200, 60}, {70, 150, 90}, {245, 240, 225},
                                     {120, 80, 50}, {150, 110, 190}, {90, 180, 210}, {40, 40, 40}};
    for (int i = 1; i < out->region_count; i++)
        if (out->regions[i].label > out->colour_count) out->colour_count = out->regions[i].label;
    out->colours = arena_new(keep, SeparationColour, out->colour_count);
    for (int i = 0; i < out->colour_count; i++) {
        out->colours[i].colour = palette[i % 9];
        snprintf(out->colours[i].name, sizeof out->colours[i].name, "colour-%d", i + 1);
    }
    for (int i = 1; i < out->region_count; i++)
        if (out->regions[i].label > 0) {
            out->colours[out->regions[i].label - 1].area_px += out->regions[i].area_px;
            out->colours[out->regions[i].label - 1].region_count++;
        }
}

static void find_box(Grid *grid, Outlines *out)
{
    int x0 = grid->width, y0 = grid->height, x1 = 0, y1 = 0;
    for (int y = 0; y < grid->height; y++)
        for (int x = 0; x < grid->width; x++) {
            if (grid->labels[y * grid->width + x] == 0) continue;
            if (x < x0) x0 = x;
            if (y < y0) y0 = y;
            if (x + 1 > x1) x1 = x + 1;
            if (y + 1 > y1) y1 = y + 1;
        }
    grid->first_column = x0;
    grid->first_row = y0;
    out->origin_px[0] = x0;
    out->origin_px[1] = y0;
    out->width_mm = (x1 - x0) * grid->cell_mm;
    out->height_mm = (y1 - y0) * grid->cell_mm;
}

Outlines grid_map_labels(const uint8_t *labels, int width, int height, double cell_mm, double offset_mm, Arena *keep)
{
    Outlines out = {.mm_per_px = cell_mm, .offset_mm = offset_mm};
    Grid grid = {.labels = labels, .width = width, .height = height, .cell_mm = cell_mm, .offset_mm = offset_mm};
    int cells = width * height, points = (width + 1) * (height + 1);
    grid.region = arena_new(keep, int, cells);
    int *region_label = arena_new(keep, int, cells + 1);
    find_regions(&grid, region_label, keep);
    find_box(&grid, &out);
    out.arcs = arena_new(keep, Arc, 2 * points);
    out.nodes = arena_new(keep, Point, points);
    Tracer tracer = {&grid, arena_new(keep, bool, 4 * points), arena_new(keep, int, points), &out, keep};
    memset(tracer.node, 0xff, (size_t)points * sizeof *tracer.node);
    trace_all(&tracer, true);
    trace_all(&tracer, false);
    fill_regions(&out, &grid, region_label, keep);
    fill_colours(&out, keep);
    return out;
}

Outlines grid_map(const char *const *lines, int line_count, double cell_mm, double offset_mm, Arena *keep)
{
    int width = (int)strlen(lines[0]);
    uint8_t *labels = arena_new(keep, uint8_t, width * line_count);
    for (int y = 0; y < line_count; y++)
        for (int x = 0; x < width; x++) labels[y * width + x] = lines[y][x] == '.' ? 0 : (uint8_t)(lines[y][x] - '0');
    return grid_map_labels(labels, width, line_count, cell_mm, offset_mm, keep);
}
