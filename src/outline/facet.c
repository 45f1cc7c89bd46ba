// facet.c - see facet.h.
#include "outline/facet.h"

#include <math.h>
#include <string.h>

#define MOVED_MOST 8        // vertices at once: more take longer by the square and move no farther
#define WINDOW_REACH 2      // vertices to each side that move along when one comes, goes or is rounded
#define WINDOW_MOST (2 * WINDOW_REACH + 3)
#define SPAN 24             // points that a side of the first polygon may pass; longer sides come of taking vertices out
#define POINT_PX 0.12       // of a point from a side, at the price of a vertex: twice of what points of straight sides are off
#define HOPELESS 30.0       // times that, and longer sides are not tried
#define PRICE 0.01          // of a vertex: one pixel off by a tenth; half and twice of it find the same corners within 1 %
#define INSERT_SHARE 0.06   // a pixel off by less asks for no vertex: its square is a third of the price
#define INSERT_PX 2.0       // a shorter side is told by too few pixels to be parted
#define INSERT_END 0.2      // of a side: a new vertex lies farther than that from the side's ends
#define CLEAR_COS 0.5       // a vertex that turns by 60 degrees between sides this long is none to take out: tries cost time
#define CLEAR_PX 3.0
#define BENT_COS 0.984808   // 10 degrees: neighbours that turn less are not part of a rounding
#define NEAR_VERTEX_PX 4.0  // pixels farther than that tell of other vertices
#define LEAST_PIXELS 6      // three a side
#define UNFIT_SHARE 0.1     // of the pixels may be no blend of the two
#define STEP_PX 0.7         // at most at once: derivatives hold within about a pixel
#define STILL_PX 0.01       // a step shorter than that ends the moving
#define STILL_COST 1e-4     // so does a gain of a hundredth of a vertex's price
#define HOLD 1e-3           // added to the diagonal at first
#define HOLD_SHARE 0.01     // of the diagonal, added to it
#define HOLD_MOST 1.0       // a cost that still grows when held back this much is at its least
#define PIVOT_LEAST 1e-9
#define HOPE 1.0            // times what the last round gained, for each left: they gain less and less, so a try that needs more has failed
#define SMOOTH_ROUNDS 5     // of moving, when all vertices stay,
#define REMOVE_ROUNDS 4     // when one has gone,
#define INSERT_ROUNDS 6     // has come from nowhere in particular,
#define SHARP_ROUNDS 3      // is looked at once more,
#define BLUNT_ROUNDS 6      // or was rounded, which moves it far

// ---- moving vertices ----

typedef struct Equations {  // normal equations of moving some vertices: x and y of each
    double m[4 * MOVED_MOST * MOVED_MOST], r[2 * MOVED_MOST];
    int n;
} Equations;

// A bit's share depends on those of its vertices that move: moved vertices from `first`.
static void add_bit(Equations *e, const PathBit *bit, int first)
{
    double by[2 * BIT_VERTICES];
    int at[2 * BIT_VERTICES], count = 0;
    for (int k = 0; k < bit->count; k++) {
        int i = bit->first + k - first;
        if (i < 0 || 2 * i >= e->n) continue;
        at[count] = 2 * i, by[count++] = bit->by[k].x;
        at[count] = 2 * i + 1, by[count++] = bit->by[k].y;
    }
    for (int p = 0; p < count; p++) {
        e->r[at[p]] -= by[p] * bit->off;
        for (int q = 0; q < count; q++) e->m[at[p] * e->n + at[q]] += by[p] * by[q];
    }
}

static void gather(Equations *e, const Comparison *seen, int first, int moved, double hold)
{
    e->n = 2 * moved;
    memset(e->m, 0, sizeof *e->m * (size_t)(e->n * e->n));
    memset(e->r, 0, sizeof *e->r * (size_t)e->n);
    for (int i = 0; i < seen->count; i++)
        if (seen->bits[i].is_blend) add_bit(e, &seen->bits[i], first);
    for (int i = 0; i < e->n; i++) e->m[i * e->n + i] += hold + HOLD_SHARE * e->m[i * e->n + i];
}

// By elimination; r becomes the solution. No pivoting: the diagonal is positive but for rounding.
static bool solve(Equations *e)
{
    double *m = e->m, *r = e->r;
    int n = e->n;
    for (int i = 0; i < n; i++) {
        if (m[i * n + i] < PIVOT_LEAST) return false;
        for (int j = i + 1; j < n; j++) {
            double g = m[j * n + i] / m[i * n + i];
            if (g == 0) continue;
            for (int k = i; k < n; k++) m[j * n + k] -= g * m[i * n + k];
            r[j] -= g * r[i];
        }
    }
    for (int i = n - 1; i >= 0; i--) {
        for (int k = i + 1; k < n; k++) r[i] -= m[i * n + k] * r[k];
        r[i] /= m[i * n + i];
    }
    return true;
}

// Moves the vertices by the solution; returns the longest step.
static double take_step(PathVertex *vertices, int moved, const double *r)
{
    double longest = 0;
    for (int k = 0; k < moved; k++) {
        Vec by = {r[2 * k], r[2 * k + 1]}, at = vertices[k].at;
        double l = sqrt(by.x * by.x + by.y * by.y), s = l > STEP_PX ? STEP_PX / l : 1;
        longest = fmax(longest, l * s);
        vertices[k].at = off_grid((Vec){at.x + s * by.x, at.y + s * by.y});
    }
    return longest;
}

// Moves the vertices strictly between a and b to where the pixels are explained best; returns the cost there, or a higher one when
// rounds like the last would not bring it below `limit`. With more vertices than can be moved at once, or none, it tells the cost as it is.
static double settle(EdgePath *path, int a, int b, int rounds, double limit)
{
    Comparison room[2], *now = &room[0], *next = &room[1];
    shares_compare(path, a, b, now);
    int moved = b - a - 1;
    if (moved < 1 || moved > MOVED_MOST) return now->cost;
    PathVertex *vertices = path->vertices + a + 1, old[MOVED_MOST];
    double hold = HOLD;
    for (int round = 0; round < rounds && hold <= HOLD_MOST; round++) {
        Equations e;
        gather(&e, now, a + 1, moved, hold);
        if (!solve(&e)) break;
        memcpy(old, vertices, sizeof *old * (size_t)moved);
        double step_px = take_step(vertices, moved, e.r);
        shares_compare(path, a, b, next);
        if (next->cost >= now->cost) {
            memcpy(vertices, old, sizeof *old * (size_t)moved);
            hold = hold * 10 + 0.05;
            continue;
        }
        double hoped = HOPE * (now->cost - next->cost) * (rounds - 1 - round);
        bool is_done = next->cost > now->cost - STILL_COST || step_px < STILL_PX || next->cost - hoped > limit;
        Comparison *t = now;
        now = next, next = t;
        hold /= 3;
        if (is_done) break;
    }
    return now->cost;
}

static void settle_all(EdgePath *path)
{
    for (int a = 0; a + 2 < path->count; a += MOVED_MOST / 2) {
        int b = a + MOVED_MOST + 1 < path->count ? a + MOVED_MOST + 1 : path->count - 1;
        (void)settle(path, a, b, SMOOTH_ROUNDS, INFINITY);
    }
}

// ---- trying ----

typedef struct Try {        // the vertices round one, as they were
    int a, b;               // those strictly between these may move
    PathVertex before[WINDOW_MOST];
} Try;

static Try try_begin(const EdgePath *path, int i)
{
    Try t = {.a = i - WINDOW_REACH - 1, .b = i + WINDOW_REACH + 1};
    if (t.a < 0) t.a = 0;
    if (t.b > path->count - 1) t.b = path->count - 1;
    memcpy(t.before, path->vertices + t.a, sizeof *t.before * (size_t)(t.b - t.a + 1));
    return t;
}

static void try_undo(const Try *t, EdgePath *path)
{
    memcpy(path->vertices + t->a, t->before, sizeof *t->before * (size_t)(t->b - t->a + 1));
}

static void take_out(EdgePath *path, int i)
{
    memmove(path->vertices + i, path->vertices + i + 1, sizeof *path->vertices * (size_t)(path->count - i - 1));
    path->count--;
}

static void put_in(EdgePath *path, int i, PathVertex vertex)
{
    memmove(path->vertices + i + 1, path->vertices + i, sizeof *path->vertices * (size_t)(path->count - i));
    path->vertices[i] = vertex;
    path->count++;
}

static double cost_between(EdgePath *path, int a, int b)
{
    Comparison seen;
    shares_compare(path, a, b, &seen);
    return seen.cost;
}

// ---- taking out ----

static Vec side_of(const EdgePath *path, int i)
{
    Vec p = path->vertices[i].at, q = path->vertices[i + 1].at;
    return (Vec){q.x - p.x, q.y - p.y};
}

static double turn_cross(const EdgePath *path, int i)
{
    Vec u = side_of(path, i - 1), w = side_of(path, i);
    return u.x * w.y - u.y * w.x;
}

double facet_turn_cos(const EdgePath *path, int i)
{
    Vec u = side_of(path, i - 1), w = side_of(path, i);
    double l = sqrt((u.x * u.x + u.y * u.y) * (w.x * w.x + w.y * w.y));
    return l > 0 ? (u.x * w.x + u.y * w.y) / l : 1.0;
}

static bool is_clear(const EdgePath *path, int i)
{
    const PathVertex *v = path->vertices + i;
    return facet_turn_cos(path, i) < CLEAR_COS && fmin(vec_distance(v[-1].at, v[0].at), vec_distance(v[1].at, v[0].at)) > CLEAR_PX;
}

// Takes a vertex out when the pixels miss it less than its price.
static bool try_take_out(EdgePath *path, int i)
{
    if (path->count <= (path->is_closed ? 4 : 2)) return false; // a triangle, one side
    Try t = try_begin(path, i);
    double before = cost_between(path, t.a, t.b);
    PathVertex taken = path->vertices[i];
    take_out(path, i);
    if (settle(path, t.a, t.b - 1, REMOVE_ROUNDS, before + PRICE) < before + PRICE) return true;
    put_in(path, i, taken);
    try_undo(&t, path);
    return false;
}

static bool take_out_some(EdgePath *path, Work *work, Error *err)
{
    for (int i = 1; i + 1 < path->count;) {
        if (!work_goes_on(work, err)) return false;
        if (is_clear(path, i) || !try_take_out(path, i)) i++;
    }
    return true;
}

// ---- putting in ----

// Where on the side behind vertex i its pixels are explained worst, as a part of the side (of 1); negative when all are explained.
static double worst_place(EdgePath *path, int i)
{
    Comparison seen;
    shares_compare(path, i, i + 1, &seen);
    double worst = INSERT_SHARE, place = -1;
    Vec p = path->vertices[i].at, q = path->vertices[i + 1].at;
    for (int k = 0; k < seen.count; k++) {
        const PathBit *bit = &seen.bits[k];
        bool is_of_side = bit->first == i && bit->count == 2;
        if (!is_of_side || fabs(bit->off) <= worst) continue;
        worst = fabs(bit->off), place = vec_distance(p, bit->middle) / vec_distance(p, q);
    }
    return place < 0 ? place : fmin(1 - INSERT_END, fmax(INSERT_END, place));
}

static PathVertex vertex_on_side(const EdgePath *path, int i, double place)
{
    const PathVertex *p = path->vertices + i, *q = p + 1;
    int cracks = path->arc->count, last = q->crack + (q->crack < p->crack ? cracks : 0); // a closed one's go on from 0
    Vec at = {p->at.x + place * (q->at.x - p->at.x), p->at.y + place * (q->at.y - p->at.y)};
    int crack = p->crack + (int)(place * (last - p->crack));
    return (PathVertex){off_grid(at), path->is_closed ? crack % cracks : crack, false};
}

// Puts a vertex in the side behind i where its pixels are explained worst, when that is worth the price.
static bool try_put_in(EdgePath *path, int i)
{
    if (path->count + 1 >= path->most || vec_distance(path->vertices[i].at, path->vertices[i + 1].at) < INSERT_PX) return false;
    double place = worst_place(path, i);
    if (place < 0) return false;
    Try t = try_begin(path, i);
    double before = cost_between(path, t.a, t.b);
    put_in(path, i + 1, vertex_on_side(path, i, place));
    if (settle(path, t.a, t.b + 1, INSERT_ROUNDS, before - PRICE) < before - PRICE) return true;
    take_out(path, i + 1);
    try_undo(&t, path);
    return false;
}

static bool put_in_some(EdgePath *path, Work *work, Error *err)
{
    for (int i = 0; i + 1 < path->count; i++) {
        if (!work_goes_on(work, err)) return false;
        if (try_put_in(path, i)) i++;
    }
    return true;
}

// ---- the first polygon ----

// Of the points strictly between i and j, squared, from the straight line between those two; negative when they are one point.
static double off_side(const EdgePoint *p, int i, int j)
{
    Vec d = {p[j].at.x - p[i].at.x, p[j].at.y - p[i].at.y};
    double l = sqrt(d.x * d.x + d.y * d.y), sum = 0;
    if (l <= 0) return -1;
    for (int k = i + 1; k < j; k++) {
        double off = (d.x * (p[k].at.y - p[i].at.y) - d.y * (p[k].at.x - p[i].at.x)) / l;
        sum += off * off;
    }
    return sum;
}

// Least of a price a side and the squared distances of what it passes. cost and from hold n.
static void choose_sides(const EdgePoint *p, int n, double *cost, int *from)
{
    cost[0] = 0;
    for (int j = 1; j < n; j++) {
        cost[j] = INFINITY;
        for (int i = j - 1; i >= 0 && i >= j - SPAN; i--) {
            double off = off_side(p, i, j);
            if (off < 0) continue;
            double c = cost[i] + 1 + off / (POINT_PX * POINT_PX);
            if (c < cost[j]) cost[j] = c, from[j] = i;
            if (off > POINT_PX * POINT_PX * HOPELESS) break;
        }
    }
}

static MUST_USE bool first_polygon(const EdgePoint *p, int n, Arena *scratch, EdgePath *path, Error *err)
{
    double *cost = arena_new(scratch, double, n);
    int *from = arena_new(scratch, int, n);
    if (!cost || !from) return error_memory(err);
    choose_sides(p, n, cost, from);
    int count = 1;
    for (int j = n - 1; j > 0; j = from[j]) count++;
    path->count = count;
    for (int j = n - 1; count > 0; j = from[j]) path->vertices[--count] = (PathVertex){off_grid(p[j].at), p[j].crack, false};
    return true;
}

// ---- judging ----

double facet_rms(EdgePath *path, int i)
{
    Comparison seen;
    int told = 0, untold = 0;
    double sum = 0;
    shares_compare(path, i - 1, i + 1, &seen);
    for (int k = 0; k < seen.count; k++) {
        const PathBit *bit = &seen.bits[k];
        if (vec_distance(bit->middle, path->vertices[i].at) > NEAR_VERTEX_PX) continue;
        sum += bit->off * bit->off;
        if (bit->is_blend) told++;
        else untold++;
    }
    return told >= LEAST_PIXELS && untold <= UNFIT_SHARE * (told + untold) ? sqrt(sum / told) : 1;
}

// With its neighbours that turn the same way, since a rounded form is one vertex rounded or several.
static void round_off(EdgePath *path, int i, const Try *t)
{
    for (int k = i - 1; k <= i + 1; k++) {
        if (k <= t->a || k >= t->b) continue;
        bool bends_along = turn_cross(path, k) * turn_cross(path, i) > 0 && facet_turn_cos(path, k) < BENT_COS;
        if (k == i || bends_along) path->vertices[k].is_round = true;
    }
}

double facet_sharpness(EdgePath *path, int i, double least)
{
    Try t = try_begin(path, i);
    double sharp = settle(path, t.a, t.b, SHARP_ROUNDS, INFINITY);
    round_off(path, i, &t);
    double blunt = settle(path, t.a, t.b, BLUNT_ROUNDS, sharp + least);
    try_undo(&t, path);
    return blunt - sharp;
}

// ---- all of it ----

// A closed one begins at the vertex opposite, so that its first one comes free to move, too. room holds as many.
static void begin_opposite(EdgePath *path, PathVertex *room)
{
    int n = path->count - 1, by = n / 2;
    for (int i = 0; i < n; i++) room[i] = path->vertices[(i + by) % n];
    memcpy(path->vertices, room, sizeof *room * (size_t)n);
    path->vertices[n] = path->vertices[0];
}

static MUST_USE bool improve(EdgePath *path, Work *work, Error *err)
{
    PathVertex *room = arena_new(&work->scratch, PathVertex, path->most);
    if (!room) return error_memory(err);
    for (int half = 0; half < (path->is_closed ? 2 : 1); half++) {
        settle_all(path);
        if (!take_out_some(path, work, err) || !put_in_some(path, work, err)) return false;
        if (path->is_closed) begin_opposite(path, room);
    }
    settle_all(path);
    return true;
}

static bool has_turn(const EdgePath *path)
{
    return path->count >= (path->is_closed ? 4 : 3);
}

bool facet_find(const Pixels *pixels, const ArcPainting *painting, const CrackMap *map, const CrackArc *arc, const EdgePoint *points, int count,
                bool is_closed, Work *work, EdgePath *out, bool *has_shape, Error *err)
{
    *has_shape = false;
    Arena *scratch = &work->scratch;
    int cracks = is_closed ? arc->count : points[count - 1].crack - points[0].crack + 1, most = 2 * count + 16;
    EdgePoint *line = arena_new(scratch, EdgePoint, count + 1);
    if (!line) return error_memory(err);
    memcpy(line, points, sizeof *line * (size_t)count);
    line[count] = line[0];
    if (!shares_prepare(pixels, painting, map, arc, is_closed, cracks, most, scratch, out, err)) return false;
    if (!first_polygon(line, is_closed ? count + 1 : count, scratch, out, err)) return false;
    if (!has_turn(out)) return true;
    if (!improve(out, work, err)) return false;
    *has_shape = has_turn(out);
    return true;
}
