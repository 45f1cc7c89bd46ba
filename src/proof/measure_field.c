// measure_field.c - the index over edges: a uniform grid, filled row by row so that a long slanting edge lies only in
// the cells that it passes.
#include "proof/measure.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define MAX_HELD 100000000u
#define MAX_PAIRS 1e9 // edges that lie in one cell, in pairs: what looking at all neighbours costs; a real kit has 1e6
#define CELL_LEAST_MM 1.0
#define CELLS_AN_EDGE 2.0
#define CHUNK_MM 2.0 // a segment is looked at in chunks of this length, each meeting few cells
#define MAX_CROSSINGS 512

static int clamp_cell(double at, int count)
{
    return at < 0.0 ? 0 : at >= (double)count ? count - 1 : (int)at;
}

static int column_of(const Field *f, double x)
{
    return clamp_cell(floor((x - f->box.min.x) / f->cell_mm), f->columns);
}
static int row_of(const Field *f, double y)
{
    return clamp_cell(floor((y - f->box.min.y) / f->cell_mm), f->rows);
}

// The columns that an edge passes within one row of cells, a hair wider than exact.
static void columns_in_row(const Field *f, const Edge *e, int row, int *first, int *last)
{
    const double hair = 1e-7;
    double top = f->box.min.y + row * f->cell_mm - hair, bottom = top + f->cell_mm + 2.0 * hair;
    double x0 = e->a.x, x1 = e->b.x, height = e->b.y - e->a.y;
    if (fabs(height) > 1e-9) {
        double t0 = (top - e->a.y) / height, t1 = (bottom - e->a.y) / height;
        if (t0 > t1) {
            double t = t0;
            t0 = t1;
            t1 = t;
        }
        t0 = fmax(t0, 0.0);
        t1 = fmin(t1, 1.0);
        x0 = e->a.x + t0 * (e->b.x - e->a.x);
        x1 = e->a.x + t1 * (e->b.x - e->a.x);
    }
    *first = column_of(f, fmin(x0, x1) - hair);
    *last = column_of(f, fmax(x0, x1) + hair);
}

static void rows_of(const Field *f, const Edge *e, int *first, int *last)
{
    *first = row_of(f, fmin(e->a.y, e->b.y));
    *last = row_of(f, fmax(e->a.y, e->b.y));
}

static void choose_cells(Field *f)
{
    double width = f->box.max.x - f->box.min.x, height = f->box.max.y - f->box.min.y;
    double most = CELLS_AN_EDGE * f->edge_count + 1024.0;
    f->cell_mm = fmax(CELL_LEAST_MM, sqrt(width * height / most));
    while ((floor(width / f->cell_mm) + 1.0) * (floor(height / f->cell_mm) + 1.0) > 2.0 * most) f->cell_mm *= 1.5;
    f->columns = (int)floor(width / f->cell_mm) + 1;
    f->rows = (int)floor(height / f->cell_mm) + 1;
}

// Counts first, then fills: the counts become offsets in between.
static bool count_cells(Field *f, Error *err)
{
    size_t held = 0;
    for (int i = 0; i < f->edge_count; i++) {
        int r0, r1, c0, c1;
        rows_of(f, &f->edges[i], &r0, &r1);
        for (int r = r0; r <= r1; r++) {
            columns_in_row(f, &f->edges[i], r, &c0, &c1);
            for (int c = c0; c <= c1; c++) f->first[(size_t)r * (size_t)f->columns + (size_t)c + 1]++;
            f->row_first[r + 1]++;
            held += (size_t)(c1 - c0 + 2);
        }
        if (held > MAX_HELD)
            return error_set(err, ERROR_INPUT, "the outlines are too many or too long to be looked at");
    }
    return true;
}

static void fill_cells(Field *f, int *cell_next, int *row_next)
{
    for (int i = 0; i < f->edge_count; i++) {
        int r0, r1, c0, c1;
        rows_of(f, &f->edges[i], &r0, &r1);
        for (int r = r0; r <= r1; r++) {
            columns_in_row(f, &f->edges[i], r, &c0, &c1);
            for (int c = c0; c <= c1; c++) f->held[cell_next[(size_t)r * (size_t)f->columns + (size_t)c]++] = i;
            f->row_held[row_next[r]++] = i;
        }
    }
}

bool measure_field(const Edge *edges, size_t count, Arena *arena, Field *out, Error *err)
{
    Field f = {.edges = edges, .edge_count = (int)count, .box = {{INFINITY, INFINITY}, {-INFINITY, -INFINITY}}};
    *out = (Field){0};
    for (size_t i = 0; i < count; i++) {
        f.box.min.x = fmin(f.box.min.x, fmin(edges[i].a.x, edges[i].b.x));
        f.box.min.y = fmin(f.box.min.y, fmin(edges[i].a.y, edges[i].b.y));
        f.box.max.x = fmax(f.box.max.x, fmax(edges[i].a.x, edges[i].b.x));
        f.box.max.y = fmax(f.box.max.y, fmax(edges[i].a.y, edges[i].b.y));
    }
    if (count == 0) f.box = (SpotBox){{0.0, 0.0}, {0.0, 0.0}};
    choose_cells(&f);
    size_t cells = (size_t)f.columns * (size_t)f.rows;
    f.first = arena_new(arena, int, cells + 1);
    f.row_first = arena_new(arena, int, f.rows + 1);
    if (!f.first || !f.row_first) return error_memory(err);
    if (!count_cells(&f, err)) return false;
    double pairs = 0.0;
    for (size_t i = 0; i < cells; i++) {
        pairs += (double)f.first[i + 1] * f.first[i + 1];
        f.first[i + 1] += f.first[i];
    }
    if (pairs > MAX_PAIRS) return error_set(err, ERROR_INPUT, "too many edges lie in one place");
    for (int i = 0; i < f.rows; i++) f.row_first[i + 1] += f.row_first[i];
    f.held = arena_new(arena, int, f.first[cells]);
    f.row_held = arena_new(arena, int, f.row_first[f.rows]);
    int *cell_next = arena_copy(arena, f.first, cells + 1, sizeof(int));
    int *row_next = arena_copy(arena, f.row_first, (size_t)f.rows + 1, sizeof(int));
    if (!f.held || !f.row_held || !cell_next || !row_next) return error_memory(err);
    fill_cells(&f, cell_next, row_next);
    *out = f;
    return true;
}

bool measure_inside(const Field *f, Spot p)
{
    if (f->edge_count == 0 || p.x < f->box.min.x || p.x > f->box.max.x || p.y < f->box.min.y || p.y > f->box.max.y)
        return false;
    int row = row_of(f, p.y);
    bool inside = false;
    for (int i = f->row_first[row]; i < f->row_first[row + 1]; i++) {
        const Edge *e = &f->edges[f->row_held[i]];
        if ((e->a.y > p.y) == (e->b.y > p.y)) continue;
        const Spot *low = e->a.y < e->b.y ? &e->a : &e->b, *high = low == &e->a ? &e->b : &e->a;
        double x = low->x + (p.y - low->y) / (high->y - low->y) * (high->x - low->x);
        if (x < p.x) inside = !inside;
    }
    return inside;
}

double measure_to_edge(Spot p, const Edge *e)
{
    double dx = e->b.x - e->a.x, dy = e->b.y - e->a.y, square = dx * dx + dy * dy;
    double t = square > 0.0 ? ((p.x - e->a.x) * dx + (p.y - e->a.y) * dy) / square : 0.0;
    t = t < 0.0 ? 0.0 : t > 1.0 ? 1.0 : t;
    return measure_gap(p, (Spot){e->a.x + t * dx, e->a.y + t * dy});
}

static bool out_of_reach(const Field *f, Spot p, double reach)
{
    return f->edge_count == 0 || p.x < f->box.min.x - reach || p.x > f->box.max.x + reach ||
           p.y < f->box.min.y - reach || p.y > f->box.max.y + reach;
}

double measure_distance(const Field *f, Spot p, double limit_mm, int but_owner, int *edge)
{
    double best = limit_mm;
    if (edge) *edge = -1;
    if (out_of_reach(f, p, limit_mm)) return best;
    int r1 = row_of(f, p.y + limit_mm), c0 = column_of(f, p.x - limit_mm), c1 = column_of(f, p.x + limit_mm);
    for (int r = row_of(f, p.y - limit_mm); r <= r1; r++)
        for (int c = c0; c <= c1; c++) {
            size_t cell = (size_t)r * (size_t)f->columns + (size_t)c;
            for (int i = f->first[cell]; i < f->first[cell + 1]; i++) {
                const Edge *e = &f->edges[f->held[i]];
                if (e->owner == but_owner) continue;
                double d = measure_to_edge(p, e);
                if (d >= best) continue;
                best = d;
                if (edge) *edge = f->held[i];
            }
        }
    return best;
}

void measure_near(const Field *f, Spot p, double reach_mm, MeasureVisit *visit, void *data)
{
    if (out_of_reach(f, p, reach_mm)) return;
    int r1 = row_of(f, p.y + reach_mm), c0 = column_of(f, p.x - reach_mm), c1 = column_of(f, p.x + reach_mm);
    for (int r = row_of(f, p.y - reach_mm); r <= r1; r++)
        for (int c = c0; c <= c1; c++) {
            size_t cell = (size_t)r * (size_t)f->columns + (size_t)c;
            for (int i = f->first[cell]; i < f->first[cell + 1]; i++) {
                double d = measure_to_edge(p, &f->edges[f->held[i]]);
                if (d <= reach_mm) visit(data, f->held[i], d);
            }
        }
}

// Where the open segment a-b crosses edges of the field, as parameters along it; returns the new count, or -1 when
// full.
static int add_crossings(const Field *f, Spot a, Spot b, double *at, int count)
{
    double x0 = fmin(a.x, b.x), x1 = fmax(a.x, b.x), y0 = fmin(a.y, b.y), y1 = fmax(a.y, b.y);
    if (f->edge_count == 0 || x0 > f->box.max.x || x1 < f->box.min.x || y0 > f->box.max.y || y1 < f->box.min.y)
        return count;
    int r1 = row_of(f, y1), c0 = column_of(f, x0), c1 = column_of(f, x1);
    for (int r = row_of(f, y0); r <= r1; r++)
        for (int c = c0; c <= c1; c++) {
            size_t cell = (size_t)r * (size_t)f->columns + (size_t)c;
            for (int i = f->first[cell]; i < f->first[cell + 1]; i++) {
                const Edge *e = &f->edges[f->held[i]];
                double dx = b.x - a.x, dy = b.y - a.y, ex = e->b.x - e->a.x, ey = e->b.y - e->a.y;
                double under = dx * ey - dy * ex;
                if (under == 0.0) continue; // along the segment: its neighbours cross it or touch it
                double t = ((e->a.x - a.x) * ey - (e->a.y - a.y) * ex) / under;
                double s = ((e->a.x - a.x) * dy - (e->a.y - a.y) * dx) / under;
                if (t <= 0.0 || t >= 1.0 || s < -1e-9 || s > 1.0 + 1e-9) continue;
                if (count == MAX_CROSSINGS) return -1;
                at[count++] = t;
            }
        }
    return count;
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static bool strays_at(const Field *const *fields, int count, Spot p, bool wanted_inside, double tolerance_mm)
{
    bool inside = false;
    for (int i = 0; i < count && !inside; i++) inside = measure_inside(fields[i], p);
    if (inside == wanted_inside) return false;
    for (int i = 0; i < count; i++)
        if (measure_distance(fields[i], p, 2.0 * tolerance_mm, -2, NULL) <= tolerance_mm) return false;
    return true;
}

static bool chunk_strays(const Field *const *fields, int count, Spot a, Spot b, bool wanted_inside, double tolerance_mm,
                         Spot *at)
{
    double cut[MAX_CROSSINGS + 2];
    int n = 1;
    cut[0] = 0.0;
    for (int i = 0; i < count && n > 0; i++) n = add_crossings(fields[i], a, b, cut, n);
    *at = a;
    if (n < 0) return true; // no honest mark crosses hundreds of edges within 2 mm
    qsort(cut, (size_t)n, sizeof *cut, by_value);
    cut[n++] = 1.0;
    double length = measure_gap(a, b);
    for (int i = 0; i + 1 < n; i++) {
        double wide = cut[i + 1] - cut[i];
        if (wide * length <= tolerance_mm && n > 2) continue;
        const double share[3] = {0.5, 0.02, 0.98};
        for (int k = 0; k < 3; k++) {
            double t = cut[i] + share[k] * wide;
            Spot p = {a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
            if (!strays_at(fields, count, p, wanted_inside, tolerance_mm)) continue;
            *at = p;
            return true;
        }
    }
    return false;
}

bool measure_strays(const Field *const *fields, int field_count, Spot a, Spot b, bool wanted_inside,
                    double tolerance_mm, Spot *at)
{
    double length = measure_gap(a, b);
    int n = (int)fmin(ceil(length / CHUNK_MM), 1e6);
    if (n < 1) n = 1;
    for (int k = 0; k < n; k++) {
        double s = (double)k / n, e = (double)(k + 1) / n;
        Spot from = {a.x + s * (b.x - a.x), a.y + s * (b.y - a.y)}, to = {a.x + e * (b.x - a.x), a.y + e * (b.y - a.y)};
        if (chunk_strays(fields, field_count, from, to, wanted_inside, tolerance_mm, at)) return true;
    }
    return false;
}
