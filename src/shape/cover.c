// cover.c - an index over rings: is this point inside, and which part of this line is inside?
// How:  from a point p to the known point of its cell, the edges crossed are counted by exact tests on whole numbers
//       (an end of an edge on the line counts as left of it, so that a line through a vertex is counted right). A line
//       is followed twice, shifted by nothing to its right and to its left: where either is inside, it is inside; so a
//       line along an edge is inside too.
#include "shape/cover.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>

#define EDGES_A_CELL 1.0 // fewer: more cells to fill and to walk through; more: more edges to look at for each point
#define CELL_MIN_UM 16.0 // a cell must have room for a point on no edge
#define CELLS_MOST 4000000.0 // memory: 13 bytes a cell
#define SPAN_LEAST_UM 1e-3   // shorter spans and gaps come from rounding in the places of crossings

#define FEW 24

// ---- the grid ----

static int clamp_int(int v, int low, int high)
{
    return v < low ? low : v > high ? high : v;
}

static int column_of(const Cover *cover, double x_um)
{
    double at = floor((x_um - cover->box.min.x) / cover->cell_um);
    return at < 0.0 ? 0 : at >= cover->columns ? cover->columns - 1 : (int)at;
}

static int row_of(const Cover *cover, double y_um)
{
    double at = floor((y_um - cover->box.min.y) / cover->cell_um);
    return at < 0.0 ? 0 : at >= cover->rows ? cover->rows - 1 : (int)at;
}

typedef struct RowPart {
    int row, from, to;
} RowPart; // cells from..to of a row

typedef struct CellWalk { // the cells that a segment touches, row by row, a micrometre of margin on all sides
    const Cover *cover;
    Point a, b;
    int row, last_row;
} CellWalk;

static CellWalk cell_walk(const Cover *cover, Point a, Point b)
{
    if (a.y > b.y) {
        Point c = a;
        a = b, b = c;
    }
    return (CellWalk){cover, a, b, row_of(cover, a.y - 1.0), row_of(cover, b.y + 1.0)};
}

static bool next_row(CellWalk *walk, RowPart *out)
{
    if (walk->row > walk->last_row) return false;
    const Cover *cover = walk->cover;
    double x0 = walk->a.x, x1 = walk->b.x;
    if (walk->a.y != walk->b.y) {
        double slope = ((double)walk->b.x - walk->a.x) / ((double)walk->b.y - walk->a.y);
        double top = cover->box.min.y + walk->row * cover->cell_um - 1.0, bottom = top + cover->cell_um + 2.0;
        if (walk->row > 0 && top > walk->a.y) x0 = walk->a.x + slope * (top - walk->a.y);
        if (walk->row + 1 < cover->rows && bottom < walk->b.y) x1 = walk->a.x + slope * (bottom - walk->a.y);
    }
    *out = (RowPart){walk->row++, column_of(cover, fmin(x0, x1) - 1.0), column_of(cover, fmax(x0, x1) + 1.0)};
    return true;
}

static void choose_grid(Cover *cover)
{
    double width = (double)cover->box.max.x - cover->box.min.x + 1.0,
           height = (double)cover->box.max.y - cover->box.min.y + 1.0;
    double wanted = fmin(fmax(cover->edge_count / EDGES_A_CELL, 1.0), CELLS_MOST);
    cover->cell_um = fmax(sqrt(width * height / wanted), CELL_MIN_UM);
    cover->cell_um = fmax(cover->cell_um, fmax(width, height) / (2.0 * sqrt(CELLS_MOST))); // long and thin shapes
    cover->columns = (int)floor(width / cover->cell_um) + 1;
    cover->rows = (int)floor(height / cover->cell_um) + 1;
}

static void count_cells(const Cover *cover, const CoverEdge *edge, int step, int index)
{
    CellWalk walk = cell_walk(cover, edge->a, edge->b);
    for (RowPart part; next_row(&walk, &part);) {
        for (int c = part.from; c <= part.to; c++) {
            int *slot = &cover->first[part.row * cover->columns + c];
            if (step > 0)
                *slot += 1;
            else
                cover->held[--*slot] = index;
        }
    }
}

// Counting sort of the edges into cells; filled from behind, so that indices rise within a cell.
static bool fill_grid(Cover *cover, Arena *keep, Error *err)
{
    int cells = cover->columns * cover->rows;
    cover->first = arena_new(keep, int, (size_t)cells + 1);
    if (!cover->first) return error_memory(err);
    for (int i = 0; i < cover->edge_count; i++) count_cells(cover, &cover->edges[i], 1, i);
    int64_t sum = 0;
    for (int i = 0; i < cells; i++) {
        sum += cover->first[i];
        if (sum > INT32_MAX) return error_set(err, ERROR_SYSTEM, "the outline has too many points to be indexed");
        cover->first[i] = (int)sum;
    }
    cover->first[cells] = (int)sum;
    cover->held = arena_new(keep, int, sum);
    if (!cover->held) return error_memory(err);
    for (int i = cover->edge_count - 1; i >= 0; i--) count_cells(cover, &cover->edges[i], -1, i);
    return true;
}

// ---- counting crossings ----

// True when the way from p to q crosses edge a-b; p and q are not on the edge.
static bool way_crosses(Point p, Point q, const CoverEdge *edge)
{
    if ((point_cross(p, q, edge->a) > 0) == (point_cross(p, q, edge->b) > 0)) return false;
    return (point_cross(edge->a, edge->b, p) > 0) != (point_cross(edge->a, edge->b, q) > 0);
}

static bool on_some_edge(const Cover *cover, int cell, Point p)
{
    for (int i = cover->first[cell]; i < cover->first[cell + 1]; i++)
        if (point_on_segment(p, cover->edges[cover->held[i]].a, cover->edges[cover->held[i]].b)) return true;
    return false;
}

// A point of the cell that is on no edge: near the middle first, then over the whole cell.
static Point free_point(const Cover *cover, int column, int row)
{
    int cell = row * cover->columns + column;
    double left = cover->box.min.x + column * cover->cell_um, top = cover->box.min.y + row * cover->cell_um;
    int side = (int)cover->cell_um - 1;
    Point middle = {(int32_t)(left + cover->cell_um / 2.0), (int32_t)(top + cover->cell_um / 2.0)};
    if (!on_some_edge(cover, cell, middle)) return middle;
    Point corner = {(int32_t)ceil(left), (int32_t)ceil(top)};
    for (int64_t i = 0; i < (int64_t)side * side; i++) { // steps by a number prime to most sides: spread over the cell
        int64_t at = i * 7919 % ((int64_t)side * side);
        Point p = {corner.x + (int32_t)(at % side), corner.y + (int32_t)(at / side)};
        if (!on_some_edge(cover, cell, p)) return p;
    }
    return middle; // not reached by edges of rings: a cell has more points than edges could cover
}

// Edges of two cells of a row that the way between their known points crosses; an edge that both hold counts once.
static bool crossed_odd(const Cover *cover, int cell_a, int cell_b, Point p, Point q)
{
    bool odd = false;
    int i = cover->first[cell_a], i_end = cover->first[cell_a + 1], j = cover->first[cell_b],
        j_end = cover->first[cell_b + 1];
    while (i < i_end || j < j_end) {
        int edge;
        if (j == j_end || (i < i_end && cover->held[i] <= cover->held[j])) {
            edge = cover->held[i++];
            if (j < j_end && cover->held[j] == edge) j++;
        } else {
            edge = cover->held[j++];
        }
        if (way_crosses(p, q, &cover->edges[edge])) odd = !odd;
    }
    return odd;
}

static bool know_cells(Cover *cover, Arena *keep, Error *err)
{
    int cells = cover->columns * cover->rows;
    cover->known = arena_new(keep, Point, cells);
    cover->known_inside = arena_new(keep, bool, cells);
    if (!cover->known || !cover->known_inside) return error_memory(err);
    for (int row = 0; row < cover->rows; row++) {
        for (int column = 0; column < cover->columns; column++) {
            int cell = row * cover->columns + column, before = column > 0 ? cell - 1 : cell;
            cover->known[cell] = free_point(cover, column, row);
            Point from = column > 0 ? cover->known[before] : (Point){cover->box.min.x - 2, cover->known[cell].y};
            bool inside = column > 0 && cover->known_inside[before];
            cover->known_inside[cell] = inside != crossed_odd(cover, before, cell, from, cover->known[cell]);
        }
    }
    return true;
}

bool cover_index(CoverEdge *edges, int count, Arena *keep, Cover *out, Error *err)
{
    *out = (Cover){0};
    Cover cover = {.edges = edges, .edge_count = count, .box = box_empty()};
    for (int i = 0; i < count; i++) {
        box_add(&cover.box, edges[i].a);
        box_add(&cover.box, edges[i].b);
    }
    if (count > 0) {
        choose_grid(&cover);
        if (!fill_grid(&cover, keep, err)) return false;
    }
    *out = cover;
    return true;
}

static CoverEdge *ring_edges(const Rings *rings, Arena *keep, int *out_count)
{
    size_t count = 0;
    for (int i = 0; i < rings->count; i++) count += (size_t)rings->items[i].count;
    CoverEdge *edges = arena_new(keep, CoverEdge, count);
    *out_count = 0;
    if (!edges) return NULL;
    for (int i = 0; i < rings->count; i++) {
        const Ring *ring = &rings->items[i];
        for (int j = 0; j < ring->count; j++)
            edges[(*out_count)++] = (CoverEdge){ring->points[j], ring->points[j + 1 < ring->count ? j + 1 : 0]};
    }
    return edges;
}

bool cover_make(const Rings *rings, Arena *keep, Cover *out, Error *err)
{
    *out = (Cover){0};
    int count;
    CoverEdge *edges = ring_edges(rings, keep, &count);
    if (!edges) return error_memory(err);
    Cover cover;
    if (!cover_index(edges, count, keep, &cover, err)) return false;
    if (count > 0 && !know_cells(&cover, keep, err)) return false;
    *out = cover;
    return true;
}

// ---- points ----

static bool box_holds(Box box, Point p)
{
    return p.x >= box.min.x && p.x <= box.max.x && p.y >= box.min.y && p.y <= box.max.y;
}

int cover_cell(const Cover *cover, Point p)
{
    return row_of(cover, p.y) * cover->columns + column_of(cover, p.x);
}

bool cover_contains(const Cover *cover, Point p)
{
    if (cover->edge_count == 0 || !box_holds(cover->box, p)) return false;
    int cell = cover_cell(cover, p);
    bool inside = cover->known_inside[cell];
    for (int i = cover->first[cell]; i < cover->first[cell + 1]; i++) {
        const CoverEdge *edge = &cover->edges[cover->held[i]];
        if (point_on_segment(p, edge->a, edge->b)) return true;
        if (way_crosses(p, cover->known[cell], edge)) inside = !inside;
    }
    return inside;
}

// ---- lines ----

typedef struct Away {
    int64_t x, y;
} Away; // a direction from the start of a line

static Away away(Point from, Point to)
{
    return (Away){(int64_t)to.x - from.x, (int64_t)to.y - from.y};
}
static int64_t away_cross(Away a, Away b)
{
    return a.x * b.y - a.y * b.x;
}

// How far one turns (to rising angles) from u to v: 0 = not at all, 1 = less than half a turn, 2 = half, 3 = more.
static int turn_class(Away u, Away v)
{
    int64_t cross = away_cross(u, v);
    if (cross != 0) return cross > 0 ? 1 : 3;
    return (double)u.x * (double)v.x + (double)u.y * (double)v.y > 0.0 ? 0 : 2;
}

// -1, 0, +1 as the turn from u to v is less than, equal to or more than the one to w.
static int compare_turns(Away u, Away v, Away w)
{
    int v_class = turn_class(u, v), w_class = turn_class(u, w);
    if (v_class != w_class) return v_class < w_class ? -1 : 1;
    int64_t cross = away_cross(v, w);
    return v_class == 0 || v_class == 2 ? 0 : (cross < 0) - (cross > 0);
}

typedef struct Sides {
    bool right, left;
} Sides; // is the line inside when shifted to its right, to its left?

// An edge through the line's start a leaves it in one or two directions. Each one that lies between the way from which
// a was reached and the line's own direction is one more crossing.
static void turn_past(Away from, Away line, Away ray, Sides *sides)
{
    if (ray.x == 0 && ray.y == 0) return;
    int order = compare_turns(from, ray, line);
    if (order < 0) sides->left = !sides->left;
    if (order <= 0) sides->right = !sides->right;
}

// Whether the line from a to b starts inside, just after a.
static Sides start_sides(const Cover *cover, Point a, Point b)
{
    if (!box_holds(cover->box, a)) return (Sides){false, false};
    int cell = cover_cell(cover, a);
    Point known = cover->known[cell];
    bool inside = cover->known_inside[cell];
    Away from = away(a, known), line = away(a, b);
    Sides sides = {false, false};
    for (int i = cover->first[cell]; i < cover->first[cell + 1]; i++) {
        const CoverEdge *edge = &cover->edges[cover->held[i]];
        if (point_on_segment(a, edge->a, edge->b)) {
            turn_past(from, line, away(a, edge->a), &sides);
            turn_past(from, line, away(a, edge->b), &sides);
        } else if (way_crosses(known, a, edge)) {
            inside = !inside;
        }
    }
    return (Sides){sides.right != inside, sides.left != inside};
}

typedef struct Crossing {
    double t;
    int edge;
    bool right, left;
} Crossing; // which of the two shifted lines crosses

static bool comes_later(const Crossing *a, const Crossing *b)
{
    return a->t != b->t ? a->t > b->t : a->edge > b->edge;
}

static int by_t(const void *a, const void *b)
{
    return comes_later(a, b) - comes_later(b, a);
}

// True when the edge crosses the line strictly between its ends, or at its start or end where only a shifted one does.
static bool crossing_of(const CoverEdge *edge, Point a, Point b, Crossing *out)
{
    int64_t side_a = point_cross(a, b, edge->a), side_b = point_cross(a, b, edge->b);
    out->right = (side_a > 0) != (side_b > 0);
    out->left = (side_a >= 0) != (side_b >= 0);
    if (!out->right && !out->left) return false;
    // The line meets the edge's line at t = top / under, both exact.
    Away e = away(edge->a, edge->b);
    int64_t top = away_cross(away(a, edge->a), e), under = away_cross(away(a, b), e);
    if (under < 0) top = -top, under = -under;
    if (top <= 0 || top >= under) return false;
    out->t = (double)top / (double)under;
    return true;
}

// Few are sorted quickest by moving each one down to its place. An edge that several cells hold comes once for each.
static int sort_crossings(Crossing *items, int count)
{
    int kept = 0;
    if (count > FEW) qsort(items, (size_t)count, sizeof *items, by_t);
    for (int i = 1; count <= FEW && i < count; i++) {
        Crossing c = items[i];
        int k = i;
        for (; k > 0 && comes_later(&items[k - 1], &c); k--) items[k] = items[k - 1];
        items[k] = c;
    }
    for (int i = 0; i < count; i++)
        if (kept == 0 || items[kept - 1].edge != items[i].edge) items[kept++] = items[i];
    return kept;
}

// Where edges near a line cross it, in order; NULL when memory ran out.
static Crossing *crossings_along(const Cover *cover, Point a, Point b, Arena *scratch, int *out_count)
{
    RowPart part;
    Crossing *crossings = NULL;
    size_t room = 0, count = 0;
    *out_count = 0;
    for (CellWalk walk = cell_walk(cover, a, b); next_row(&walk, &part);) {
        int row = part.row * cover->columns;
        for (int i = cover->first[row + part.from]; i < cover->first[row + part.to + 1]; i++) {
            Crossing crossing = {.edge = cover->held[i]};
            if (!crossing_of(&cover->edges[crossing.edge], a, b, &crossing)) continue;
            crossings = arena_grow(scratch, crossings, count, &room, sizeof *crossings);
            if (!crossings) return NULL;
            crossings[count++] = crossing;
        }
    }
    if (!crossings) return arena_new(scratch, Crossing, 0);
    *out_count = sort_crossings(crossings, (int)count);
    return crossings;
}

static int join_spans(const Crossing *crossings, int count, Sides sides, double least, Span *spans)
{
    int n = 0;
    double from = 0.0;
    for (int i = 0; i <= count; i++) {
        double to = i < count ? crossings[i].t : 1.0;
        if ((sides.right || sides.left) && to > from) {
            if (n > 0 && from - spans[n - 1].t1 < least)
                spans[n - 1].t1 = to;
            else
                spans[n++] = (Span){from, to};
        }
        if (i == count) break;
        sides.right = sides.right != crossings[i].right;
        sides.left = sides.left != crossings[i].left;
        from = to;
    }
    int kept = 0;
    for (int i = 0; i < n; i++)
        if (spans[i].t1 - spans[i].t0 >= least) spans[kept++] = spans[i];
    return kept;
}

Span *cover_spans(const Cover *cover, Point a, Point b, Arena *keep, int *out_count)
{
    *out_count = 0;
    if (cover->edge_count == 0 || point_equal(a, b)) return arena_new(keep, Span, 0);
    int crossing_count;
    Crossing *crossings = crossings_along(cover, a, b, keep, &crossing_count);
    if (!crossings) return NULL;
    Span *spans = arena_new(keep, Span, crossing_count + 1);
    if (!spans) return NULL;
    double least = SPAN_LEAST_UM / (point_distance_mm(a, b) * UM_PER_MM);
    *out_count = join_spans(crossings, crossing_count, start_sides(cover, a, b), least, spans);
    return spans;
}

double cover_length_mm(const Cover *cover, Point a, Point b, Arena *scratch)
{
    ArenaMark mark = arena_mark(scratch);
    int count;
    Span *spans = cover_spans(cover, a, b, scratch, &count);
    double share = 0.0;
    for (int i = 0; i < count; i++) share += spans[i].t1 - spans[i].t0;
    arena_rewind(scratch, mark);
    return spans ? share * point_distance_mm(a, b) : -1.0;
}

// ---- distance ----

// An edge is at least as far away as its box is along x or y.
static int32_t axis_gap_um(const CoverEdge *edge, Point p)
{
    int32_t x0 = edge->a.x < edge->b.x ? edge->a.x : edge->b.x, x1 = edge->a.x < edge->b.x ? edge->b.x : edge->a.x;
    int32_t y0 = edge->a.y < edge->b.y ? edge->a.y : edge->b.y, y1 = edge->a.y < edge->b.y ? edge->b.y : edge->a.y;
    int32_t x = p.x < x0 ? x0 - p.x : p.x - x1, y = p.y < y0 ? y0 - p.y : p.y - y1;
    return x > y ? x : y;
}

static double nearest_in_cell(const Cover *cover, int column, int row, Point p, double best_mm)
{
    int cell = row * cover->columns + column;
    for (int i = cover->first[cell]; i < cover->first[cell + 1]; i++) {
        const CoverEdge *edge = &cover->edges[cover->held[i]];
        if (axis_gap_um(edge, p) > best_mm * (UM_PER_MM * (1.0 + 1e-9))) continue; // more than rounding farther off
        double here_mm = point_segment_distance_mm(p, edge->a, edge->b);
        if (here_mm < best_mm) best_mm = here_mm;
    }
    return best_mm;
}

// Looks at the square of cells at `steps` around a cell.
static double nearest_in_square(const Cover *cover, int column, int row, int steps, Point p, double best_mm)
{
    int left = clamp_int(column - steps, 0, cover->columns - 1),
        right = clamp_int(column + steps, 0, cover->columns - 1);
    for (int r = row - steps; r <= row + steps; r++) {
        if (r < 0 || r >= cover->rows) continue;
        bool whole = r == row - steps || r == row + steps;
        for (int c = left; c <= right; c++) {
            if (!whole && c != column - steps && c != column + steps) {
                c = column + steps - 1; // jump to the right side
                continue;
            }
            best_mm = nearest_in_cell(cover, c, r, p, best_mm);
        }
    }
    return best_mm;
}

double cover_distance_mm(const Cover *cover, Point p, double limit_mm)
{
    if (cover->edge_count == 0) return limit_mm;
    // From a place outside the grid the walk starts at the nearest cell, `away_um` off.
    double dx = fmax(fmax((double)cover->box.min.x - p.x, (double)p.x - cover->box.max.x), 0.0);
    double dy = fmax(fmax((double)cover->box.min.y - p.y, (double)p.y - cover->box.max.y), 0.0);
    double away_um = sqrt(dx * dx + dy * dy), best_mm = limit_mm;
    if (away_um / UM_PER_MM >= limit_mm) return limit_mm;
    int column = column_of(cover, p.x), row = row_of(cover, p.y);
    int most = cover->columns > cover->rows ? cover->columns : cover->rows;
    for (int steps = 0; steps <= most; steps++) {
        // Cells at `steps` lie at least steps - 1 cells away from the cell where the walk starts, hence from p.
        if ((steps - 1) * cover->cell_um / UM_PER_MM >= best_mm) break;
        best_mm = nearest_in_square(cover, column, row, steps, p, best_mm);
    }
    return best_mm;
}
