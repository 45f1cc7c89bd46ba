// leftover.c - see leftover.h.
#include "nest/leftover.h"

#include "nest/check.h"
#include "nest/number.h"
#include "shape/row.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define ANGLES 12               // 15 degrees apart: more find little more, each costs a grid
#define LEAST_CELL_MM 1.25      // smaller: slower; larger: narrow places are missed
#define CELLS_A_SIDE 250        // of a large sheet
#define WRITTEN_MM 0.03         // curves bulge over their flat edges, and places are rounded

// Cosines of 0, 15, 30 ... 165 degrees, as places write them.
static const double COSINES[ANGLES] = {1.0, 0.965925826, 0.866025404, 0.707106781, 0.5, 0.258819045,
                                       0.0, -0.258819045, -0.5, -0.707106781, -0.866025404, -0.965925826};

typedef struct Grid {           // a sheet seen at an angle, as cells
    double cos, sin;            // frame x = x cos + y sin, frame y = y cos - x sin, from the sheet's corner
    double left_mm, top_mm;
    int columns, rows;
    unsigned char *taken;
    unsigned short *above;      // free cells from this one upwards, itself counted
    int width_cells, longest;   // the longest free run that is so many cells wide, when is_known; else no shorter than it is now
    bool is_known;
} Grid;

typedef struct Order { double length_mm; int index; } Order;

typedef struct Filling {
    const NestItem *items;
    const NestOptions *options;
    const NestResult *nest;
    const Leftover *rectangles;
    const Order *order;         // longest first
    Grid empty[ANGLES];         // a sheet on which nothing lies: all sheets are alike
    int item_count, count;
    double cell_mm;
    NestPlace *out;
    Work *work;
} Filling;

// ---- cells ----

static void take_run(Grid *grid, int row, double from_mm, double to_mm, double cell)
{
    if (row < 0 || row >= grid->rows) return;
    double first = floor((from_mm - grid->left_mm) / cell), last = floor((to_mm - grid->left_mm) / cell);
    int from = first < 0 ? 0 : (int)first, to = last >= grid->columns ? grid->columns - 1 : (int)last;
    if (to >= from) memset(&grid->taken[(size_t)row * (size_t)grid->columns + (size_t)from], 1, (size_t)(to - from + 1));
}

// Every cell that comes within `reach` of the edge; some more.
static void take_edge(Grid *grid, const double a[2], const double b[2], double reach, double cell)
{
    double rise = b[1] - a[1];
    int first = (int)floor((fmin(a[1], b[1]) - reach - grid->top_mm) / cell), last = (int)floor((fmax(a[1], b[1]) + reach - grid->top_mm) / cell);
    if (first < 0) first = 0;
    if (last >= grid->rows) last = grid->rows - 1;
    for (int row = first; row <= last; row++) {
        double t0 = 0.0, t1 = 1.0, top = grid->top_mm + row * cell;
        if (fabs(rise) > 1e-9) {
            double u = (top - reach - a[1]) / rise, v = (top + cell + reach - a[1]) / rise;
            t0 = fmax(0.0, fmin(u, v));
            t1 = fmin(1.0, fmax(u, v));
        }
        double x0 = a[0] + t0 * (b[0] - a[0]), x1 = a[0] + t1 * (b[0] - a[0]);
        take_run(grid, row, fmin(x0, x1) - reach, fmax(x0, x1) + reach, cell);
    }
}

static void in_frame(const Grid *grid, double x, double y, double out[2])
{
    out[0] = x * grid->cos + y * grid->sin;
    out[1] = y * grid->cos - x * grid->sin;
}

static void on_sheet(const double m[6], Point p, double out[2])
{
    double x = p.x / UM_PER_MM, y = p.y / UM_PER_MM;
    out[0] = m[0] * x + m[2] * y + m[4];
    out[1] = m[1] * x + m[3] * y + m[5];
}

// The rings in the grid's frame; *high: how far down they reach.
static void place_rings(const Grid *grid, const Rings *rings, const double to_sheet[6], double (*points)[2], int *first, double *low, double *high)
{
    int used = 0;
    *low = INFINITY;
    *high = -INFINITY;
    for (int r = 0; r < rings->count; r++) {
        for (int i = 0; i < rings->items[r].count; i++, used++) {
            double at[2];
            on_sheet(to_sheet, rings->items[r].points[i], at);
            in_frame(grid, at[0], at[1], points[used]);
            *low = fmin(*low, points[used][1]);
            *high = fmax(*high, points[used][1]);
        }
        first[r + 1] = used;
    }
}

// The material of an item, and the gap round it.
static bool take_rings(const Filling *filling, Grid *grid, const Rings *rings, const double to_sheet[6], Error *err)
{
    Arena *scratch = &filling->work->scratch;
    ArenaMark mark = arena_mark(scratch);
    double reach = filling->options->gap_mm + WRITTEN_MM, cell = filling->cell_mm, low, high;
    double (*points)[2] = arena_take(scratch, (size_t)rings_point_count(rings), sizeof *points);
    int *first = arena_new(scratch, int, rings->count + 1);
    RowTable table;
    if (!points || !first) return error_memory(err);
    place_rings(grid, rings, to_sheet, points, first, &low, &high);
    for (int r = 0; r < rings->count; r++)
        for (int i = first[r]; i < first[r + 1]; i++) take_edge(grid, points[i], points[i + 1 < first[r + 1] ? i + 1 : first[r]], reach, cell);
    if (!rows_cross((const double (*)[2])points, first, rings->count, (RowPlaces){grid->top_mm, cell, grid->rows}, scratch, &table, err)) return false;
    int from = (int)fmax(0.0, floor((low - grid->top_mm) / cell)), to = (int)fmin(grid->rows - 1.0, floor((high - grid->top_mm) / cell));
    for (int row = from; row <= to; row++)
        for (int i = table.first[row]; i + 1 < table.first[row + 1]; i += 2) take_run(grid, row, table.x[i], table.x[i + 1], cell);
    arena_rewind(scratch, mark);
    return work_goes_on(filling->work, err);
}

// Outside the usable box, or on a corner mark.
static bool is_lost(const NestOptions *options, double x, double y)
{
    x -= options->origin_mm[0];
    y -= options->origin_mm[1];
    double w = options->space.width_mm, h = options->space.height_mm, corner = options->space.corner_mm + 0.01;
    return x < 0.001 || y < 0.001 || x > w - 0.001 || y > h - 0.001 || x + y < corner || x + y > w + h - corner;
}

// From which to which corner of the cells a row is not lost: one run, for what is usable is convex.
typedef struct Usable { int first, last; } Usable;

static bool is_lost_corner(const Filling *filling, const Grid *grid, int row, int column)
{
    double u = grid->left_mm + column * filling->cell_mm, v = grid->top_mm + row * filling->cell_mm;
    return is_lost(filling->options, u * grid->cos - v * grid->sin, u * grid->sin + v * grid->cos);
}

static Usable usable_corners(const Filling *filling, const Grid *grid, int row)
{
    Usable usable = {0, grid->columns};
    while (usable.first <= usable.last && is_lost_corner(filling, grid, row, usable.first)) usable.first++;
    while (usable.first <= usable.last && is_lost_corner(filling, grid, row, usable.last)) usable.last--;
    return usable;
}

static void take_lost(const Filling *filling, Grid *grid)
{
    memset(grid->taken, 1, (size_t)grid->columns * (size_t)grid->rows);
    Usable upper = usable_corners(filling, grid, 0);
    for (int row = 0; row < grid->rows; row++) {
        Usable lower = usable_corners(filling, grid, row + 1);
        int first = upper.first > lower.first ? upper.first : lower.first, last = upper.last < lower.last ? upper.last : lower.last;
        if (last > first) memset(&grid->taken[(size_t)row * (size_t)grid->columns + (size_t)first], 0, (size_t)(last - first));
        upper = lower;
    }
}

// The frame of a sheet seen at this angle, and what of it no sheet gives.
static bool make_empty(Filling *filling, int angle, Error *err)
{
    const NestOptions *options = filling->options;
    Grid *grid = &filling->empty[angle];
    double low[2] = {INFINITY, INFINITY}, high[2] = {-INFINITY, -INFINITY};
    *grid = (Grid){.cos = COSINES[angle], .sin = COSINES[angle < ANGLES / 2 ? ANGLES / 2 - angle : angle - ANGLES / 2]};
    for (int k = 0; k < 4; k++) {
        double at[2];
        in_frame(grid, options->origin_mm[0] + (k % 2 ? options->space.width_mm : 0.0), options->origin_mm[1] + (k / 2 ? options->space.height_mm : 0.0), at);
        for (int i = 0; i < 2; i++) low[i] = fmin(low[i], at[i]), high[i] = fmax(high[i], at[i]);
    }
    grid->left_mm = low[0];
    grid->top_mm = low[1];
    grid->columns = (int)ceil((high[0] - low[0]) / filling->cell_mm);
    grid->rows = (int)ceil((high[1] - low[1]) / filling->cell_mm);
    grid->taken = arena_new(&filling->work->scratch, unsigned char, (size_t)grid->columns * (size_t)grid->rows);
    if (!grid->taken) return error_memory(err);
    take_lost(filling, grid);
    return work_goes_on(filling->work, err);
}

static bool open_grid(const Filling *filling, int angle, Grid *grid, Error *err)
{
    *grid = filling->empty[angle];
    size_t cells = (size_t)grid->columns * (size_t)grid->rows;
    grid->taken = arena_copy(&filling->work->scratch, grid->taken, cells, sizeof *grid->taken);
    grid->above = arena_new(&filling->work->scratch, unsigned short, cells);
    return (grid->taken && grid->above) || error_memory(err);
}

static void count_above(Grid *grid)
{
    for (int row = 0; row < grid->rows; row++)
        for (int column = 0; column < grid->columns; column++) {
            size_t i = (size_t)row * (size_t)grid->columns + (size_t)column;
            grid->above[i] = grid->taken[i] ? 0 : (unsigned short)(row > 0 ? grid->above[i - (size_t)grid->columns] + 1 : 1);
        }
}

// The shortest free run of at least `least` cells; false when there is none. With least = INT_MAX only the longest is found.
typedef struct Found { int row, column, length; } Found;

static bool shortest_run(Grid *grid, int wide, int least, Found *out)
{
    *out = (Found){0, 0, 0};
    grid->longest = 0;
    for (int row = wide - 1; row < grid->rows; row++) {
        const unsigned short *above = &grid->above[(size_t)row * (size_t)grid->columns];
        for (int column = 0, run = 0; column <= grid->columns; column++) {
            if (column < grid->columns && above[column] >= wide) {
                run++;
                continue;
            }
            if (run > grid->longest) grid->longest = run;
            if (run >= least && (out->length == 0 || run < out->length)) *out = (Found){row - wide + 1, column - run, run};
            run = 0;
        }
    }
    grid->width_cells = wide;
    grid->is_known = true;
    return out->length > 0;
}

// ---- rectangles ----

static double side_mm(const Leftover *rectangle, int side)
{
    return point_distance_mm(rectangle->corners[side], rectangle->corners[side + 1]);
}

static void place_at(const Filling *filling, const Grid *grid, const Found *found, int index, int sheet)
{
    const Point *c = filling->rectangles[index].corners;
    double length = side_mm(&filling->rectangles[index], 0) * UM_PER_MM;
    double dx = (c[1].x - c[0].x) / length, dy = (c[1].y - c[0].y) / length;
    double cos = place_number(dx * grid->cos + dy * grid->sin), sin = place_number(dx * grid->sin - dy * grid->cos);
    double u = grid->left_mm + found->column * filling->cell_mm + WRITTEN_MM / 3, v = grid->top_mm + found->row * filling->cell_mm + WRITTEN_MM / 3;
    double x = c[0].x / UM_PER_MM, y = c[0].y / UM_PER_MM;
    NestPlace *place = &filling->out[index];
    *place = (NestPlace){sheet, {cos, sin, place_number(-sin), cos, 0.0, 0.0}};
    place->to_sheet[4] = place_number(u * grid->cos - v * grid->sin - cos * x + sin * y);
    place->to_sheet[5] = place_number(u * grid->sin + v * grid->cos - sin * x - cos * y);
}

static bool take_placed(const Filling *filling, Grid *grids, int index, Error *err)
{
    Ring ring = {(Point *)filling->rectangles[index].corners, 4};
    const Rings one = {&ring, 1};
    for (int a = 0; a < ANGLES; a++) {
        if (!take_rings(filling, &grids[a], &one, filling->out[index].to_sheet, err)) return false;
        count_above(&grids[a]);
        grids[a].is_known = false;
    }
    return true;
}

// The grid whose longest run is the shortest that takes it, and the run there.
static bool find_place(const Filling *filling, Grid *grids, int index, int *out_grid, Found *out)
{
    int wide = (int)ceil((side_mm(&filling->rectangles[index], 1) + WRITTEN_MM) / filling->cell_mm);
    int least = (int)ceil((side_mm(&filling->rectangles[index], 0) + WRITTEN_MM) / filling->cell_mm);
    *out_grid = -1;
    for (int a = 0; a < ANGLES; a++) {
        Found none;
        bool was_short = grids[a].width_cells > 0 && grids[a].width_cells <= wide && grids[a].longest < least;
        if (was_short) continue; // what is wider is no longer, nor is there more room now
        if (!grids[a].is_known || grids[a].width_cells != wide) shortest_run(&grids[a], wide, grids[a].columns + 1, &none);
        if (grids[a].longest >= least && (*out_grid < 0 || grids[a].longest < grids[*out_grid].longest)) *out_grid = a;
    }
    return *out_grid >= 0 && shortest_run(&grids[*out_grid], wide, least, out);
}

static bool fill_sheet(const Filling *filling, int sheet, Error *err)
{
    Grid grids[ANGLES];
    for (int a = 0; a < ANGLES; a++) {
        if (!open_grid(filling, a, &grids[a], err)) return false;
        for (int i = 0; i < filling->item_count; i++)
            if (filling->nest->places[i].sheet == sheet &&
                !take_rings(filling, &grids[a], filling->items[i].rings, filling->nest->places[i].to_sheet, err))
                return false;
        count_above(&grids[a]);
    }
    for (int i = 0; i < filling->count; i++) {
        int index = filling->order[i].index, grid;
        Found found;
        if (filling->out[index].sheet >= 0 || !find_place(filling, grids, index, &grid, &found)) continue;
        if (!work_goes_on(filling->work, err)) return false;
        place_at(filling, &grids[grid], &found, index, sheet);
        if (!take_placed(filling, grids, index, err)) return false;
    }
    return true;
}

// ---- the last word ----

static bool check_all(const Filling *filling, Error *err)
{
    Arena *scratch = &filling->work->scratch;
    int total = filling->item_count + filling->count, used = filling->item_count;
    NestItem *items = arena_new(scratch, NestItem, total);
    NestPlace *places = arena_new(scratch, NestPlace, total);
    Ring *rings = arena_new(scratch, Ring, filling->count);
    Rings *sets = arena_new(scratch, Rings, filling->count);
    int *from = arena_new(scratch, int, total);
    bool *bad = arena_new(scratch, bool, total);
    if (!items || !places || !rings || !sets || !from || !bad) return error_memory(err);
    memcpy(items, filling->items, (size_t)filling->item_count * sizeof *items);
    memcpy(places, filling->nest->places, (size_t)filling->item_count * sizeof *places);
    for (int i = 0; i < filling->count; i++) {
        if (filling->out[i].sheet < 0) continue;
        rings[i] = (Ring){(Point *)filling->rectangles[i].corners, 4};
        sets[i] = (Rings){&rings[i], 1};
        items[used] = (NestItem){.rings = &sets[i], .fit = {1.0, 0.0}};
        places[used] = filling->out[i];
        from[used++] = i;
    }
    if (used == filling->item_count) return true;
    if (!nest_check(items, used, filling->options, places, filling->work, bad, err)) return false;
    for (int i = filling->item_count; i < used; i++)
        if (bad[i]) filling->out[from[i]].sheet = -1;
    return true;
}

static int longest_first(const void *a, const void *b)
{
    const Order *p = a, *q = b;
    if (p->length_mm != q->length_mm) return p->length_mm > q->length_mm ? -1 : 1;
    return (p->index > q->index) - (p->index < q->index);
}

static bool lay(Filling *filling, Error *err)
{
    Arena *scratch = &filling->work->scratch;
    Order *order = arena_new(scratch, Order, filling->count);
    if (!order) return error_memory(err);
    for (int i = 0; i < filling->count; i++) {
        order[i] = (Order){side_mm(&filling->rectangles[i], 0), i};
        filling->out[i] = (NestPlace){.sheet = -1};
    }
    if (filling->count > 1) qsort(order, (size_t)filling->count, sizeof *order, longest_first);
    filling->order = order;
    for (int a = 0; a < ANGLES; a++)
        if (!make_empty(filling, a, err)) return false;
    for (int sheet = 0; sheet < filling->nest->sheet_count; sheet++) {
        ArenaMark mark = arena_mark(scratch);
        bool done = fill_sheet(filling, sheet, err);
        arena_rewind(scratch, mark);
        if (!done) return false;
    }
    return check_all(filling, err);
}

bool leftover_lay(const NestItem *items, int item_count, const NestOptions *options, const NestResult *nest,
                  const Leftover *rectangles, int count, Work *work, NestPlace *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    double cell = sqrt(options->space.width_mm * options->space.height_mm) / CELLS_A_SIDE;
    Filling filling = {.items = items, .options = options, .nest = nest, .rectangles = rectangles, .item_count = item_count, .count = count,
                       .cell_mm = cell < LEAST_CELL_MM ? LEAST_CELL_MM : cell, .out = out, .work = work};
    bool done = lay(&filling, err);
    arena_rewind(&work->scratch, mark);
    return done;
}
