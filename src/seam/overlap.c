// overlap.c - see overlap.h.
#include "seam/overlap.h"

#include "seam/ends.h"
#include "seam/mincut.h"

#include <limits.h>
#include <math.h>

#define LEAST_CELL_MM 4.0 // finer cells find no other ways: ends and bends are moved afterwards
#define MOST_CELLS 8000   // larger overlaps have larger cells
#define LEAST_CELLS_WIDE 3
#define EPSILON_MM 1e-6   // a sheet's own edge is on it
#define BESIDE_OUTLINE_IN 0.5 // a seam along the outline leaves a strip: what judge.c takes for it, about
#define NO_END_IN 8.0     // ends there are not taken (ends_may_lie)
#define JOINT_MM 8.0      // but at a joint they are
#define LINK_UNIT 10000.0 // of a capacity: a cell's side in sight
#define AXIS_LINK 3927.0  // of a link along x or y: pi / 8 of it ...
#define SLANT_LINK 2777.0 // ... and of one across a corner: pi / (8 sqrt 2)

// ---- sheets ----

static Stretch extent(const Point *hull, int count, double cos, double sin)
{
    Stretch s = {INFINITY, -INFINITY};
    for (int i = 0; i < count; i++) {
        double at = (hull[i].x * cos + hull[i].y * sin) / UM_PER_MM;
        if (at < s.lo) s.lo = at;
        if (at > s.hi) s.hi = at;
    }
    return s;
}

static double middle(const Point *hull, int count, double cos, double sin)
{
    Stretch s = extent(hull, count, cos, sin);
    return 0.5 * (s.lo + s.hi);
}

// As near to `target` with its middle as a sheet of that size comes without leaving its piece.
static double slide(Stretch piece, double size, double target)
{
    return fmin(fmax(target - 0.5 * size, piece.hi - size), piece.lo);
}

static SheetPlace place_sheet(const NetFace *piece, const NetFace *other, Space space, Fit fit)
{
    SheetPlace s = {fit, 0.0, 0.0, space.width_mm, space.height_mm};
    Stretch u = extent(piece->hull, piece->hull_count, fit.cos, -fit.sin);
    Stretch v = extent(piece->hull, piece->hull_count, fit.sin, fit.cos);
    s.u_mm = slide(u, s.width_mm, middle(other->hull, other->hull_count, fit.cos, -fit.sin));
    s.v_mm = slide(v, s.height_mm, middle(other->hull, other->hull_count, fit.sin, fit.cos));
    return s;
}

bool sheet_covers(const SheetPlace *s, double x_mm, double y_mm)
{
    double u = x_mm * s->fit.cos - y_mm * s->fit.sin - s->u_mm, v = x_mm * s->fit.sin + y_mm * s->fit.cos - s->v_mm;
    return u >= -EPSILON_MM && u <= s->width_mm + EPSILON_MM && v >= -EPSILON_MM && v <= s->height_mm + EPSILON_MM;
}

// How far the sheet's middle stays away from the other piece's, squared.
static double stays_away(const SheetPlace *s, const NetFace *other)
{
    double u = s->u_mm + 0.5 * s->width_mm - middle(other->hull, other->hull_count, s->fit.cos, -s->fit.sin);
    double v = s->v_mm + 0.5 * s->height_mm - middle(other->hull, other->hull_count, s->fit.sin, s->fit.cos);
    return u * u + v * v;
}

// Of the turns along x and y at which it fits, the one that brings the sheet nearer to the other piece. A sheet that lies
// the other way would reach no better course: tried, and nothing came of it.
static bool best_place(const NetFace *piece, const NetFace *other, Space space, SheetPlace *out)
{
    static const Fit straight[2] = {{1.0, 0.0}, {0.0, 1.0}};
    double nearest = INFINITY;
    for (int i = 0; i < (space.upright ? 1 : 2); i++) {
        if (!hull_fits_at(piece->hull, piece->hull_count, space, straight[i])) continue;
        SheetPlace place = place_sheet(piece, other, space, straight[i]);
        double away = stays_away(&place, other);
        if (away >= nearest) continue;
        nearest = away;
        *out = place;
    }
    Fit fit;
    if (nearest < INFINITY) return true;
    if (!hull_fits(piece->hull, piece->hull_count, space, &fit)) return false;
    *out = place_sheet(piece, other, space, fit);
    return true;
}

// ---- cells ----

static void add_corners(const SheetPlace *s, Stretch *x, Stretch *y)
{
    *x = *y = (Stretch){INFINITY, -INFINITY};
    for (int i = 0; i < 4; i++) {
        double u = s->u_mm + (i % 2 ? s->width_mm : 0.0), v = s->v_mm + (i / 2 ? s->height_mm : 0.0);
        double px = u * s->fit.cos + v * s->fit.sin, py = v * s->fit.cos - u * s->fit.sin;
        *x = (Stretch){fmin(x->lo, px), fmax(x->hi, px)};
        *y = (Stretch){fmin(y->lo, py), fmax(y->hi, py)};
    }
}

// The box that both sheets and the part have in common, in cells, and one cell more all round.
static bool lay_cells(const Part *part, Overlap *o)
{
    Stretch x = {part->box.min.x / UM_PER_MM, part->box.max.x / UM_PER_MM};
    Stretch y = {part->box.min.y / UM_PER_MM, part->box.max.y / UM_PER_MM};
    for (int i = 0; i < 2; i++) {
        Stretch sx, sy;
        add_corners(&o->sheet[i], &sx, &sy);
        x = (Stretch){fmax(x.lo, sx.lo), fmin(x.hi, sx.hi)};
        y = (Stretch){fmax(y.lo, sy.lo), fmin(y.hi, sy.hi)};
    }
    double width = x.hi - x.lo, height = y.hi - y.lo;
    if (width < LEAST_CELLS_WIDE * LEAST_CELL_MM || height < LEAST_CELLS_WIDE * LEAST_CELL_MM) return false;
    o->side_mm = fmax(LEAST_CELL_MM, sqrt(width * height / MOST_CELLS));
    o->columns = (int)ceil(width / o->side_mm) + 2;
    o->rows = (int)ceil(height / o->side_mm) + 2;
    o->x_mm = 0.5 * (x.lo + x.hi) - 0.5 * o->columns * o->side_mm;
    o->y_mm = 0.5 * (y.lo + y.hi) - 0.5 * o->rows * o->side_mm;
    return true;
}

// Adds to each cell of a row the share of its middle line that lies in the row's chords.
static void add_shares(const Overlap *o, const Scan *scan, int row, double *share)
{
    for (int i = scan->first[row]; i + 1 < scan->first[row + 1]; i += 2) {
        double lo = (scan->items[i].at - o->x_mm) / o->side_mm, hi = (scan->items[i + 1].at - o->x_mm) / o->side_mm;
        int last = (int)fmin(o->columns - 1.0, floor(hi));
        for (int k = (int)fmax(0.0, floor(lo)); k <= last; k++)
            share[row * o->columns + k] += fmax(0.0, fmin(hi, k + 1.0) - fmax(lo, k));
    }
}

static CellSide side_of(const Overlap *o, int column, int row)
{
    bool covers[2] = {true, true};
    for (int i = 0; i < 2; i++)
        for (int k = 0; k < 4 && covers[i]; k++)
            covers[i] = sheet_covers(&o->sheet[i], o->x_mm + (column + k % 2) * o->side_mm,
                                     o->y_mm + (row + k / 2) * o->side_mm);
    if (covers[0] && covers[1]) return CELL_FREE;
    if (covers[0] || covers[1]) return covers[0] ? CELL_ONE : CELL_OTHER;
    bool one = sheet_covers(&o->sheet[0], o->x_mm + (column + 0.5) * o->side_mm, o->y_mm + (row + 0.5) * o->side_mm);
    return one ? CELL_ONE : CELL_OTHER;
}

static bool fill_cells(const NetGround *ground, Overlap *o, Arena *keep, Error *err)
{
    static const Frame plain = {1.0, 0.0};
    const Hiding *hiding = ground->hiding;
    Turned part, cover;
    Scan inside, hidden;
    int count = o->columns * o->rows;
    double *rows = arena_new(keep, double, o->rows), *share = arena_new(keep, double, count);
    o->cells = arena_new(keep, CellSide, count);
    o->seen = arena_new(keep, double, count);
    o->shun = arena_new(keep, double, count);
    if (!rows || !share || !o->cells || !o->seen || !o->shun) return error_memory(err);
    for (int i = 0; i < o->rows; i++) rows[i] = o->y_mm + (i + 0.5) * o->side_mm;
    if (!part_turn(ground->part, plain, keep, &part, err) ||
        !scan_lines(&part, LINES_ALONG_U, rows, o->rows, keep, &inside, err) ||
        !boundary_turn(hiding->points, hiding->next, hiding->count, plain, keep, &cover, err) ||
        !hiding_scan(hiding, &cover, LINES_ALONG_U, rows, o->rows, keep, &hidden, err))
        return false;
    for (int row = 0; row < o->rows; row++) {
        add_shares(o, &inside, row, share);
        add_shares(o, &hidden, row, o->seen);
        for (int i = row * o->columns; i < (row + 1) * o->columns; i++) {
            if (share[i] >= 0.5) o->cells[i] = side_of(o, i - row * o->columns, row);
            o->free_count += o->cells[i] == CELL_FREE;
            o->seen[i] = fmax(0.0, 1.0 - o->seen[i]);
        }
    }
    return true;
}

// ---- where a seam is not welcome ----

static int steps_at(const Overlap *o, const int *steps, int column, int row)
{
    bool inside = column >= 0 && column < o->columns && row >= 0 && row < o->rows;
    return inside ? steps[row * o->columns + column] : INT_MAX / 2;
}

// Steps from each cell to one outside the part, a slanting one as long as three halves; in halves.
// Source: in two passes: G. Borgefors, "Distance transformations in digital images", CVGIP 34 (1986) 344-371.
static void find_steps(const Overlap *o, int *steps)
{
    static const int reach[4][3] = {{-1, 0, 2}, {0, -1, 2}, {-1, -1, 3}, {1, -1, 3}};
    int count = o->columns * o->rows;
    for (int i = 0; i < count; i++) steps[i] = o->cells[i] == CELL_OUTSIDE ? 0 : INT_MAX / 2;
    for (int pass = 0; pass < 2; pass++) {
        int way = pass ? -1 : 1;
        for (int n = 0; n < count; n++) {
            int i = pass ? count - 1 - n : n;
            for (int k = 0; k < 4; k++) {
                int there = steps_at(o, steps, i % o->columns + way * reach[k][0], i / o->columns + way * reach[k][1]);
                if (there + reach[k][2] < steps[i]) steps[i] = there + reach[k][2];
            }
        }
    }
}

// Beside the outline, and where no seam in sight is wanted.
static bool shun_places(Overlap *o, const Avoid *avoid, double least_neck_mm, Arena *scratch, Error *err)
{
    int *steps = arena_new(scratch, int, o->columns * o->rows);
    if (!steps) return error_memory(err);
    find_steps(o, steps);
    for (int i = 0; i < o->columns * o->rows; i++) {
        if (0.5 * steps[i] * o->side_mm < least_neck_mm) o->shun[i] = BESIDE_OUTLINE_IN;
        Point middle = point_from_mm(o->x_mm + (i % o->columns + 0.5) * o->side_mm, o->y_mm + (i / o->columns + 0.5) * o->side_mm);
        for (int kind = 0; kind < AVOID_AREAS; kind++) {
            const AvoidArea *area = &avoid->areas[kind];
            if (area->count > 0 && cover_contains(&area->cover, middle)) o->shun[i] += area->per_in * o->seen[i];
        }
    }
    return true;
}

static void shun_round(Overlap *o, Point at)
{
    int column = (int)floor((at.x / UM_PER_MM - o->x_mm) / o->side_mm), row = (int)floor((at.y / UM_PER_MM - o->y_mm) / o->side_mm);
    for (int r = row - 1; r <= row + 1; r++)
        for (int c = column - 1; c <= column + 1; c++)
            if (r >= 0 && r < o->rows && c >= 0 && c < o->columns) o->shun[r * o->columns + c] = NO_END_IN;
}

// Boundary where no seam may end, but for joints.
static void shun_ends(const Part *part, const double *joint_in, Overlap *o)
{
    for (int e = 0; e < part->count; e++) {
        Point a = part->points[e], b = part->points[part->next[e]];
        double length = point_distance_mm(a, b);
        if (part->chain[e] >= 0 && !(part->locked && part->locked[e])) continue;
        int samples = (int)(2.0 * length / o->side_mm) + 1;
        for (int k = 0; k <= samples; k++) {
            double t = (double)k / samples;
            bool at_joint = (joint_in[e] > 0.0 && t * length < JOINT_MM) ||
                            (joint_in[part->next[e]] > 0.0 && (1.0 - t) * length < JOINT_MM);
            if (at_joint || ends_may_lie(part, e, t)) continue;
            shun_round(o, (Point){a.x + (int32_t)(((double)b.x - a.x) * t), a.y + (int32_t)(((double)b.y - a.y) * t)});
        }
    }
}

bool overlap_make(const NetGround *ground, const NetFace pieces[2], const double *joint_in, double least_neck_mm,
                  Arena *keep, Overlap *out, bool *found, Error *err)
{
    *out = (Overlap){.free_count = 0};
    *found = best_place(&pieces[0], &pieces[1], ground->space, &out->sheet[0]) &&
             best_place(&pieces[1], &pieces[0], ground->space, &out->sheet[1]) && lay_cells(ground->part, out);
    if (!*found) return true;
    if (!fill_cells(ground, out, keep, err)) return false;
    *found = out->free_count > 0;
    if (!*found) return true;
    if (!shun_places(out, ground->avoid, least_neck_mm, keep, err)) return false;
    shun_ends(ground->part, joint_in, out);
    return true;
}

// ---- sharing ----

enum { ONE, OTHER, TERMINALS };

static int node_of(const int *number, const Overlap *o, int cell)
{
    switch (o->cells[cell]) {
    case CELL_OUTSIDE: return -1;
    case CELL_ONE: return ONE;
    case CELL_OTHER: return OTHER;
    case CELL_FREE: return number[cell];
    }
    return -1;
}

static double density(const Overlap *o, int cell, double hidden_weight)
{
    return hidden_weight + (1.0 - hidden_weight) * o->seen[cell] + o->shun[cell];
}

// Links between a cell and the four neighbours that come after it.
static int add_links(const Overlap *o, const int *number, int cell, double hidden_weight, CutLink *links, int count)
{
    static const int step[4][2] = {{1, 0}, {0, 1}, {1, 1}, {-1, 1}};
    int column = cell % o->columns, row = cell / o->columns, from = node_of(number, o, cell);
    for (int k = 0; k < 4 && from >= 0; k++) {
        int c = column + step[k][0], r = row + step[k][1];
        if (c < 0 || c >= o->columns || r >= o->rows) continue;
        int other = r * o->columns + c, to = node_of(number, o, other);
        if (to < 0 || to == from) continue;
        double weight = k < 2 ? AXIS_LINK : SLANT_LINK;
        double cost = 0.5 * (density(o, cell, hidden_weight) + density(o, other, hidden_weight)) * weight;
        links[count++] = (CutLink){from, to, (int32_t)(cost + 0.5)};
    }
    return count;
}

bool overlap_share(Overlap *o, double hidden_weight, double most_in, Work *work, bool *found, Error *err)
{
    Arena *scratch = &work->scratch;
    ArenaMark mark = arena_mark(scratch);
    int cells = o->columns * o->rows, nodes = TERMINALS, count = 0;
    int64_t value, most = (int64_t)(most_in * 25.4 / o->side_mm * LINK_UNIT);
    int *number = arena_new(scratch, int, cells);
    CutLink *links = arena_new(scratch, CutLink, 4 * (size_t)cells);
    bool *near = arena_new(scratch, bool, cells + TERMINALS);
    if (!number || !links || !near) return error_memory(err);
    for (int i = 0; i < cells; i++)
        if (o->cells[i] == CELL_FREE) number[i] = nodes++;
    for (int i = 0; i < cells; i++) count = add_links(o, number, i, hidden_weight, links, count);
    bool fine = mincut(links, count, nodes, ONE, OTHER, most, work, near, &value, err);
    *found = fine && value <= most;
    for (int i = 0; i < cells && *found; i++)
        if (o->cells[i] == CELL_FREE) o->cells[i] = near[number[i]] ? CELL_ONE : CELL_OTHER;
    arena_rewind(scratch, mark);
    return fine;
}
