// rim.c - see rim.h.
#include "separation/rim.h"

#include <math.h>
#include <stdlib.h>

#define CELLS_PER_LOOK 256
#define DIRECTION_ROUNDS 12 // cracks' directions, about 2.5 to each side
#define CORNER_CRACKS 5     // to each side of a corner
#define LEAST_COSINE 0.7    // of the turn between them; less is a corner
#define WIDTH_ROUNDS 80     // 6 cracks to each side, about a quarter of a block
#define ROUNDS_PER_LOOK 16
#define BESIDE_PX 1.5       // a strip may lie in the next cell
#define MOST_MISFIT 12.0    // squares of errors; more, and there is something else in the cell
#define LEAST_WEIGHT 1e-3     // of what is told near a crack
#define LEAST_ALIGNED 0.85  // of the edge's length in a cell, as the crow flies: less, and it has two edges, or a corner

static uint8_t label_at(const TintCells *t, int x, int y)
{
    return t->label[(size_t)y * (size_t)t->picture->width_px + (size_t)x];
}

static bool is_b_side(const TintCells *t, int x, int y, Trio trio)
{
    uint8_t label = label_at(t, x, y);
    return label == trio.b || (label == trio.s && tint_is_thin(t, x, y, trio));
}

// ---- cracks and their links ----

typedef struct Gather { Rim rim; size_t capacity; } Gather;

static bool note_crack(const TintCells *t, Trio trio, int x, int y, bool is_upright, Work *work, Gather *g, Error *err)
{
    int x2 = x + is_upright, y2 = y + !is_upright;
    if (x2 >= t->picture->width_px || y2 >= t->picture->height_px || label_at(t, x, y) == label_at(t, x2, y2)) return true;
    bool is_b_first = label_at(t, x2, y2) == trio.a;
    if (!is_b_first && label_at(t, x, y) != trio.a) return true;
    if (!(is_b_first ? is_b_side(t, x, y, trio) : is_b_side(t, x2, y2, trio))) return true;
    RimCrack *grown = arena_grow(&work->scratch, g->rim.cracks, (size_t)g->rim.count, &g->capacity, sizeof *grown);
    if (!grown) return error_memory(err);
    g->rim.cracks = grown;
    g->rim.cracks[g->rim.count++] = (RimCrack){.x = x, .y = y, .is_upright = is_upright, .is_b_first = is_b_first, .next = {-1, -1}};
    return true;
}

typedef struct End { int64_t corner; int32_t crack; int which; } End;

static int by_corner(const void *p, const void *q)
{
    const End *a = p, *b = q;
    if (a->corner != b->corner) return a->corner < b->corner ? -1 : 1;
    return (a->crack > b->crack) - (a->crack < b->crack);
}

static int64_t corner_of(const TintCells *t, const RimCrack *c, int which)
{
    int64_t x = c->x + (c->is_upright || which), y = c->y + (!c->is_upright || which);
    return y * (t->picture->width_px + 1) + x;
}

// At a corner where four cracks meet the edge crosses itself: nothing is linked there.
static bool link_cracks(const TintCells *t, Rim *rim, Work *work, Error *err)
{
    int count = 2 * rim->count;
    End *ends = arena_new(&work->scratch, End, count);
    if (!ends) return error_memory(err);
    for (int i = 0; i < count; i++) ends[i] = (End){corner_of(t, &rim->cracks[i / 2], i % 2), i / 2, i % 2};
    qsort(ends, (size_t)count, sizeof *ends, by_corner);
    for (int i = 0, k; i < count; i = k) {
        for (k = i + 1; k < count && ends[k].corner == ends[i].corner;) k++;
        if (k - i != 2) continue;
        rim->cracks[ends[i].crack].next[ends[i].which] = ends[i + 1].crack;
        rim->cracks[ends[i + 1].crack].next[ends[i + 1].which] = ends[i].crack;
    }
    for (int i = 0; i < count; i++) rim->cracks[i / 2].along[i % 2] = rim->cracks[i / 2].next[i % 2];
    return true;
}

bool rim_find(const TintCells *t, const uint8_t *zone, Trio trio, Work *work, Rim *out, Error *err)
{
    Gather g = {{NULL, 0}, 0};
    for (int cell = 0; cell < t->across * t->down; cell++) {
        if (cell % CELLS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        if (!zone[cell]) continue;
        int x0 = cell % t->across * t->width_px, y0 = cell / t->across * t->height_px;
        for (int i = 0; i < 2 * t->width_px * t->height_px; i++)
            if (!note_crack(t, trio, x0 + i / 2 % t->width_px, y0 + i / 2 / t->width_px, i % 2, work, &g, err)) return false;
    }
    *out = g.rim;
    return link_cracks(t, out, work, err);
}

// ---- lengths ----

// One round of weights 1, 2, 1 along the edge; at its ends what is beyond is as what is there.
static void smooth(const Rim *rim, const double *from, double *to)
{
    for (int i = 0; i < rim->count; i++) {
        const int32_t *next = rim->cracks[i].along;
        to[i] = (from[next[0] < 0 ? i : next[0]] + 2.0 * from[i] + from[next[1] < 0 ? i : next[1]]) / 4.0;
    }
}

static bool smooth_often(const Rim *rim, int rounds, double *values, double *room, Work *work, Error *err)
{
    for (int i = 0; i < rounds; i += 2) { // even: ends where it began
        if (i % ROUNDS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        smooth(rim, values, room);
        smooth(rim, room, values);
    }
    return true;
}

// From a to b.
static void normal_of(const RimCrack *c, double *x, double *y)
{
    double sign = c->is_b_first ? -1.0 : 1.0;
    *x = c->is_upright ? sign : 0.0, *y = c->is_upright ? 0.0 : sign;
}

typedef struct Arrays { double *x, *y, *area, *length, *room; } Arrays;

// A crack stands for as much of the edge as it has in the edge's direction.
static bool measure_lengths(Rim *rim, Arrays *a, Work *work, Error *err)
{
    for (int i = 0; i < rim->count; i++) normal_of(&rim->cracks[i], &a->x[i], &a->y[i]);
    if (!smooth_often(rim, DIRECTION_ROUNDS, a->x, a->room, work, err) || !smooth_often(rim, DIRECTION_ROUNDS, a->y, a->room, work, err)) return false;
    for (int i = 0; i < rim->count; i++) {
        double nx, ny, size = sqrt(a->x[i] * a->x[i] + a->y[i] * a->y[i]);
        normal_of(&rim->cracks[i], &nx, &ny);
        rim->cracks[i].length_px = size > 0.0 ? fmax((nx * a->x[i] + ny * a->y[i]) / size, 0.0) : 0.0;
    }
    return true;
}

// Some cracks on, away from the one that it came from.
static int32_t walk(const Rim *rim, int32_t from, int32_t at)
{
    for (int i = 0; i < CORNER_CRACKS; i++) {
        const int32_t *next = rim->cracks[at].next;
        int32_t on = next[0] == from ? next[1] : next[0];
        if (on < 0) break;
        from = at, at = on;
    }
    return at;
}

// Where the edge turns a corner a strip's width may change at once: nothing is smoothed across it.
static void part_at_corners(Rim *rim, const Arrays *a)
{
    for (int i = 0; i < rim->count; i++)
        for (int k = 0; k < 2; k++) {
            int32_t next = rim->cracks[i].next[k];
            if (next < 0) continue;
            int32_t p = walk(rim, next, i), q = walk(rim, i, next);
            double dot = a->x[p] * a->x[q] + a->y[p] * a->y[q];
            double lengths2 = (a->x[p] * a->x[p] + a->y[p] * a->y[p]) * (a->x[q] * a->x[q] + a->y[q] * a->y[q]);
            if (dot < 0.0 || dot * dot < LEAST_COSINE * LEAST_COSINE * lengths2) rim->cracks[i].along[k] = -1;
        }
}

// ---- what cells tell ----

typedef struct Share { int32_t cell, crack; } Share; // the crack lies in the cell, or close beside it

static int by_cell(const void *p, const void *q)
{
    const Share *a = p, *b = q;
    if (a->cell != b->cell) return a->cell < b->cell ? -1 : 1;
    return (a->crack > b->crack) - (a->crack < b->crack);
}

static int cell_at(const TintCells *t, double x, double y)
{
    int i = (int)floor(x / t->width_px), j = (int)floor(y / t->height_px);
    return x < 0.0 || y < 0.0 || i >= t->across || j >= t->down ? -1 : j * t->across + i;
}

static void middle_of(const RimCrack *c, double *x, double *y)
{
    *x = c->x + (c->is_upright ? 1.0 : 0.5), *y = c->y + (c->is_upright ? 0.5 : 1.0);
}

static int own_cell(const TintCells *t, const RimCrack *c)
{
    return cell_at(t, c->x + 0.5, c->y + 0.5);
}

static int list_shares(const TintCells *t, const Rim *rim, Share *out)
{
    int count = 0;
    for (int i = 0; i < rim->count; i++) {
        int seen[4], seen_count = 0;
        double x, y;
        middle_of(&rim->cracks[i], &x, &y);
        for (int k = 0; k < 4; k++) {
            int cell = cell_at(t, x + (k % 2 ? BESIDE_PX : -BESIDE_PX), y + (k / 2 ? BESIDE_PX : -BESIDE_PX));
            bool is_new = cell >= 0;
            for (int s = 0; s < seen_count; s++) is_new &= seen[s] != cell;
            if (is_new) out[count++] = (Share){cell, i}, seen[seen_count++] = cell;
        }
    }
    qsort(out, (size_t)count, sizeof *out, by_cell);
    return count;
}

// Do the cell's cracks make one edge? Two would have two strips.
static bool is_one_edge(const Rim *rim, const Share *shares, int count)
{
    double sum[2] = {0.0, 0.0}, length = 0.0;
    for (int i = 0; i < count; i++) {
        double x, y;
        normal_of(&rim->cracks[shares[i].crack], &x, &y);
        sum[0] += x, sum[1] += y, length += rim->cracks[shares[i].crack].length_px;
    }
    return sum[0] * sum[0] + sum[1] * sum[1] >= LEAST_ALIGNED * LEAST_ALIGNED * length * length;
}

// Its strip's area, and a weight; none where something else is in the cell.
static void ask_cell(const TintCells *t, const Rim *rim, Trio trio, const Share *shares, int count, double *area, double *weight)
{
    TintContent content;
    if (!is_one_edge(rim, shares, count)) return;
    tint_look(t, shares[0].cell, &content);
    TintRest rest = tint_rest(t, shares[0].cell, &content, trio);
    Tint tint = tint_measure(t, &rest, trio);
    if (!tint.is_told || tint.is_tip || tint.misfit > MOST_MISFIT) return;
    *area = tint.area_px, *weight = 1.0 / (tint.error2 + 1.0);
}

// A cell's strip goes to its cracks, and to those beside it, by length. Cracks whose own cell tells nothing take no part.
static bool share_out(const TintCells *t, const Rim *rim, Trio trio, Arrays *a, Work *work, Error *err)
{
    Share *shares = arena_new(&work->scratch, Share, 4 * rim->count);
    double *weight = arena_new(&work->scratch, double, t->across * t->down);
    double *areas = arena_new(&work->scratch, double, 4 * rim->count);
    if (!shares || !weight || !areas) return error_memory(err);
    int count = list_shares(t, rim, shares);
    for (int i = 0, k; i < count; i = k) {
        if (!work_goes_on(work, err)) return false;
        for (k = i + 1; k < count && shares[k].cell == shares[i].cell;) k++;
        ask_cell(t, rim, trio, shares + i, k - i, &areas[i], &weight[shares[i].cell]);
    }
    for (int i = 0; i < rim->count; i++) {
        int cell = own_cell(t, &rim->cracks[i]);
        a->area[i] = 0.0, a->length[i] = cell >= 0 ? weight[cell] * rim->cracks[i].length_px : 0.0;
    }
    for (int i = 0, k; i < count; i = k) {
        double length = 0.0;
        for (k = i; k < count && shares[k].cell == shares[i].cell; k++) length += a->length[shares[k].crack];
        if (!(length > 0.0)) continue;
        for (int s = i; s < k; s++) a->area[shares[s].crack] += weight[shares[i].cell] * areas[i] * a->length[shares[s].crack] / length;
    }
    return true;
}

static bool take_arrays(int count, Work *work, Arrays *a, Error *err)
{
    double **all[] = {&a->x, &a->y, &a->area, &a->length, &a->room};
    for (int i = 0; i < 5; i++)
        if (!(*all[i] = arena_new(&work->scratch, double, count))) return error_memory(err);
    return true;
}

bool rim_measure(const TintCells *t, Trio trio, Work *work, Rim *rim, Error *err)
{
    Arrays a;
    if (!take_arrays(rim->count, work, &a, err) || !measure_lengths(rim, &a, work, err)) return false;
    part_at_corners(rim, &a);
    if (!share_out(t, rim, trio, &a, work, err)) return false;
    if (!smooth_often(rim, WIDTH_ROUNDS, a.area, a.room, work, err) || !smooth_often(rim, WIDTH_ROUNDS, a.length, a.room, work, err)) return false;
    for (int i = 0; i < rim->count; i++) rim->cracks[i].width_px = a.length[i] > LEAST_WEIGHT ? a.area[i] / a.length[i] : 0.0;
    return true;
}
