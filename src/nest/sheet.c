// sheet.c - see sheet.h.
#include "nest/sheet.h"

#include "nest/lanes.h"
#include "nest/number.h"

#include <math.h>
#include <string.h>

#define EDGE_MM 0.001       // kept to the usable box where there is room: coordinates are written with 3 decimals
#define BUCKET_MM 6.0       // larger: more edges to measure a query; smaller: more entries an edge
#define SLIDE_CELLS 2.0     // a spot on the grid is at most about a cell from the contact

static void measure_rows(OpenSheet *sheet)
{
    sheet->most_depth = 0;
    for (int y = 0; y < sheet->rows; y++) {
        const unsigned short *depth = &sheet->depth[(size_t)y * (size_t)sheet->columns];
        unsigned short most = 0;
        for (int x = 0; x < sheet->columns; x++) most = depth[x] > most ? depth[x] : most;
        sheet->row_depth[y] = most;
        if (most > sheet->most_depth) sheet->most_depth = most;
    }
}

static void mark_last(OpenSheet *sheet, int row)
{
    const unsigned char *taken = &sheet->taken[(size_t)row * (size_t)sheet->columns];
    short *last = &sheet->last[(size_t)row * (size_t)sheet->columns];
    short seen = -1;
    for (int x = 0; x < sheet->columns; x++) {
        if (taken[x]) seen = (short)x;
        last[x] = seen;
    }
}

// The outermost cells lie farther out than half a gap beyond the box: no item reaches them, so that the discs need not
// look past the edge.
static void take_rim(OpenSheet *sheet)
{
    for (int row = 0; row < sheet->rows; row++) {
        unsigned char *taken = &sheet->taken[(size_t)row * (size_t)sheet->columns];
        taken[0] = taken[sheet->columns - 1] = 1;
        if (row == 0 || row == sheet->rows - 1) memset(taken, 1, (size_t)sheet->columns);
        mark_last(sheet, row);
    }
    cells_distance(sheet->taken, sheet->columns, sheet->rows, sheet->depth);
    measure_rows(sheet);
}

bool sheet_open(Space space, double cell_mm, double gap_mm, Arena *keep, OpenSheet *out, Error *err)
{
    memset(out, 0, sizeof *out);
    out->space = space;
    out->cell_mm = cell_mm;
    out->gap_mm = gap_mm;
    out->rim = (int)ceil(gap_mm / 2 / cell_mm) + 4;
    out->columns = (int)ceil(space.width_mm / cell_mm) + 2 * out->rim;
    out->rows = (int)ceil(space.height_mm / cell_mm) + 2 * out->rim;
    size_t cells = (size_t)out->columns * (size_t)out->rows;
    out->taken = arena_new(keep, unsigned char, cells);
    out->last = arena_new(keep, short, cells);
    out->depth = arena_new(keep, unsigned short, cells);
    out->bucket_mm = fmax(BUCKET_MM, fmax(space.width_mm, space.height_mm) / 500);
    out->bucket_columns = (int)floor(space.width_mm / out->bucket_mm) + 1;
    out->bucket_rows = (int)floor(space.height_mm / out->bucket_mm) + 1;
    size_t buckets = (size_t)out->bucket_columns * (size_t)out->bucket_rows;
    out->bucket = arena_new(keep, int, buckets);
    out->row_depth = arena_new(keep, unsigned short, out->rows);
    if (!out->taken || !out->last || !out->depth || !out->row_depth || !out->bucket) return error_memory(err);
    for (size_t i = 0; i < buckets; i++) out->bucket[i] = -1;
    take_rim(out);
    return true;
}

bool sheet_open_like(const OpenSheet *blank, Arena *keep, OpenSheet *out, Error *err)
{
    *out = *blank;
    size_t cells = (size_t)blank->columns * (size_t)blank->rows;
    out->taken = arena_copy(keep, blank->taken, cells, sizeof *blank->taken);
    out->last = arena_copy(keep, blank->last, cells, sizeof *blank->last);
    out->depth = arena_copy(keep, blank->depth, cells, sizeof *blank->depth);
    out->row_depth = arena_copy(keep, blank->row_depth, (size_t)blank->rows, sizeof *blank->row_depth);
    size_t buckets = (size_t)blank->bucket_columns * (size_t)blank->bucket_rows;
    out->bucket = arena_copy(keep, blank->bucket, buckets, sizeof *blank->bucket);
    if (!out->taken || !out->last || !out->depth || !out->row_depth || !out->bucket) return error_memory(err);
    return true;
}

// --- edges: distances, by buckets ---

static double squared(double x)
{
    return x * x;
}

// fmin and fmax are calls, since they mind what is no number; edges have none.
static double lesser(double a, double b)
{
    return a < b ? a : b;
}

static double larger(double a, double b)
{
    return a > b ? a : b;
}

static double point_edge2(double px, double py, const Edge *e)
{
    double dx = e->bx - e->ax, dy = e->by - e->ay, length2 = dx * dx + dy * dy;
    double t = length2 > 0 ? ((px - e->ax) * dx + (py - e->ay) * dy) / length2 : 0;
    t = t < 0 ? 0 : t > 1 ? 1 : t;
    return squared(px - e->ax - t * dx) + squared(py - e->ay - t * dy);
}

static double side(const Edge *e, double px, double py)
{
    return (e->bx - e->ax) * (py - e->ay) - (e->by - e->ay) * (px - e->ax);
}

static bool nearer_than(const Edge *e, const Edge *f, double gap)
{
    if (larger(e->ax, e->bx) + gap < lesser(f->ax, f->bx) || larger(f->ax, f->bx) + gap < lesser(e->ax, e->bx) ||
        larger(e->ay, e->by) + gap < lesser(f->ay, f->by) || larger(f->ay, f->by) + gap < lesser(e->ay, e->by))
        return false;
    double gap2 = gap * gap;
    if (point_edge2(e->ax, e->ay, f) < gap2 || point_edge2(e->bx, e->by, f) < gap2 ||
        point_edge2(f->ax, f->ay, e) < gap2 || point_edge2(f->bx, f->by, e) < gap2)
        return true;
    return side(e, f->ax, f->ay) * side(e, f->bx, f->by) < 0 && side(f, e->ax, e->ay) * side(f, e->bx, e->by) < 0;
}

static int clamp_int(double value, int most)
{
    int v = (int)floor(value);
    return v < 0 ? 0 : v > most ? most : v;
}

typedef struct Band { int first_row, last_row; } Band;

static Band bucket_rows(const OpenSheet *sheet, const Edge *e, double grow)
{
    return (Band){clamp_int((lesser(e->ay, e->by) - grow) / sheet->bucket_mm, sheet->bucket_rows - 1),
                  clamp_int((larger(e->ay, e->by) + grow) / sheet->bucket_mm, sheet->bucket_rows - 1)};
}

// The bucket columns that an edge, grown by `grow`, touches in one row of buckets.
static Band bucket_columns(const OpenSheet *sheet, const Edge *e, double grow, int row)
{
    double from_y = row * sheet->bucket_mm - grow, to_y = (row + 1) * sheet->bucket_mm + grow;
    double x0 = e->ax, x1 = e->bx, dy = e->by - e->ay;
    if (fabs(dy) > 1e-9) {
        double t0 = (from_y - e->ay) / dy, t1 = (to_y - e->ay) / dy;
        double low = larger(0, lesser(t0, t1)), high = lesser(1, larger(t0, t1));
        if (row == 0 || row == sheet->bucket_rows - 1) { // rows at the rim hold what lies beyond it
            low = lesser(low, 1);
            high = larger(high, 0);
            if (low > high) low = 0, high = 1;
        }
        x0 = e->ax + low * (e->bx - e->ax);
        x1 = e->ax + high * (e->bx - e->ax);
    }
    return (Band){clamp_int((lesser(x0, x1) - grow - 1e-6) / sheet->bucket_mm, sheet->bucket_columns - 1),
                  clamp_int((larger(x0, x1) + grow + 1e-6) / sheet->bucket_mm, sheet->bucket_columns - 1)};
}

static bool edge_is_clear(const OpenSheet *sheet, const Edge *e)
{
    Band rows = bucket_rows(sheet, e, 0);
    for (int row = rows.first_row; row <= rows.last_row; row++) {
        Band columns = bucket_columns(sheet, e, 0, row);
        for (int column = columns.first_row; column <= columns.last_row; column++)
            for (int i = sheet->bucket[row * sheet->bucket_columns + column]; i >= 0; i = sheet->placed[i].next)
                if (nearer_than(e, &sheet->placed[i].edge, sheet->gap_mm)) return false;
    }
    return true;
}

static bool add_edge(OpenSheet *sheet, const Edge *e, Arena *keep)
{
    Band rows = bucket_rows(sheet, e, sheet->gap_mm);
    for (int row = rows.first_row; row <= rows.last_row; row++) {
        Band columns = bucket_columns(sheet, e, sheet->gap_mm, row);
        for (int column = columns.first_row; column <= columns.last_row; column++) {
            Placed *placed = arena_grow(keep, sheet->placed, sheet->placed_count, &sheet->placed_capacity, sizeof *placed);
            if (!placed) return false;
            sheet->placed = placed;
            int *head = &sheet->bucket[row * sheet->bucket_columns + column];
            placed[sheet->placed_count] = (Placed){*e, *head};
            *head = (int)sheet->placed_count++;
        }
    }
    return true;
}

static bool inside_material(const Turned *turned, double x, double y)
{
    bool inside = false;
    for (int i = 0; i < turned->edge_count; i++) {
        const Edge *e = &turned->edges[i];
        if ((e->ay <= y) == (e->by <= y)) continue;
        if (x < e->ax + (y - e->ay) / (e->by - e->ay) * (e->bx - e->ax)) inside = !inside;
    }
    return inside;
}

// Edges are clear of each other, so one point of each tells whether one lies within the other's material.
static bool inside_one_another(const Turned *a, Spot at, const Laid *b)
{
    if (at.x_mm > b->x_mm + b->turned->width_mm || at.x_mm + a->width_mm < b->x_mm ||
        at.y_mm > b->y_mm + b->turned->height_mm || at.y_mm + a->height_mm < b->y_mm)
        return false;
    double dx = at.x_mm - b->x_mm, dy = at.y_mm - b->y_mm;
    return inside_material(b->turned, a->edges[0].ax + dx, a->edges[0].ay + dy) ||
           inside_material(a, b->turned->edges[0].ax - dx, b->turned->edges[0].ay - dy);
}

static bool is_good(const OpenSheet *sheet, const Turned *turned, Spot spot)
{
    for (int i = 0; i < turned->edge_count; i++) {
        const Edge *e = &turned->edges[i];
        Edge moved = {e->ax + spot.x_mm, e->ay + spot.y_mm, e->bx + spot.x_mm, e->by + spot.y_mm};
        if (!edge_is_clear(sheet, &moved)) return false;
    }
    for (size_t i = 0; i < sheet->laid_count; i++)
        if (inside_one_another(turned, spot, &sheet->laid[i])) return false;
    return true;
}

// --- the space ---

typedef struct Range { double least, most; } Range;

static Range range_of(double room_mm)
{
    double kept = room_mm / 2 < EDGE_MM ? room_mm / 2 : EDGE_MM;
    return (Range){kept, room_mm - kept};
}

static Range range_y(Space space, const Turned *turned)
{
    return range_of(space.height_mm - turned->height_mm);
}

// The x at which an item at this y lies in the box and off the corner marks (empty when least > most).
static Range range_x(Space space, const Turned *turned, double y_mm)
{
    Range x = range_of(space.width_mm - turned->width_mm);
    if (space.corner_mm <= 0) return x;
    double least_sum = space.corner_mm + EDGE_MM - turned->least_sum_mm;
    double most_sum = space.width_mm + space.height_mm - space.corner_mm - EDGE_MM - turned->most_sum_mm;
    return (Range){fmax(x.least, least_sum - y_mm), fmin(x.most, most_sum - y_mm)};
}

static bool in_space(Space space, const Turned *turned, Spot spot)
{
    Range y = range_y(space, turned), x = range_x(space, turned, spot.y_mm);
    return spot.y_mm >= y.least && spot.y_mm <= y.most && spot.x_mm >= x.least && spot.x_mm <= x.most;
}

void sheet_matrix(const Turned *turned, Spot spot, const double origin_mm[2], double out[6])
{
    out[0] = place_number(turned->cos);
    out[1] = place_number(turned->sin);
    out[2] = place_number(-turned->sin);
    out[3] = place_number(turned->cos);
    out[4] = place_number(turned->shift_x_mm + spot.x_mm + origin_mm[0]);
    out[5] = place_number(turned->shift_y_mm + spot.y_mm + origin_mm[1]);
}

Spot sheet_first_spot(Space space, const Turned *turned)
{
    Range y = range_y(space, turned);
    Spot spot = {0, y.least};
    Range x = range_x(space, turned, spot.y_mm);
    if (x.least > x.most) {
        // The corner marks ask for a lower place; half the room down is as far from both as it gets.
        double full = range_of(space.width_mm - turned->width_mm).most;
        spot.y_mm = fmin(y.most, y.least + x.least - full);
        x = range_x(space, turned, spot.y_mm);
        if (x.least > x.most) {
            spot.y_mm = (y.least + y.most) / 2;
            x = range_x(space, turned, spot.y_mm);
            x.least = (x.least + x.most) / 2;
        }
    }
    spot.x_mm = x.least;
    return spot;
}

// --- cells ---

// The first cell from x on that is deep enough, or end.
static int next_deep(const unsigned short *depth, int x, int end, unsigned short reach)
{
    while (x + LANES_CELLS <= end && !lanes_any_deep(depth + x, reach)) x += LANES_CELLS;
    while (x < end && depth[x] < reach) x++;
    return x;
}

// How far the item must move right at least, by the discs inside it but the largest; 0 when these see nothing in the way.
static int poles_jump(const OpenSheet *sheet, const Turned *turned, int column, int row)
{
    for (int i = 1; i < turned->pole_count; i++) {
        const Pole *pole = &turned->poles[i];
        int depth = sheet->depth[(row + pole->row) * sheet->columns + column + pole->column];
        if (depth < pole->reach) return (pole->reach - depth + 4) / 5;
    }
    return 0;
}

// The same by all its rows of cells, beginning with the one that was in the way last.
static int spans_jump(const OpenSheet *sheet, const Turned *turned, int column, int row, int *in_the_way)
{
    int r = *in_the_way;
    for (int n = 0; n < turned->row_count; n++, r = r + 1 < turned->row_count ? r + 1 : 0) {
        const short *last = &sheet->last[(row + turned->first_row + r) * sheet->columns + column];
        for (int s = turned->row_first[r]; s < turned->row_first[r + 1]; s++) {
            const Cells *span = &turned->spans[s];
            int taken = last[span->end - 1] - column;
            if (taken < span->first) continue;
            *in_the_way = r;
            return taken - span->first + 1;
        }
    }
    return 0;
}

// A place on the grid that is over the end by less than half a cell means the end.
static double snapped(double at, double most, double cell)
{
    return at > most && at < most + cell / 2 ? most : at;
}

// The last column of the grid that is not over the end, snapped.
static int last_column(double most, double cell)
{
    int column = (int)floor(most / cell + 0.5);
    while (snapped((column + 1) * cell, most, cell) <= most) column++;
    while (snapped(column * cell, most, cell) > most) column--;
    return column;
}

static bool find_in_row(const OpenSheet *sheet, const Turned *turned, double y_mm, int row, int *in_the_way, Spot *out)
{
    Range x = range_x(sheet->space, turned, y_mm);
    double from = fmax(0, x.least), cell = sheet->cell_mm;
    if (from > x.most) return false;
    // The first place of a row is at its true left end, not on the grid.
    int column = (int)ceil(from / cell - 0.5), last = last_column(x.most, cell);
    const Pole *largest = turned->pole_count > 0 ? &turned->poles[0] : NULL;
    int aside = largest ? sheet->rim + largest->column : 0;
    const unsigned short *depth = largest ? &sheet->depth[(row + largest->row) * sheet->columns] : NULL;
    while (column <= last) {
        if (largest) column = next_deep(depth, column + aside, last + aside + 1, largest->reach) - aside;
        if (column > last) break;
        int jump = poles_jump(sheet, turned, column + sheet->rim, row);
        if (jump == 0) jump = spans_jump(sheet, turned, column + sheet->rim, row, in_the_way);
        if (jump == 0) {
            *out = (Spot){fmax(from, snapped(column * cell, x.most, cell)), y_mm};
            if (is_good(sheet, turned, *out)) return true;
            jump = 1;
        }
        column += jump;
    }
    return false;
}

// Rows in which no place is deep enough for the largest disc of the item. Depth rises by 5 a row at most.
static int rows_to_skip(const OpenSheet *sheet, const Turned *turned, int row)
{
    if (turned->pole_count == 0) return 0;
    int skipped = 0;
    while (true) {
        int at = row + skipped + sheet->rim + turned->poles[0].row;
        if (at >= sheet->rows) return skipped;
        int lacks = turned->poles[0].reach - sheet->row_depth[at];
        if (lacks <= 0) return skipped;
        skipped += (lacks + 4) / 5;
    }
}

bool sheet_find_spot(const OpenSheet *sheet, const Turned *turned, double most_y_mm, Spot *out)
{
    if (turned->pole_count > 0 && sheet->most_depth < turned->poles[0].reach) return false;
    Range y = range_y(sheet->space, turned);
    int in_the_way = 0;
    for (int row = 0;; row++) {
        row += rows_to_skip(sheet, turned, row);
        double y_mm = fmax(y.least, snapped(row * sheet->cell_mm, y.most, sheet->cell_mm));
        if (y_mm > y.most || y_mm > most_y_mm) return false;
        if (find_in_row(sheet, turned, y_mm, row + sheet->rim, &in_the_way, out)) return true;
    }
}

void sheet_slide(const OpenSheet *sheet, const Turned *turned, Spot *spot)
{
    for (double step = sheet->cell_mm * SLIDE_CELLS / 2; step > 0.02; step /= 2) {
        Spot up = {spot->x_mm, spot->y_mm - step};
        if (in_space(sheet->space, turned, up) && is_good(sheet, turned, up)) *spot = up;
        Spot left = {spot->x_mm - step, spot->y_mm};
        if (in_space(sheet->space, turned, left) && is_good(sheet, turned, left)) *spot = left;
    }
}

// Depths change at most as far away as the largest of them reaches.
static Window changed(const OpenSheet *sheet, const Turned *turned, int column, int row)
{
    int reach = sheet->most_depth / 5 + 1, rim = sheet->rim;
    int right = column + (int)ceil(turned->width_mm / sheet->cell_mm) + rim + reach;
    int low = row + turned->first_row + turned->row_count + reach;
    Window w = {column - rim - reach, row + turned->first_row - reach, right, low};
    w.x0 = w.x0 < 0 ? 0 : w.x0;
    w.y0 = w.y0 < 0 ? 0 : w.y0;
    w.x1 = w.x1 >= sheet->columns ? sheet->columns - 1 : w.x1;
    w.y1 = w.y1 >= sheet->rows ? sheet->rows - 1 : w.y1;
    return w;
}

static void take_cells(OpenSheet *sheet, const Turned *turned, Spot spot)
{
    int column = (int)floor(spot.x_mm / sheet->cell_mm + 0.5) + sheet->rim;
    int row = (int)floor(spot.y_mm / sheet->cell_mm + 0.5) + sheet->rim;
    for (int r = 0; r < turned->row_count; r++) {
        size_t start = (size_t)(row + turned->first_row + r) * (size_t)sheet->columns;
        for (int s = turned->row_first[r]; s < turned->row_first[r + 1]; s++) {
            size_t first = start + (size_t)(column + turned->spans[s].first);
            size_t count = (size_t)(turned->spans[s].end - turned->spans[s].first);
            memset(&sheet->taken[first], 1, count);
            memset(&sheet->depth[first], 0, count * sizeof *sheet->depth);
        }
        mark_last(sheet, row + turned->first_row + r);
    }
    cells_lower(sheet->depth, sheet->columns, changed(sheet, turned, column, row));
    measure_rows(sheet);
}

bool sheet_lay(OpenSheet *sheet, int item, const Turned *turned, double area_mm2, Spot spot, Arena *keep, Error *err)
{
    Laid *laid = arena_grow(keep, sheet->laid, sheet->laid_count, &sheet->laid_capacity, sizeof *laid);
    if (!laid) return error_memory(err);
    sheet->laid = laid;
    laid[sheet->laid_count++] = (Laid){item, turned, spot.x_mm, spot.y_mm};
    sheet->laid_area_mm2 += area_mm2;
    for (int i = 0; i < turned->edge_count; i++) {
        const Edge *e = &turned->edges[i];
        Edge moved = {e->ax + spot.x_mm, e->ay + spot.y_mm, e->bx + spot.x_mm, e->by + spot.y_mm};
        if (!add_edge(sheet, &moved, keep)) return error_memory(err);
    }
    take_cells(sheet, turned, spot);
    return true;
}

double sheet_extent_mm(const OpenSheet *sheet)
{
    double extent = 0;
    for (size_t i = 0; i < sheet->laid_count; i++)
        extent = fmax(extent, sheet->laid[i].y_mm + sheet->laid[i].turned->height_mm);
    return extent;
}
