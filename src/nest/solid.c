// solid.c - see solid.h.
#include "nest/solid.h"

#include "shape/overlay.h"

#include <math.h>

#define COVER_SIMPLE_MM 0.06    // the cover is grown by this again; more saves corners and wastes paper between pieces
#define COVER_ARC_MM 0.05       // facets of its round corners, likewise
#define OFFSET_ROUGH 0.01       // what an offset may be off, a share of its distance (shape/overlay.h)
#define WRITTEN_MM 0.012        // as in nest.c
#define FEW_CORNERS 120         // an outline with no more is its own cover when there is no gap
#define GRID_CELLS 600          // first look for a disc's middle
#define FINER 3                 // times that a grid which met no material is doubled
#define ENOUGH 0.92             // of the area in discs: the rest are crumbs
#define RUN_SLACK_MM (8 * SOLID_INSET_MM) // inset corners may lie outside the box of the corners, by four times the inset at most
#define CRUMB 0.03              // of the first radius: so are these

static double cross(Dot a, Dot b, Dot c)
{
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

// --- the cover ---

static bool cover_rings(const Rings *rings, double gap_mm, Arena *keep, Work *work, Rings *out, Error *err)
{
    *out = *rings;
    if (gap_mm <= 0.0 && rings_point_count(rings) <= FEW_CORNERS) return true;
    Rings simple;
    if (!overlay_simplify(rings, COVER_SIMPLE_MM, keep, work, &simple, err)) return false;
    double distance = (gap_mm + WRITTEN_MM) / 2 + COVER_SIMPLE_MM + COVER_ARC_MM;
    return overlay_offset(&simple, distance * (1 + OFFSET_ROUGH), COVER_ARC_MM, keep, work, out, err);
}

static Dot unit(Dot from, Dot to)
{
    double dx = to.x - from.x, dy = to.y - from.y, length = sqrt(dx * dx + dy * dy);
    return length > 0 ? (Dot){dx / length, dy / length} : (Dot){0, 0};
}

// The corner moved so that both its edges move by the inset; sharp ones by no more than four times as far.
static Dot inset_corner(Dot before, Dot at, Dot after)
{
    Dot in = unit(before, at), out = unit(at, after);
    double grow = 1 + in.x * out.x + in.y * out.y;
    double by = SOLID_INSET_MM / (grow > 0.25 ? grow : 0.25);
    return (Dot){at.x - (in.y + out.y) * by, at.y + (in.x + out.x) * by};
}

static bool copy_corners(const Rings *rings, Arena *keep, Solid *out, Error *err)
{
    int count = rings_point_count(rings);
    out->corners = arena_new(keep, Dot, count);
    out->inset = arena_new(keep, Dot, count);
    out->next = arena_new(keep, int, count);
    if (!out->corners || !out->inset || !out->next) return error_memory(err);
    for (int r = 0; r < rings->count; r++) {
        const Ring *ring = &rings->items[r];
        int first = out->corner_count;
        for (int i = 0; i < ring->count; i++) {
            out->corners[first + i] = (Dot){ring->points[i].x / UM_PER_MM, ring->points[i].y / UM_PER_MM};
            out->next[first + i] = first + (i + 1) % ring->count;
        }
        out->corner_count += ring->count;
    }
    return true;
}

static bool copy_hull(const Rings *rings, Arena *keep, Work *work, Solid *out, Error *err)
{
    Point *points = arena_new(&work->scratch, Point, rings_point_count(rings));
    if (!points) return error_memory(err);
    int count = 0;
    for (int r = 0; r < rings->count; r++)
        for (int i = 0; i < rings->items[r].count; i++) points[count++] = rings->items[r].points[i];
    Point *hull = hull_make(points, count, &work->scratch, &out->hull_count);
    out->hull = arena_new(keep, Dot, out->hull_count);
    if (!hull || !out->hull) return error_memory(err);
    double area2 = 0;
    for (int i = 0; i < out->hull_count; i++) {
        out->hull[i] = (Dot){hull[i].x / UM_PER_MM, hull[i].y / UM_PER_MM};
        if (i > 1) area2 += cross(out->hull[0], out->hull[i - 1], out->hull[i]);
    }
    out->weight = sqrt(sqrt(fabs(area2) / 2));
    out->diameter_mm = hull_diameter_mm(hull, out->hull_count);
    out->width_mm = hull_width_mm(hull, out->hull_count);
    return true;
}

// --- discs ---

typedef struct Brim {            // the cover's edges, for distances to it
    double *ax, *ay, *dx, *dy, *per_length2; // of an edge without length: 0
    int count;
} Brim;

static bool brim_make(const Solid *solid, Work *work, Brim *out, Error *err)
{
    double *all = arena_new(&work->scratch, double, 5 * (size_t)solid->corner_count);
    if (!all) return error_memory(err);
    int n = out->count = solid->corner_count;
    out->ax = all, out->ay = all + n, out->dx = all + 2 * n, out->dy = all + 3 * n, out->per_length2 = all + 4 * n;
    for (int i = 0; i < n; i++) {
        Dot a = solid->corners[i], b = solid->corners[solid->next[i]];
        double dx = b.x - a.x, dy = b.y - a.y, length2 = dx * dx + dy * dy;
        out->ax[i] = a.x, out->ay[i] = a.y, out->dx[i] = dx, out->dy[i] = dy;
        out->per_length2[i] = length2 > 0 ? 1 / length2 : 0;
    }
    return true;
}

static bool in_material(const Brim *brim, Dot p)
{
    bool inside = false;
    for (int i = 0; i < brim->count; i++) {
        double y = p.y - brim->ay[i], dy = brim->dy[i];
        if ((0 <= y) == (dy <= y)) continue;
        if (p.x < brim->ax[i] + y / dy * brim->dx[i]) inside = !inside;
    }
    return inside;
}

// To the outline; 0 outside.
static double depth_at(const Brim *brim, Dot p)
{
    if (!in_material(brim, p)) return 0;
    double least2 = INFINITY;
    for (int i = 0; i < brim->count; i++) {
        double px = p.x - brim->ax[i], py = p.y - brim->ay[i], dx = brim->dx[i], dy = brim->dy[i];
        double t = (px * dx + py * dy) * brim->per_length2[i];
        t = t < 0 ? 0 : t > 1 ? 1 : t;
        double ex = px - t * dx, ey = py - t * dy, d2 = ex * ex + ey * ey;
        least2 = d2 < least2 ? d2 : least2;
    }
    return sqrt(least2);
}

static double outside_discs(const Solid *solid, Dot p, double depth)
{
    for (int i = 0; i < solid->disc_count; i++) {
        double dx = p.x - (double)solid->discs.x[i], dy = p.y - (double)solid->discs.y[i];
        double d = sqrt(dx * dx + dy * dy) - (double)solid->discs.r[i];
        if (d < depth) depth = d;
    }
    return depth;
}

typedef struct Grid {
    Dot *points;
    double *depths;
    int count;
    double cell_mm;
} Grid;

static bool grid_make(const Solid *solid, const Brim *brim, int cells, Work *work, Grid *out, Error *err)
{
    double x0 = INFINITY, y0 = INFINITY, x1 = -INFINITY, y1 = -INFINITY;
    for (int i = 0; i < solid->hull_count; i++) {
        x0 = fmin(x0, solid->hull[i].x), x1 = fmax(x1, solid->hull[i].x);
        y0 = fmin(y0, solid->hull[i].y), y1 = fmax(y1, solid->hull[i].y);
    }
    out->cell_mm = fmax(sqrt((x1 - x0) * (y1 - y0) / cells), fmax(x1 - x0, y1 - y0) / cells);
    int columns = (int)((x1 - x0) / out->cell_mm) + 1, rows = (int)((y1 - y0) / out->cell_mm) + 1;
    out->points = arena_new(&work->scratch, Dot, (size_t)columns * (size_t)rows);
    out->depths = arena_new(&work->scratch, double, (size_t)columns * (size_t)rows);
    out->count = 0;
    if (!out->points || !out->depths) return error_memory(err);
    for (int i = 0; i < columns * rows; i++) {
        Dot p = {x0 + (i % columns + 0.5) * out->cell_mm, y0 + (i / columns + 0.5) * out->cell_mm};
        double depth = depth_at(brim, p);
        if (depth <= 0) continue;
        out->points[out->count] = p;
        out->depths[out->count++] = depth;
    }
    return true;
}

// The best point of the grid, moved to a better place beside it while there is one.
static double next_disc(const Solid *solid, const Brim *brim, const Grid *grid, Dot *out)
{
    double best = 0;
    for (int i = 0; i < grid->count; i++) {
        double depth = outside_discs(solid, grid->points[i], grid->depths[i]);
        if (depth <= best) continue;
        best = depth;
        *out = grid->points[i];
    }
    if (best <= 0) return 0;
    for (double step = grid->cell_mm / 2; step > grid->cell_mm / 40; step /= 2) {
        Dot from = *out;
        for (int k = 0; k < 9; k++) {
            Dot p = {from.x + (k % 3 - 1) * step, from.y + (k / 3 - 1) * step};
            double depth = outside_discs(solid, p, depth_at(brim, p));
            if (depth <= best) continue;
            best = depth;
            *out = p;
        }
    }
    return best;
}

static bool make_discs(Solid *solid, Work *work, Error *err)
{
    Grid grid = {0};
    Brim brim;
    if (!brim_make(solid, work, &brim, err)) return false;
    for (int finer = 0, cells = GRID_CELLS; finer < FINER && grid.count == 0; finer++, cells *= 4)
        if (!grid_make(solid, &brim, cells, work, &grid, err)) return false;
    double covered = 0;
    for (int i = 0; i < SOLID_DISCS; i++) {
        Dot at = {0, 0};
        double r = next_disc(solid, &brim, &grid, &at);
        if (r <= 0 || (i > 0 && r < CRUMB * (double)solid->discs.r[0])) break;
        solid->discs.x[i] = (float)at.x;
        solid->discs.y[i] = (float)at.y;
        solid->discs.r[i] = (float)r;
        solid->disc_count++;
        covered += 3.14159265 * r * r;
        if (covered > ENOUGH * solid->area_mm2) break;
    }
    return true;
}

// The origin moves into the largest disc, so that a turn keeps most of the material where it is.
static void move_origin(Solid *solid)
{
    Dot to = {(double)solid->discs.x[0], (double)solid->discs.y[0]};
    for (int i = 0; i < solid->corner_count; i++) solid->corners[i].x -= to.x, solid->corners[i].y -= to.y;
    for (int i = 0; i < solid->hull_count; i++) solid->hull[i].x -= to.x, solid->hull[i].y -= to.y;
    for (int i = 0; i < solid->disc_count; i++) {
        solid->discs.x[i] = (float)((double)solid->discs.x[i] - to.x);
        solid->discs.y[i] = (float)((double)solid->discs.y[i] - to.y);
    }
    solid->origin_mm[0] += to.x;
    solid->origin_mm[1] += to.y;
}

static double length2(Dot a, Dot b)
{
    return (b.x - a.x) * (b.x - a.x) + (b.y - a.y) * (b.y - a.y);
}

// The longest edges, the longest first; of equal ones the earlier.
static void find_sides(Solid *solid)
{
    for (int i = 0; i < solid->corner_count; i++) {
        Side side = {solid->corners[i], solid->corners[solid->next[i]], {0, 0}};
        double length = length2(side.a, side.b);
        int k = solid->side_count < SOLID_SIDES ? solid->side_count++ : SOLID_SIDES - 1;
        if (k == SOLID_SIDES - 1 && i >= SOLID_SIDES && length2(solid->sides[k].a, solid->sides[k].b) >= length) continue;
        side.along = unit(side.a, side.b);
        for (; k > 0 && length2(solid->sides[k - 1].a, solid->sides[k - 1].b) < length; k--) solid->sides[k] = solid->sides[k - 1];
        solid->sides[k] = side;
    }
}

bool solid_make(const Rings *rings, double gap_mm, Arena *keep, Work *work, Solid *out, Error *err)
{
    *out = (Solid){0};
    ArenaMark mark = arena_mark(&work->scratch);
    Rings cover;
    if (!cover_rings(rings, gap_mm, &work->scratch, work, &cover, err)) return false;
    out->area_mm2 = rings_area_mm2(&cover);
    if (!copy_corners(&cover, keep, out, err) || !copy_hull(rings, keep, work, out, err) || !make_discs(out, work, err))
        return false;
    move_origin(out);
    find_sides(out);
    for (int i = 0; i < out->corner_count; i++) { // each corner is next of exactly one
        int at = out->next[i];
        out->inset[at] = inset_corner(out->corners[i], out->corners[at], out->corners[out->next[at]]);
    }
    arena_rewind(&work->scratch, mark);
    return true;
}

// --- at an angle ---

bool cast_open(int most_corners, Arena *keep, Cast *out, Error *err)
{
    *out = (Cast){0};
    out->corners = arena_new(keep, Dot, most_corners);
    out->inset = arena_new(keep, Dot, most_corners);
    out->runs = arena_new(keep, RunBox, most_corners / CAST_RUN + 1);
    return out->corners && out->inset && out->runs ? true : error_memory(err);
}

static double lesser(double a, double b)
{
    return a < b ? a : b;
}

static double larger(double a, double b)
{
    return a > b ? a : b;
}

static void box_runs(const Solid *solid, Cast *out)
{
    out->run_count = 0;
    for (int first = 0; first < solid->corner_count; first += CAST_RUN) {
        RunBox box = {INFINITY, INFINITY, -INFINITY, -INFINITY};
        for (int i = first; i < first + CAST_RUN && i < solid->corner_count; i++) {
            Dot p = out->corners[i], q = out->corners[solid->next[i]];
            box.x0 = lesser(box.x0, lesser(p.x, q.x)), box.x1 = larger(box.x1, larger(p.x, q.x));
            box.y0 = lesser(box.y0, lesser(p.y, q.y)), box.y1 = larger(box.y1, larger(p.y, q.y));
        }
        out->runs[out->run_count++] = (RunBox){box.x0 - RUN_SLACK_MM, box.y0 - RUN_SLACK_MM, box.x1 + RUN_SLACK_MM, box.y1 + RUN_SLACK_MM};
    }
}

static Dot turned(Dot p, Fit turn)
{
    return (Dot){p.x * turn.cos - p.y * turn.sin, p.x * turn.sin + p.y * turn.cos};
}

void cast_turn(const Solid *solid, Fit turn, Cast *out)
{
    out->solid = solid;
    out->cos = turn.cos;
    out->sin = turn.sin;
    out->x0 = out->y0 = out->hull_x0 = out->hull_y0 = out->least_sum_mm = INFINITY;
    out->x1 = out->y1 = out->hull_x1 = out->hull_y1 = out->most_sum_mm = -INFINITY;
    for (int i = 0; i < solid->corner_count; i++) {
        Dot p = out->corners[i] = turned(solid->corners[i], turn);
        out->inset[i] = turned(solid->inset[i], turn);
        out->x0 = p.x < out->x0 ? p.x : out->x0, out->x1 = p.x > out->x1 ? p.x : out->x1;
        out->y0 = p.y < out->y0 ? p.y : out->y0, out->y1 = p.y > out->y1 ? p.y : out->y1;
    }
    box_runs(solid, out);
    for (int i = 0; i < solid->hull_count; i++) {
        Dot p = turned(solid->hull[i], turn);
        double sum = p.x + p.y;
        out->hull_x0 = p.x < out->hull_x0 ? p.x : out->hull_x0, out->hull_x1 = p.x > out->hull_x1 ? p.x : out->hull_x1;
        out->hull_y0 = p.y < out->hull_y0 ? p.y : out->hull_y0, out->hull_y1 = p.y > out->hull_y1 ? p.y : out->hull_y1;
        out->least_sum_mm = sum < out->least_sum_mm ? sum : out->least_sum_mm;
        out->most_sum_mm = sum > out->most_sum_mm ? sum : out->most_sum_mm;
    }
    float cos = (float)turn.cos, sin = (float)turn.sin;
    for (int i = 0; i < SOLID_DISCS; i++) {
        out->discs.x[i] = solid->discs.x[i] * cos - solid->discs.y[i] * sin;
        out->discs.y[i] = solid->discs.x[i] * sin + solid->discs.y[i] * cos;
        out->discs.r[i] = solid->discs.r[i];
    }
}
