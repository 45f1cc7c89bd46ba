// turned.c - see turned.h.
#include "nest/turned.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SAME_TURN 1e-9

typedef struct Turns {
    Fit items[MOST_TURNED];
    int count;
} Turns;

// --- the outline, simplified ---

static double from_line2(Point p, Point a, Point b)
{
    double dx = (double)b.x - a.x, dy = (double)b.y - a.y, px = (double)p.x - a.x, py = (double)p.y - a.y;
    double length2 = dx * dx + dy * dy;
    double t = length2 > 0 ? (px * dx + py * dy) / length2 : 0;
    t = t < 0 ? 0 : t > 1 ? 1 : t;
    double ex = px - t * dx, ey = py - t * dy;
    return ex * ex + ey * ey;
}

// Keeps points between first and last (indices that may run over the end) so that all dropped ones lie within the tolerance.
static void keep_between(const Ring *ring, int first, int last, bool *kept, int *stack)
{
    const double within2 = SIMPLE_MM * UM_PER_MM * SIMPLE_MM * UM_PER_MM;
    int depth = 0;
    stack[depth++] = first;
    stack[depth++] = last;
    while (depth > 0) {
        int to = stack[--depth], from = stack[--depth], far = -1;
        double most2 = within2;
        Point a = ring->points[from % ring->count], b = ring->points[to % ring->count];
        for (int i = from + 1; i < to; i++) {
            double d2 = from_line2(ring->points[i % ring->count], a, b);
            if (d2 > most2) {
                most2 = d2;
                far = i;
            }
        }
        if (far < 0) continue;
        kept[far % ring->count] = true;
        stack[depth++] = from;
        stack[depth++] = far;
        stack[depth++] = far;
        stack[depth++] = to;
    }
}

// U. Ramer 1972, D. Douglas and T. Peucker 1973: from the first point and the one farthest from it.
static bool simplify_ring(const Ring *ring, Work *work, bool *kept, Error *err)
{
    int far = 0;
    double most = -1;
    for (int i = 0; i < ring->count; i++) {
        double d = point_distance_mm(ring->points[0], ring->points[i]);
        if (d > most) {
            most = d;
            far = i;
        }
        kept[i] = false;
    }
    kept[0] = kept[far] = true;
    int *stack = arena_new(&work->scratch, int, 2 * (size_t)ring->count + 8);
    if (!stack) return error_memory(err);
    keep_between(ring, 0, far, kept, stack);
    keep_between(ring, far, ring->count, kept, stack);
    int count = 0;
    for (int i = 0; i < ring->count; i++) count += kept[i];
    if (count < 3) // too thin for the tolerance: it stays as it is
        for (int i = 0; i < ring->count; i++) kept[i] = true;
    return true;
}

static bool simple_edges(const Rings *rings, Arena *keep, Work *work, Shape *out, Error *err)
{
    size_t points = 0;
    for (int r = 0; r < rings->count; r++) points += (size_t)rings->items[r].count;
    out->edges = arena_new(keep, Edge, points);
    bool *kept = arena_new(&work->scratch, bool, points + 1);
    if (!out->edges || !kept) return error_memory(err);
    for (int r = 0; r < rings->count; r++) {
        const Ring *ring = &rings->items[r];
        if (!simplify_ring(ring, work, kept, err)) return false;
        int first = out->edge_count;
        for (int i = 0; i < ring->count; i++) {
            if (!kept[i]) continue;
            double x = ring->points[i].x / UM_PER_MM, y = ring->points[i].y / UM_PER_MM;
            out->edges[out->edge_count++] = (Edge){x, y, 0, 0};
        }
        for (int e = first; e < out->edge_count; e++) {
            const Edge *next = &out->edges[e + 1 < out->edge_count ? e + 1 : first];
            out->edges[e].bx = next->ax;
            out->edges[e].by = next->ay;
        }
    }
    return true;
}

// --- angles ---

static void add_turn(Turns *turns, Fit turn)
{
    for (int i = 0; i < turns->count; i++)
        if (fabs(turns->items[i].cos - turn.cos) < SAME_TURN && fabs(turns->items[i].sin - turn.sin) < SAME_TURN) return;
    if (turns->count < MOST_TURNED) turns->items[turns->count++] = turn;
}

static Fit quarter(Fit turn)
{
    return (Fit){-turn.sin, turn.cos};
}

static void add_quarters(Turns *turns, Fit turn)
{
    for (int i = 0; i < 4; i++, turn = quarter(turn)) add_turn(turns, turn);
}

static void box_at(const Point *hull, int count, Fit turn, double *out_width, double *out_height)
{
    double least_x = INFINITY, most_x = -INFINITY, least_y = INFINITY, most_y = -INFINITY;
    for (int i = 0; i < count; i++) {
        double x = (double)hull[i].x * turn.cos - (double)hull[i].y * turn.sin;
        double y = (double)hull[i].x * turn.sin + (double)hull[i].y * turn.cos;
        least_x = fmin(least_x, x);
        most_x = fmax(most_x, x);
        least_y = fmin(least_y, y);
        most_y = fmax(most_y, y);
    }
    *out_width = (most_x - least_x) / UM_PER_MM;
    *out_height = (most_y - least_y) / UM_PER_MM;
}

// The turn that lays hull edge i along x.
static Fit edge_turn(const Point *hull, int count, int i, double *out_length)
{
    const Point *a = &hull[i], *b = &hull[(i + 1) % count];
    double dx = (double)b->x - a->x, dy = (double)b->y - a->y, length = sqrt(dx * dx + dy * dy);
    *out_length = length;
    return (Fit){dx / length, -dy / length};
}

// The turns of the least box and of the longest hull edge.
static void hull_turns(const Point *hull, int count, Turns *turns, double *out_longest_mm)
{
    Fit least = {1, 0}, along = {1, 0};
    double least_area = INFINITY, longest = -1;
    *out_longest_mm = 0;
    for (int i = 0; i < count; i++) {
        double length, width, height;
        Fit turn = edge_turn(hull, count, i, &length);
        box_at(hull, count, turn, &width, &height);
        if (width * height < least_area * (1 - 1e-9)) {
            least_area = width * height;
            least = turn;
            *out_longest_mm = fmax(width, height);
        }
        if (length > longest * (1 + 1e-9)) {
            longest = length;
            along = turn;
        }
    }
    add_quarters(turns, least);
    add_quarters(turns, along);
}

static bool allows(NestTurn turn, Fit fit)
{
    switch (turn) {
    case NEST_TURN_FREE: return true;
    case NEST_TURN_QUARTERS: return fabs(fit.sin) < SAME_TURN || fabs(fit.cos) < SAME_TURN;
    case NEST_TURN_HALVES: return fabs(fit.sin) < SAME_TURN;
    case NEST_TURN_NONE: return fabs(fit.sin) < SAME_TURN && fit.cos > 0.0;
    }
    return false;
}

static Turns turns_to_try(const NestItem *item, const NestOptions *options, const Point *hull, int hull_count,
                          double *out_longest_mm)
{
    Turns free_turns = {0}, turns = {0};
    hull_turns(hull, hull_count, &free_turns, out_longest_mm);
    switch (options->turn) {
    case NEST_TURN_FREE:
        add_quarters(&turns, (Fit){1, 0});
        for (int i = 0; i < free_turns.count; i++) add_turn(&turns, free_turns.items[i]);
        break;
    case NEST_TURN_QUARTERS:
        add_quarters(&turns, (Fit){1, 0});
        break;
    case NEST_TURN_HALVES:
        add_turn(&turns, (Fit){1, 0});
        add_turn(&turns, (Fit){-1, 0});
        break;
    case NEST_TURN_NONE:
        add_turn(&turns, (Fit){1, 0});
        break;
    }
    // Its own angle comes last: some large pieces fit at no other. Half a turn on, the corner marks are the same.
    double length = sqrt(item->fit.cos * item->fit.cos + item->fit.sin * item->fit.sin);
    if (length > 0) {
        Fit own = {item->fit.cos / length, item->fit.sin / length}, half = {-own.cos, -own.sin};
        if (allows(options->turn, own)) add_turn(&turns, own);
        if (allows(options->turn, half)) add_turn(&turns, half);
    }
    return turns;
}

// --- one angle ---

static bool turn_edges(const Shape *shape, Fit turn, Arena *keep, Turned *out, Error *err)
{
    out->cos = turn.cos;
    out->sin = turn.sin;
    out->edge_count = shape->edge_count;
    out->edges = arena_new(keep, Edge, shape->edge_count);
    if (!out->edges) return error_memory(err);
    double least_x = INFINITY, most_x = -INFINITY, least_y = INFINITY, most_y = -INFINITY;
    for (int i = 0; i < shape->edge_count; i++) {
        const Edge *e = &shape->edges[i];
        Edge *t = &out->edges[i];
        *t = (Edge){e->ax * turn.cos - e->ay * turn.sin, e->ax * turn.sin + e->ay * turn.cos,
                    e->bx * turn.cos - e->by * turn.sin, e->bx * turn.sin + e->by * turn.cos};
        least_x = fmin(least_x, t->ax);
        most_x = fmax(most_x, t->ax);
        least_y = fmin(least_y, t->ay);
        most_y = fmax(most_y, t->ay);
    }
    out->shift_x_mm = -least_x;
    out->shift_y_mm = -least_y;
    out->width_mm = most_x - least_x;
    out->height_mm = most_y - least_y;
    out->least_sum_mm = INFINITY;
    out->most_sum_mm = -INFINITY;
    for (int i = 0; i < shape->edge_count; i++) {
        Edge *t = &out->edges[i];
        *t = (Edge){t->ax - least_x, t->ay - least_y, t->bx - least_x, t->by - least_y};
        out->least_sum_mm = fmin(out->least_sum_mm, t->ax + t->ay);
        out->most_sum_mm = fmax(out->most_sum_mm, t->ax + t->ay);
    }
    return true;
}

// The true extent: simplified points are points of the outline, but an extreme one may have been dropped.
static void true_extent(const Point *hull, int count, Turned *turned)
{
    double least_x = 0, least_y = 0, most_x = 0, most_y = 0;
    for (int i = 0; i < count; i++) {
        double x0 = hull[i].x / UM_PER_MM, y0 = hull[i].y / UM_PER_MM;
        double x = x0 * turned->cos - y0 * turned->sin + turned->shift_x_mm;
        double y = x0 * turned->sin + y0 * turned->cos + turned->shift_y_mm;
        least_x = fmin(least_x, x);
        least_y = fmin(least_y, y);
        most_x = fmax(most_x, x);
        most_y = fmax(most_y, y);
        turned->least_sum_mm = fmin(turned->least_sum_mm, x + y);
        turned->most_sum_mm = fmax(turned->most_sum_mm, x + y);
    }
    for (int i = 0; i < turned->edge_count; i++) {
        Edge *e = &turned->edges[i];
        *e = (Edge){e->ax - least_x, e->ay - least_y, e->bx - least_x, e->by - least_y};
    }
    turned->shift_x_mm -= least_x;
    turned->shift_y_mm -= least_y;
    turned->width_mm = most_x - least_x;
    turned->height_mm = most_y - least_y;
    turned->least_sum_mm -= least_x + least_y;
    turned->most_sum_mm -= least_x + least_y;
}

// --- cells ---

typedef struct Canvas {     // cells of one turned item, with a rim of free cells
    unsigned char *taken;
    int columns, rows, left, top; // cell (i, j) of the item is at [(j - top) * columns + i - left]
} Canvas;

static void fill_run(Canvas *canvas, int row, double from_cells, double to_cells)
{
    // Centres lie at i + 0.5.
    int first = (int)ceil(from_cells - 0.5) - canvas->left, last = (int)floor(to_cells - 0.5) - canvas->left;
    if (first < 0) first = 0;
    if (last >= canvas->columns) last = canvas->columns - 1;
    if (first <= last)
        memset(&canvas->taken[(size_t)(row - canvas->top) * (size_t)canvas->columns + (size_t)first], 1,
               (size_t)(last - first + 1));
}

// The chord of the row's centre line in everything within `reach` of the edge (all in cells).
static void fill_round_edge(Canvas *canvas, const Edge *e, double reach)
{
    double dx = e->bx - e->ax, dy = e->by - e->ay, length = sqrt(dx * dx + dy * dy);
    int first = (int)floor(fmin(e->ay, e->by) - reach), last = (int)ceil(fmax(e->ay, e->by) + reach);
    for (int row = first; row <= last; row++) {
        double y = row + 0.5, least = INFINITY, most = -INFINITY;
        for (int end = 0; end < 2; end++) {
            double cx = end ? e->bx : e->ax, cy = end ? e->by : e->ay, h = y - cy;
            if (fabs(h) > reach) continue;
            double half = sqrt(reach * reach - h * h);
            least = fmin(least, cx - half);
            most = fmax(most, cx + half);
        }
        for (int side = -1; side <= 1 && length > 0; side += 2) {
            double ox = -dy / length * reach * side, oy = dx / length * reach * side;
            double t = dy != 0 ? (y - e->ay - oy) / dy : -1;
            if (t < 0 || t > 1) continue;
            double x = e->ax + ox + t * dx;
            least = fmin(least, x);
            most = fmax(most, x);
        }
        if (least <= most) fill_run(canvas, row, least, most);
    }
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void fill_inside(Canvas *canvas, const Edge *edges, int count, double *crossings)
{
    for (int row = canvas->top; row < canvas->top + canvas->rows; row++) {
        double y = row + 0.5;
        int found = 0;
        for (int i = 0; i < count; i++) {
            const Edge *e = &edges[i];
            if ((e->ay <= y) == (e->by <= y)) continue;
            crossings[found++] = e->ax + (y - e->ay) / (e->by - e->ay) * (e->bx - e->ax);
        }
        qsort(crossings, (size_t)found, sizeof *crossings, by_value);
        for (int i = 0; i + 1 < found; i += 2) fill_run(canvas, row, crossings[i], crossings[i + 1]);
    }
}

static bool draw(const Turned *turned, double cell_mm, double half_gap_mm, Work *work, Canvas *out, Error *err)
{
    int rim = (int)ceil(half_gap_mm / cell_mm) + 2;
    out->left = out->top = -rim;
    out->columns = (int)ceil(turned->width_mm / cell_mm) + 2 * rim;
    out->rows = (int)ceil(turned->height_mm / cell_mm) + 2 * rim;
    out->taken = arena_new(&work->scratch, unsigned char, (size_t)out->columns * (size_t)out->rows);
    Edge *edges = arena_new(&work->scratch, Edge, turned->edge_count);
    double *crossings = arena_new(&work->scratch, double, turned->edge_count);
    if (!out->taken || !edges || !crossings) return error_memory(err);
    for (int i = 0; i < turned->edge_count; i++) {
        const Edge *e = &turned->edges[i];
        edges[i] = (Edge){e->ax / cell_mm, e->ay / cell_mm, e->bx / cell_mm, e->by / cell_mm};
        fill_round_edge(out, &edges[i], half_gap_mm / cell_mm);
    }
    fill_inside(out, edges, turned->edge_count, crossings);
    return true;
}

static bool cells_to_spans(const Canvas *canvas, Arena *keep, Turned *out, Error *err)
{
    int runs = 0;
    for (int i = 0; i < canvas->columns * canvas->rows; i++) runs += canvas->taken[i] && !canvas->taken[i - 1];
    out->first_row = canvas->top;
    out->row_count = canvas->rows;
    out->row_first = arena_new(keep, int, canvas->rows + 1);
    out->spans = arena_new(keep, Cells, runs);
    if (!out->row_first || !out->spans) return error_memory(err);
    int n = 0;
    for (int row = 0; row < canvas->rows; row++) {
        const unsigned char *taken = &canvas->taken[(size_t)row * (size_t)canvas->columns];
        out->row_first[row] = n;
        for (int x = 0; x < canvas->columns; x++) {
            if (!taken[x]) continue;
            int end = x;
            while (taken[end]) end++; // the rim is free
            out->spans[n++] = (Cells){(short)(x + canvas->left), (short)(end + canvas->left)};
            x = end;
        }
    }
    out->row_first[canvas->rows] = n;
    assert(n == runs);
    return true;
}

static unsigned short least(unsigned short a, unsigned short b)
{
    return a < b ? a : b;
}

// Lowers a row by the finished row beside it: no cell waits for its neighbour, so that the compiler takes many at once.
static void lower_by_row(unsigned short *row, const unsigned short *beside, int first, int last)
{
    for (int x = first; x <= last; x++) row[x] = least(row[x], (unsigned short)(beside[x] + 5));
    for (int x = first + 1; x <= last; x++) row[x] = least(row[x], (unsigned short)(beside[x - 1] + 7));
    for (int x = first; x < last; x++) row[x] = least(row[x], (unsigned short)(beside[x + 1] + 7));
}

void cells_lower(unsigned short *depth, int columns, Window w)
{
    for (int y = w.y0; y <= w.y1; y++) {
        unsigned short *row = &depth[(size_t)y * (size_t)columns];
        if (y > w.y0) lower_by_row(row, row - columns, w.x0, w.x1);
        unsigned short before = row[w.x0];
        for (int x = w.x0 + 1; x <= w.x1; x++) row[x] = before = least(row[x], (unsigned short)(before + 5));
    }
    for (int y = w.y1; y >= w.y0; y--) {
        unsigned short *row = &depth[(size_t)y * (size_t)columns];
        if (y < w.y1) lower_by_row(row, row + columns, w.x0, w.x1);
        unsigned short before = row[w.x1];
        for (int x = w.x1 - 1; x >= w.x0; x--) row[x] = before = least(row[x], (unsigned short)(before + 5));
    }
}

void cells_distance(const unsigned char *taken, int columns, int rows, unsigned short *out)
{
    for (int i = 0; i < columns * rows; i++) out[i] = taken[i] ? 0 : CELLS_FAR;
    cells_lower(out, columns, (Window){0, 0, columns - 1, rows - 1});
}

// The deepest cell, then the deepest one outside the disc of that, and so on.
static bool find_poles(const Canvas *canvas, Work *work, Turned *out, Error *err)
{
    size_t cells = (size_t)canvas->columns * (size_t)canvas->rows;
    unsigned char *outside = arena_new(&work->scratch, unsigned char, cells);
    unsigned short *depth = arena_new(&work->scratch, unsigned short, cells);
    if (!outside || !depth) return error_memory(err);
    for (size_t i = 0; i < cells; i++) outside[i] = !canvas->taken[i];
    cells_distance(outside, canvas->columns, canvas->rows, depth);
    while (out->pole_count < TURNED_POLES) {
        size_t deepest = 0;
        for (size_t i = 1; i < cells; i++)
            if (depth[i] > depth[deepest]) deepest = i;
        if (depth[deepest] < 10) break;
        int column = (int)(deepest % (size_t)canvas->columns), row = (int)(deepest / (size_t)canvas->columns);
        out->poles[out->pole_count++] =
            (Pole){(short)(column + canvas->left), (short)(row + canvas->top), depth[deepest]};
        int reach = depth[deepest] / 5;
        for (int y = row - reach > 0 ? row - reach : 0; y <= row + reach && y < canvas->rows; y++)
            for (int x = column - reach > 0 ? column - reach : 0; x <= column + reach && x < canvas->columns; x++)
                if ((x - column) * (x - column) + (y - row) * (y - row) <= reach * reach)
                    depth[(size_t)y * (size_t)canvas->columns + (size_t)x] = 0;
    }
    return true;
}

static bool turned_make(const Shape *shape, const Point *hull, int hull_count, Fit turn, const NestOptions *options,
                        double cell_mm, Arena *keep, Work *work, Turned *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Canvas canvas;
    if (!turn_edges(shape, turn, keep, out, err)) return false;
    true_extent(hull, hull_count, out);
    if (!draw(out, cell_mm, options->gap_mm / 2, work, &canvas, err) || !cells_to_spans(&canvas, keep, out, err) ||
        !find_poles(&canvas, work, out, err))
        return false;
    arena_rewind(&work->scratch, mark);
    return true;
}

static double hull_area(const Point *hull, int count)
{
    Ring ring = {(Point *)hull, count};
    return fabs(ring_area_mm2(&ring));
}

static Point *hull_of(const Rings *rings, Work *work, int *out_count)
{
    size_t count = 0;
    for (int r = 0; r < rings->count; r++) count += (size_t)rings->items[r].count;
    Point *all = arena_new(&work->scratch, Point, count);
    if (!all) return NULL;
    count = 0;
    for (int r = 0; r < rings->count; r++) {
        memcpy(&all[count], rings->items[r].points, (size_t)rings->items[r].count * sizeof *all);
        count += (size_t)rings->items[r].count;
    }
    return hull_make(all, (int)count, &work->scratch, out_count);
}

bool shape_turns(const NestItem *item, const NestOptions *options, Arena *keep, Work *work, Fit **out, int *out_count, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    int hull_count;
    double longest;
    Point *hull = hull_of(item->rings, work, &hull_count);
    *out_count = 0;
    *out = arena_new(keep, Fit, MOST_TURNED);
    if (!hull || !*out) return error_memory(err);
    Turns turns = turns_to_try(item, options, hull, hull_count, &longest);
    for (int i = 0; i < turns.count; i++)
        if (hull_fits_at(hull, hull_count, options->space, turns.items[i])) (*out)[(*out_count)++] = turns.items[i];
    arena_rewind(&work->scratch, mark);
    return true;
}

bool shape_angles(const NestItem *item, const NestOptions *options, int steps, Arena *keep, Work *work, Fit **out, int *out_count,
                  Error *err)
{
    *out = NULL;
    *out_count = 0;
    if (options->turn != NEST_TURN_FREE) return true;
    ArenaMark mark = arena_mark(&work->scratch);
    int hull_count;
    Point *hull = hull_of(item->rings, work, &hull_count);
    *out = arena_new(keep, Fit, steps);
    if (!hull || !*out) return error_memory(err);
    double half = 3.14159265358979 / steps, t = half + half * half * half / 3; // near enough its tangent: the last angle is off by a hundredth of a step
    Fit step = {(1 - t * t) / (1 + t * t), 2 * t / (1 + t * t)}, turn = {1, 0};
    for (int i = 0; i < steps; i++) {
        if (hull_fits_at(hull, hull_count, options->space, turn)) (*out)[(*out_count)++] = turn;
        turn = (Fit){turn.cos * step.cos - turn.sin * step.sin, turn.sin * step.cos + turn.cos * step.sin};
    }
    arena_rewind(&work->scratch, mark);
    return true;
}

bool shape_make(const NestItem *item, const NestOptions *options, double cell_mm, Arena *keep, Work *work, Shape *out,
                Error *err)
{
    memset(out, 0, sizeof *out);
    ArenaMark mark = arena_mark(&work->scratch);
    int hull_count;
    Point *hull = hull_of(item->rings, work, &hull_count);
    if (!hull || !simple_edges(item->rings, keep, work, out, err)) return error_memory(err);
    Turns turns = turns_to_try(item, options, hull, hull_count, &out->longest_mm);
    out->area_mm2 = rings_area_mm2(item->rings);
    out->hull_area_mm2 = hull_area(hull, hull_count);
    out->turned = arena_new(keep, Turned, MOST_TURNED);
    if (!out->turned) return error_memory(err);
    for (int i = 0; i < turns.count; i++) {
        if (!work_goes_on(work, err)) return false;
        if (!hull_fits_at(hull, hull_count, options->space, turns.items[i])) continue;
        if (!turned_make(out, hull, hull_count, turns.items[i], options, cell_mm, keep, work,
                         &out->turned[out->turned_count], err))
            return false;
        out->turned_count++;
    }
    arena_rewind(&work->scratch, mark);
    if (out->turned_count > 0 || options->most_sheets > 0) return true;
    return error_set(err, ERROR_JOB, "a piece of %.0f mm fits no sheet of %s%s; a larger paper would do", out->longest_mm,
                     options->paper.id, options->turn == NEST_TURN_FREE ? "" : ", which has a direction and may not be turned freely");
}
