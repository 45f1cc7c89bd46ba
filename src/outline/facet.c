// facet.c - see facet.h.
#include "outline/facet.h"

#include <math.h>
#include <string.h>

#define MOST_MOVED 8        // vertices at once
#define MOST_RUNS 256       // pixels of the sides between them; more add nothing about the vertices
#define RUN_VERTICES 6      // that move the path in one pixel
#define PATH_MOST 24        // points of the path in one pixel
#define WINDOW 7            // vertices: two beside the one concerned, and those that stay
#define ROUND_STEPS 4
#define ROUND_PX 3.0        // a rounded vertex is cut off up to here
#define SPAN 24             // points that a side of the first polygon may pass
#define POINT_PX 0.12       // of a point from a side, at the price of a vertex
#define HOPELESS 30.0       // times that, and longer sides are not tried
#define PRICE 0.01          // of a vertex: one pixel off by a tenth; half and twice of it find the same corners within 1 %
#define INSERT_SHARE 0.06   // a pixel off by less asks for no vertex
#define INSERT_PX 2.0
#define CLEAR_COS 0.5       // a vertex that turns by 60 degrees between sides this long is none to take out
#define CLEAR_PX 3.0
#define BENT_COS 0.984808   // 10 degrees: neighbours that turn less are not part of a rounding
#define NEAR_VERTEX_PX 4.0
#define LEAST_PIXELS 6
#define UNFIT_SHARE 0.1     // of the pixels may be no blend of the two
#define PASSES 1

typedef struct Node { // what the path passes: a mean of three vertices
    Vec at; int vertex;
    double weight[3];
} Node;

struct FacetPixel {
    int64_t key;    // 0 = free
    double left;    // share of the left side, in the picture
    double model;   // the same, as the path has it
    int stamp;      // of the evaluation that model is from
    bool is_fit;    // the picture tells
};


typedef struct Run {    // a stretch of the path within one pixel
    int cell, first, n;     // the vertices first .. first + n move it
    Vec by[RUN_VERTICES];   // the share's derivative
    Vec middle;
} Run;

typedef struct Runs { Run items[MOST_RUNS]; int count; double cost; int pixels; } Runs;

// The table's place of a pixel, read when it is first asked for; -1 when the table is full.
static int cell_of(Facets *f, int x, int y, int crack)
{
    int64_t key = ((int64_t)y << 32 | (uint32_t)x) + 1;
    uint64_t h = (uint64_t)key * 0x9e3779b97f4a7c15u;
    int i = (int)(h >> 40) & f->mask;
    while (f->cells[i].key && f->cells[i].key != key) i = (i + 1) & f->mask;
    if (f->cells[i].key) return i;
    if (f->cell_count * 4 > f->mask * 3) return -1; // the path strays; pixels that are known stay known
    f->cell_count++;
    double right = 0;
    int n = f->arc->count;
    Painting here = painting_at(f->painting, ((crack % n) + n) % n);
    bool fit = subpixel_coverage(f->pixels, &here, f->left, f->right, x, y, &right);
    f->cells[i] = (FacetPixel){key, (1 - right), 0, 0, fit};
    return i;
}

// Area to the left of a path through a pixel's square, from and to places on its border: s counts from the top left corner, down first.
static double boundary_area(const Vec *path, int n, int x, int y, double s_in, double s_out)
{
    static const double cx[5] = {0, 0, 1, 1, 0}, cy[5] = {0, 1, 1, 0, 0};
    double sum = 0;
    Vec first = {path[0].x - x, path[0].y - y}, last = first;
    for (int i = 1; i < n; i++) {
        Vec p = {path[i].x - x, path[i].y - y};
        sum += last.x * p.y - p.x * last.y;
        last = p;
    }
    double end = s_in < s_out ? s_in + 4 : s_in;
    for (int k = (int)floor(s_out) + 1; k < end; k++) {
        Vec p = {cx[k & 3], cy[k & 3]};
        sum += last.x * p.y - p.x * last.y;
        last = p;
    }
    sum += last.x * first.y - first.x * last.y;
    return -sum / 2;
}

static void end_run(Facets *f, Runs *runs, const Vec *path, int n, int x, int y, double s_in, double s_out, Run *run, int crack)
{
    int c = cell_of(f, x, y, crack);
    if (c < 0) return;
    FacetPixel *cell = &f->cells[c];
    double a = boundary_area(path, n, x, y, s_in, s_out);
    if (cell->stamp != f->stamp) cell->stamp = f->stamp, cell->model = a;
    else {
        double both = cell->model + a;
        cell->model = (both >= 1 ? both - 1 : both);
    }
    run->cell = c;
    run->middle = (Vec){(path[0].x + path[n - 1].x) / 2, (path[0].y + path[n - 1].y) / 2};
    if (runs->count < MOST_RUNS && run->n > 0) runs->items[runs->count++] = *run;
}

static Vec off_grid(Vec p)
{
    if (fabs(p.x - floor(p.x + 0.5)) < 1e-6) p.x += 1e-5;
    if (fabs(p.y - floor(p.y + 0.5)) < 1e-6) p.y += 1e-5;
    return p;
}

static double dist(Vec a, Vec b)
{
    return sqrt((a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y));
}

// What the path passes at vertex k: itself, or points on the curve that cuts it off.
static int nodes_at(const Facets *f, int k, Node *out)
{
    Vec v = f->v[k].at;
    if (!f->v[k].is_round || k == 0 || k + 1 == f->count) {
        out[0] = (Node){v, k, {0, 1, 0}};
        return 1;
    }
    Vec p = f->v[k - 1].at, q = f->v[k + 1].at;
    double a = fmin(0.5, ROUND_PX / dist(p, v)), b = fmin(0.5, ROUND_PX / dist(v, q));
    for (int i = 0; i <= ROUND_STEPS; i++) {
        double t = (double)i / ROUND_STEPS, w0 = (1 - t) * (1 - t) * a, w2 = t * t * b, w1 = 1 - w0 - w2;
        out[i] = (Node){off_grid((Vec){w0 * p.x + w1 * v.x + w2 * q.x, w0 * p.y + w1 * v.y + w2 * q.y}), k, {w0, w1, w2}};
    }
    return ROUND_STEPS + 1;
}

static bool add_share(Run *run, const Node *node, Vec by)
{
    for (int i = 0; i < 3; i++) {
        if (node->weight[i] == 0) continue;
        int at = node->vertex - 1 + i - run->first;
        if (at < 0 || at >= RUN_VERTICES) return false;
        while (run->n <= at) run->by[run->n++] = (Vec){0, 0};
        run->by[at].x += node->weight[i] * by.x;
        run->by[at].y += node->weight[i] * by.y;
    }
    return true;
}

typedef struct Walk { Vec path[PATH_MOST]; int n, x, y; bool complete; double s_in; Run run; } Walk;

static void walk_side(Facets *f, Walk *w, const Node *from, const Node *to, Runs *runs)
{
    Vec p = from->at, q = to->at, d = {q.x - p.x, q.y - p.y};
    double t = 0;
    if (w->n < PATH_MOST) w->path[w->n++] = p;
    else w->complete = false;
    for (int guard = 0; guard < 4096; guard++) {
        double tx = d.x > 0 ? (w->x + 1 - p.x) / d.x : d.x < 0 ? (w->x - p.x) / d.x : INFINITY;
        double ty = d.y > 0 ? (w->y + 1 - p.y) / d.y : d.y < 0 ? (w->y - p.y) / d.y : INFINITY;
        double next = fmin(1.0, fmin(tx, ty));
        if (next < t) next = t;
        double w1 = (next * next - t * t) / 2, w0 = (next - t) - w1; // share of this bit of the side
        if (w->run.n == 0) w->run.first = from->vertex - (from->weight[0] > 0);
        if (!add_share(&w->run, from, (Vec){-d.y * w0, d.x * w0}) || !add_share(&w->run, to, (Vec){-d.y * w1, d.x * w1})) w->complete = false;
        t = next;
        if (tx >= 1 && ty >= 1) break;
        Vec here = {p.x + t * d.x, p.y + t * d.y};
        bool in_x = tx <= ty;
        if (in_x) here.x = d.x > 0 ? w->x + 1 : w->x;
        else here.y = d.y > 0 ? w->y + 1 : w->y;
        double fx = fmin(1, fmax(0, here.x - w->x)), fy = fmin(1, fmax(0, here.y - w->y));
        double s_out = in_x ? (d.x > 0 ? 3 - fy : fy) : d.y > 0 ? 1 + fx : 4 - fx;
        if (w->n < PATH_MOST) w->path[w->n++] = here;
        else w->complete = false;
        if (w->complete) end_run(f, runs, w->path, w->n, w->x, w->y, w->s_in, s_out, &w->run, f->v[from->vertex].crack);
        if (in_x) w->x += d.x > 0 ? 1 : -1;
        else w->y += d.y > 0 ? 1 : -1;
        w->s_in = in_x ? (d.x > 0 ? fy : 3 - fy) : d.y > 0 ? 4 - fx : 1 + fx;
        w->path[0] = here;
        w->n = 1;
        w->complete = true;
        w->run.n = 0;
    }
}

// Shares of the pixels that the vertices from..to pass.
static void walk(Facets *f, int from, int to, Runs *runs)
{
    Node last = {.vertex = -1}, next[ROUND_STEPS + 1];
    Walk w = {.n = 0};
    for (int k = from; k <= to; k++) {
        int n = nodes_at(f, k, next);
        if (k == from) next[0] = (Node){f->v[k].at, k, {0, 1, 0}}, n = 1;
        if (k == to) next[0] = (Node){f->v[k].at, k, {0, 1, 0}}, n = 1;
        for (int i = 0; i < n; i++) {
            if (last.vertex < 0) w.x = (int)floor(next[i].at.x), w.y = (int)floor(next[i].at.y);
            else walk_side(f, &w, &last, &next[i], runs);
            last = next[i];
        }
    }
}

static void add_cost(Facets *f, int c, Runs *runs)
{
    FacetPixel *cell = &f->cells[c];
    if (!cell->is_fit) return;
    double r = cell->model - cell->left;
    runs->cost += r * r;
    runs->pixels++;
}

// Cost of the vertices from..to: of all pixels along the cracks between them.
static void evaluate(Facets *f, int from, int to, Runs *runs)
{
    runs->count = 0, runs->cost = 0, runs->pixels = 0;
    f->stamp++;
    walk(f, from > 0 ? from - 1 : 0, to + 1 < f->count ? to + 1 : f->count - 1, runs);
    for (int i = 0; i < runs->count; i++) {
        bool again = false;
        for (int k = i - 1; k >= 0 && k > i - 12 && !again; k--) again = runs->items[k].cell == runs->items[i].cell;
        if (!again) add_cost(f, runs->items[i].cell, runs);
    }
    int n = f->arc->count, a = f->v[from].crack, b = f->v[to].crack;
    if (b < a && f->is_closed) b += n;
    if (from == 0 && to == f->count - 1 && f->is_closed) b = a + n - 1;
    for (int i = a; i <= b; i++) {
        int k = i % n;
        Cell c = f->map->corners[f->arc->first + k], d = f->map->corners[f->arc->first + (f->arc->is_loop ? (k + 1) % n : k + 1)];
        Sides s = blend_sides(c, d);
        for (int side = 0; side < 2; side++) {
            int at = cell_of(f, side ? s.right.x : s.left.x, side ? s.right.y : s.left.y, k);
            if (at < 0 || f->cells[at].stamp == f->stamp) continue;
            f->cells[at].stamp = f->stamp;
            f->cells[at].model = side ? 0 : 1;
            add_cost(f, at, runs);
        }
    }
}

static bool solve(double *m, double *r, int n)
{
    for (int i = 0; i < n; i++) {
        if (m[i * n + i] < 1e-9) return false;
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

// Moves the vertices strictly between a and b.
static double refine(Facets *f, int a, int b, int rounds)
{
    Runs runs, next;
    evaluate(f, a, b, &runs);
    int moved = b - a - 1, n = 2 * moved;
    if (moved < 1 || moved > MOST_MOVED) return runs.cost;
    double hold = 1e-3;
    for (int round = 0; round < rounds; round++) {
        double m[4 * MOST_MOVED * MOST_MOVED] = {0}, r[2 * MOST_MOVED] = {0};
        for (int i = 0; i < runs.count; i++) {
            const Run *run = &runs.items[i];
            const FacetPixel *cell = &f->cells[run->cell];
            if (!cell->is_fit) continue;
            double off = cell->model - cell->left;
            double g[2 * RUN_VERTICES];
            int at[2 * RUN_VERTICES], c = 0;
            for (int k = 0; k < run->n; k++) {
                int w = run->first + k - a - 1;
                if (w < 0 || w >= moved) continue;
                at[c] = 2 * w, g[c++] = run->by[k].x;
                at[c] = 2 * w + 1, g[c++] = run->by[k].y;
            }
            for (int p = 0; p < c; p++) {
                r[at[p]] -= g[p] * off;
                for (int q = 0; q < c; q++) m[at[p] * n + at[q]] += g[p] * g[q];
            }
        }
        for (int i = 0; i < n; i++) m[i * n + i] += hold + 0.01 * m[i * n + i];
        if (!solve(m, r, n)) break;
        Vec old[MOST_MOVED];
        double most = 0;
        for (int k = 0; k < moved; k++) {
            double l = sqrt(r[2 * k] * r[2 * k] + r[2 * k + 1] * r[2 * k + 1]), s = l > 0.7 ? 0.7 / l : 1;
            old[k] = f->v[a + 1 + k].at;
            most = fmax(most, l * s);
            f->v[a + 1 + k].at = off_grid((Vec){old[k].x + s * r[2 * k], old[k].y + s * r[2 * k + 1]});
        }
        evaluate(f, a, b, &next);
        if (next.cost >= runs.cost) {
            for (int k = 0; k < moved; k++) f->v[a + 1 + k].at = old[k];
            hold = hold * 10 + 0.05;
            if (hold > 1) break;
            evaluate(f, a, b, &runs);
            continue;
        }
        bool done = next.cost > runs.cost - 1e-4 || most < 0.01;
        runs = next;
        hold /= 3;
        if (done) break;
    }
    return runs.cost;
}


static void smooth_all(Facets *f, int rounds)
{
    for (int a = 0; a + 2 < f->count; a += MOST_MOVED / 2) {
        int b = a + MOST_MOVED + 1 < f->count ? a + MOST_MOVED + 1 : f->count - 1;
        (void)refine(f, a, b, rounds);
    }
}

// The vertices that may move when i does lie between a and b.
static void window(const Facets *f, int i, int reach, int *a, int *b)
{
    *a = i - reach - 1 > 0 ? i - reach - 1 : 0;
    *b = i + reach + 1 < f->count ? i + reach + 1 : f->count - 1;
}

// Takes a vertex out when the pixels miss it less than its price.
static bool try_remove(Facets *f, int i)
{
    Runs runs;
    int a, b, least = f->is_closed ? 4 : 2;
    if (f->count <= least) return false;
    window(f, i, 2, &a, &b);
    Vertex old[WINDOW];
    evaluate(f, a, b, &runs);
    double before = runs.cost;
    memcpy(old, f->v + a, sizeof(Vertex) * (size_t)(b - a + 1));
    memmove(f->v + i, f->v + i + 1, sizeof(Vertex) * (size_t)(f->count - i - 1));
    f->count--;
    double after = refine(f, a, b - 1, 4);
    if (after < before + PRICE) return true;
    memmove(f->v + i + 1, f->v + i, sizeof(Vertex) * (size_t)(f->count - i));
    f->count++;
    memcpy(f->v + a, old, sizeof(Vertex) * (size_t)(b - a + 1));
    return false;
}

static Vec side_of(const Facets *f, int i)
{
    return (Vec){f->v[i + 1].at.x - f->v[i].at.x, f->v[i + 1].at.y - f->v[i].at.y};
}

static double turn_cross(const Facets *f, int i)
{
    Vec u = side_of(f, i - 1), w = side_of(f, i);
    return u.x * w.y - u.y * w.x;
}

double facet_turn_cos(const Facets *f, int i)
{
    Vec u = side_of(f, i - 1), w = side_of(f, i);
    double l = sqrt((u.x * u.x + u.y * u.y) * (w.x * w.x + w.y * w.y));
    return l > 0 ? (u.x * w.x + u.y * w.y) / l : 1.0;
}

static bool remove_some(Facets *f, Work *work, Error *err)
{
    for (int i = 1; i + 1 < f->count;) {
        if (!work_goes_on(work, err)) return false;
        double s = fmin(dist(f->v[i - 1].at, f->v[i].at), dist(f->v[i + 1].at, f->v[i].at));
        if (facet_turn_cos(f, i) < CLEAR_COS && s > CLEAR_PX) i++;
        else if (!try_remove(f, i)) i++;
    }
    return true;
}

// Puts a vertex in a side where its pixels are worst explained, when that is worth the price.
static bool try_insert(Facets *f, int i)
{
    Runs runs;
    if (f->count >= f->most || dist(f->v[i].at, f->v[i + 1].at) < INSERT_PX) return false;
    evaluate(f, i, i + 1, &runs);
    int best = -1;
    double off = INSERT_SHARE;
    for (int k = 0; k < runs.count; k++) {
        const Run *r = &runs.items[k];
        if (r->first != i || r->n != 2 || !f->cells[r->cell].is_fit) continue;
        double o = fabs(f->cells[r->cell].model - f->cells[r->cell].left);
        if (o > off) off = o, best = k;
    }
    if (best < 0) return false;
    int a, b;
    window(f, i, 2, &a, &b);
    evaluate(f, a, b, &runs);
    double before = runs.cost;
    Vertex old[WINDOW];
    memcpy(old, f->v + a, sizeof(Vertex) * (size_t)(b - a + 1));
    // the runs may have changed places: look again
    Vec p = f->v[i].at, q = f->v[i + 1].at;
    evaluate(f, i, i + 1, &runs);
    Vec at = runs.items[best].middle;
    double on = dist(p, at) / dist(p, q);
    if (on < 0.2) on = 0.2;
    if (on > 0.8) on = 0.8;
    int cracks = f->arc->count, c0 = f->v[i].crack, c1 = f->v[i + 1].crack;
    if (c1 < c0) c1 += cracks;
    at = (Vec){p.x + on * (q.x - p.x), p.y + on * (q.y - p.y)};
    memmove(f->v + i + 2, f->v + i + 1, sizeof(Vertex) * (size_t)(f->count - i - 1));
    f->v[i + 1] = (Vertex){off_grid(at), (c0 + (int)(on * (c1 - c0))) % cracks, false};
    f->count++;
    double after = refine(f, a, b + 1, 6);
    if (after < before - PRICE) return true;
    memmove(f->v + i + 1, f->v + i + 2, sizeof(Vertex) * (size_t)(f->count - i - 2));
    f->count--;
    memcpy(f->v + a, old, sizeof(Vertex) * (size_t)(b - a + 1));
    return false;
}

static bool insert_some(Facets *f, Work *work, Error *err)
{
    for (int i = 0; i + 1 < f->count; i++) {
        if (!work_goes_on(work, err)) return false;
        if (try_insert(f, i)) i++;
    }
    return true;
}

// First polygon through points: least of a price a side and the squared distances of what it passes.
static int first_polygon(const EdgePoint *p, int n, Vertex *out, double *cost, int *from)
{
    cost[0] = 0;
    for (int j = 1; j < n; j++) {
        cost[j] = INFINITY;
        for (int i = j - 1; i >= 0 && i >= j - SPAN; i--) {
            Vec d = {p[j].at.x - p[i].at.x, p[j].at.y - p[i].at.y};
            double l = sqrt(d.x * d.x + d.y * d.y), sum = 0;
            if (l <= 0) continue;
            for (int k = i + 1; k < j; k++) {
                double off = (d.x * (p[k].at.y - p[i].at.y) - d.y * (p[k].at.x - p[i].at.x)) / l;
                sum += off * off;
            }
            double c = cost[i] + 1 + sum / (POINT_PX * POINT_PX);
            if (c < cost[j]) cost[j] = c, from[j] = i;
            if (sum > POINT_PX * POINT_PX * HOPELESS) break;
        }
    }
    int count = 0;
    for (int j = n - 1;; j = from[j]) {
        out[count++] = (Vertex){off_grid(p[j].at), p[j].crack, false};
        if (j == 0) break;
    }
    for (int i = 0; i < count / 2; i++) {
        Vertex t = out[i];
        out[i] = out[count - 1 - i], out[count - 1 - i] = t;
    }
    return count;
}

// A closed one begins at the vertex opposite, so that the other half of it is free to move.
static void rotate(Facets *f, Vertex *room)
{
    int n = f->count - 1, by = n / 2;
    for (int i = 0; i < n; i++) room[i] = f->v[(i + by) % n];
    memcpy(f->v, room, sizeof(Vertex) * (size_t)n);
    f->v[n] = f->v[0];
}

double facet_rms(Facets *f, int i)
{
    Runs runs;
    int a, b, n = 0, unfit = 0;
    double sum = 0;
    window(f, i, 0, &a, &b);
    evaluate(f, a, b, &runs);
    for (int k = 0; k < runs.count; k++) {
        const FacetPixel *c = &f->cells[runs.items[k].cell];
        if (dist(runs.items[k].middle, f->v[i].at) > NEAR_VERTEX_PX) continue;
        if (!c->is_fit) { unfit++; continue; }
        double r = c->model - c->left;
        sum += r * r, n++;
    }
    return n >= LEAST_PIXELS && unfit <= UNFIT_SHARE * (n + unfit) ? sqrt(sum / n) : 1;
}

double facet_sharpness(Facets *f, int i)
{
    int a, b;
    window(f, i, 2, &a, &b);
    Vertex old[WINDOW];
    memcpy(old, f->v + a, sizeof(Vertex) * (size_t)(b - a + 1));
    double sharp = refine(f, a, b, 3);
    for (int k = i - 1; k <= i + 1; k++)
        if (k > a && k < b && (k == i || (turn_cross(f, k) * turn_cross(f, i) > 0 && facet_turn_cos(f, k) < BENT_COS))) f->v[k].is_round = true;
    double blunt = refine(f, a, b, 6);
    memcpy(f->v + a, old, sizeof(Vertex) * (size_t)(b - a + 1));
    return blunt - sharp;
}

bool facet_find(const Pixels *pixels, const ArcPainting *painting, const CrackMap *map, const CrackArc *arc, const EdgePoint *points, int count,
                bool is_closed, Work *work, Facets *out, bool *has_shape, Error *err)
{
    *has_shape = false;
    *out = (Facets){.pixels = pixels, .painting = painting, .map = map, .arc = arc, .is_closed = is_closed};
    out->left = map->regions[arc->left].label, out->right = map->regions[arc->right].label;
    int cells = 64, cracks = is_closed ? arc->count : points[count - 1].crack - points[0].crack + 1;
    while (cells < 12 * cracks) cells *= 2;
    out->mask = cells - 1;
    out->most = 2 * count + 16;
    Arena *scratch = &work->scratch;
    out->cells = arena_new(scratch, FacetPixel, cells);
    out->v = arena_new(scratch, Vertex, out->most + 4);
    Vertex *room = arena_new(scratch, Vertex, out->most + 4);
    double *cost = arena_new(scratch, double, count + 2);
    int *from = arena_new(scratch, int, count + 2);
    EdgePoint *line = arena_new(scratch, EdgePoint, count + 1);
    if (!out->cells || !out->v || !room || !cost || !from || !line) return error_memory(err);
    memcpy(line, points, sizeof *line * (size_t)count);
    line[count] = line[0];
    out->count = first_polygon(line, is_closed ? count + 1 : count, out->v, cost, from);
    if (out->count < (is_closed ? 4 : 3)) return true;
    for (int pass = 0; pass < PASSES; pass++)
        for (int half = 0; half < (is_closed ? 2 : 1); half++) {
            smooth_all(out, 5);
            if (!remove_some(out, work, err) || !insert_some(out, work, err)) return false;
            if (is_closed) rotate(out, room);
        }
    smooth_all(out, 5);
    *has_shape = out->count >= (is_closed ? 4 : 3);
    return true;
}
