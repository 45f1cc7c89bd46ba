// hull.c - convex hulls, and whether a shape fits a sheet at some angle.
// How:  while a shape turns, its extents change as A cos + B sin as long as the same corners of the hull lie outermost.
//       The directions at which an outermost corner changes are found one after another, exactly, as whole-number
//       vectors. Between two of them each bound of the space is a half plane for the unit vector of the turn, so that
//       the feasible turns are arcs that end at such a direction or where a bound is met; all these ends are tried.
#include "shape/hull.h"

#include <math.h>
#include <stdlib.h>

// Rounding only: a turn at which a bound is met exactly must not be lost. A nanometre is nothing to a blade.
#define FIT_SLACK_UM 1e-3

// ---- making ----

typedef uint64_t Key; // a point, in whole numbers that rise as its order does (point_compare)

static Key key_of(Point p)
{
    return (Key)((uint32_t)p.y ^ 0x80000000u) << 32 | ((uint32_t)p.x ^ 0x80000000u);
}

static Point point_of(Key key)
{
    return (Point){(int32_t)((uint32_t)key ^ 0x80000000u), (int32_t)((uint32_t)(key >> 32) ^ 0x80000000u)};
}

// Each few are moved to their places.
static void sort_runs(Key *keys, size_t count, size_t run)
{
    for (size_t first = 0; first < count; first += run) {
        size_t end = first + run < count ? first + run : count;
        for (size_t i = first + 1; i < end; i++) {
            Key key = keys[i];
            size_t k = i;
            for (; k > first && keys[k - 1] > key; k--) keys[k] = keys[k - 1];
            keys[k] = key;
        }
    }
}

static void merge_two(const Key *a, const Key *a_end, const Key *b, const Key *b_end, Key *out)
{
    while (a < a_end && b < b_end) {
        bool is_a = *a <= *b; // no jump hangs on it: it is as good as chance
        *out++ = is_a ? *a : *b;
        a += is_a;
        b += !is_a;
    }
    while (a < a_end) *out++ = *a++;
    while (b < b_end) *out++ = *b++;
}

// The sorted ones come to be in either array.
static Key *sort_keys(Key *keys, Key *spare, size_t count)
{
    size_t run = 12;
    sort_runs(keys, count, run);
    for (; run < count; run *= 2) {
        for (size_t first = 0; first < count; first += 2 * run) {
            size_t middle = first + run < count ? first + run : count, end = middle + run < count ? middle + run : count;
            merge_two(keys + first, keys + middle, keys + middle, keys + end, spare + first);
        }
        Key *swap = keys;
        keys = spare;
        spare = swap;
    }
    return keys;
}

// Points strictly inside the upright box between the four that lie farthest out along the diagonals are no corners of
// the hull; the others' keys are listed.
// Source: S. G. Akl, G. T. Toussaint, "A fast convex hull algorithm", Information Processing Letters 7 (1978) 219-222 (from
// memory); the box in place of their quadrilateral is ours.
static int list_outer(const Point *points, int count, Key *keys)
{
    Point lower = points[0], upper = points[0], left = points[0], right = points[0]; // by x + y and x - y
    for (int i = 1; i < count; i++) {
        Point p = points[i];
        int64_t sum = (int64_t)p.x + p.y, difference = (int64_t)p.x - p.y;
        if (sum < (int64_t)upper.x + upper.y) upper = p;
        if (sum > (int64_t)lower.x + lower.y) lower = p;
        if (difference < (int64_t)left.x - left.y) left = p;
        if (difference > (int64_t)right.x - right.y) right = p;
    }
    int32_t x0 = upper.x > left.x ? upper.x : left.x, x1 = lower.x < right.x ? lower.x : right.x;
    int32_t y0 = upper.y > right.y ? upper.y : right.y, y1 = lower.y < left.y ? lower.y : left.y;
    int kept = 0;
    for (int i = 0; i < count; i++) {
        Point p = points[i];
        if (p.x <= x0 || p.x >= x1 || p.y <= y0 || p.y >= y1) keys[kept++] = key_of(p);
    }
    return kept;
}

// Adds p to the chain of right turns above `floor`.
static int push_turning(Point *hull, int floor, int count, Point p)
{
    while (count >= floor + 2 && point_cross(hull[count - 2], hull[count - 1], p) <= 0) count--;
    hull[count] = p;
    return count + 1;
}

static int turn_round(const Key *sorted, int n, Point *hull)
{
    int held = 0;
    for (int i = 0; i < n; i++) held = push_turning(hull, 0, held, point_of(sorted[i]));
    if (n < 2) return held;
    int floor = held - 1;
    for (int i = n - 2; i >= 0; i--) held = push_turning(hull, floor, held, point_of(sorted[i]));
    return held - 1; // the first point came again
}

Point *hull_make(const Point *points, int count, Arena *keep, int *out_count)
{
    *out_count = 0;
    Key *keys = arena_new(keep, Key, 2 * (size_t)count);
    if (!keys) return NULL;
    int kept = count > 0 ? list_outer(points, count, keys) : 0, n = 0;
    Point *hull = arena_new(keep, Point, 2 * (size_t)kept + 1);
    if (!hull) return NULL;
    Key *sorted = sort_keys(keys, keys + count, (size_t)kept);
    for (int i = 0; i < kept; i++)
        if (n == 0 || sorted[i] != sorted[n - 1]) sorted[n++] = sorted[i];
    *out_count = turn_round(sorted, n, hull);
    return hull;
}

// ---- the turning hull ----

typedef struct Whole {
    int64_t x, y;
} Whole; // a vector or complex number of whole numbers
typedef struct Real {
    double x, y;
} Real;

enum { SUPPORTS = 6 };
// The six directions in which a turned shape meets the space: right, left, down, up, and the two diagonals.
static const Whole facing[SUPPORTS] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, -1}};

static Whole whole_times(Whole a, Whole b)
{
    return (Whole){a.x * b.x - a.y * b.y, a.x * b.y + a.y * b.x};
}
static int64_t whole_cross(Whole a, Whole b)
{
    return a.x * b.y - a.y * b.x;
}
static int64_t whole_dot(Whole a, Whole b)
{
    return a.x * b.x + a.y * b.y;
}
static Whole edge_from(Point a, Point b)
{
    return (Whole){(int64_t)b.x - a.x, (int64_t)b.y - a.y};
}

typedef struct Turning {
    const Point *hull;
    int count;
    Whole now;        // the direction (in the hull's own frame) that is turned to face right
    int at[SUPPORTS]; // outermost corner in each facing, from `now` on
} Turning;

static int outermost(const Point *hull, int count, Whole way)
{
    int best = 0;
    int64_t best_reach = whole_dot((Whole){hull[0].x, hull[0].y}, way);
    for (int i = 1; i < count; i++) {
        int64_t reach = whole_dot((Whole){hull[i].x, hull[i].y}, way);
        if (reach > best_reach) best = i, best_reach = reach;
    }
    // Of two equal corners the later one stays outermost when the direction turns on.
    int next = (best + 1) % count;
    if (whole_dot((Whole){hull[next].x, hull[next].y}, way) == best_reach) best = next;
    return best;
}

static Turning turning_start(const Point *hull, int count)
{
    Turning turning = {.hull = hull, .count = count, .now = {1, 0}};
    for (int k = 0; k < SUPPORTS; k++) turning.at[k] = outermost(hull, count, facing[k]);
    return turning;
}

// The direction at which facing k goes over to the next corner: the outer normal of the edge, turned back by the
// facing.
static Whole next_change(const Turning *turning, int k)
{
    Whole edge = edge_from(turning->hull[turning->at[k]], turning->hull[(turning->at[k] + 1) % turning->count]);
    Whole normal = {edge.y, -edge.x};
    return whole_times(normal, (Whole){facing[k].x, -facing[k].y});
}

// True when a comes before b as one turns on from `now` (both lie more than 0 and at most half a turn ahead).
static bool comes_before(Whole now, Whole a, Whole b)
{
    bool a_opposite = whole_cross(now, a) <= 0, b_opposite = whole_cross(now, b) <= 0;
    if (a_opposite != b_opposite) return b_opposite;
    return !a_opposite && whole_cross(a, b) > 0;
}

static Whole turning_next(const Turning *turning)
{
    Whole next = next_change(turning, 0);
    for (int k = 1; k < SUPPORTS; k++) {
        Whole change = next_change(turning, k);
        if (comes_before(turning->now, change, next)) next = change;
    }
    return next;
}

static void turning_go(Turning *turning, Whole to)
{
    for (int k = 0; k < SUPPORTS; k++) {
        Whole change = next_change(turning, k);
        if (whole_cross(change, to) == 0 && whole_dot(change, to) > 0)
            turning->at[k] = (turning->at[k] + 1) % turning->count;
    }
    turning->now = to;
}

// ---- bounds of the space ----

enum { BOUNDS = 5 };

// Bound i says: the sum of the reaches in the facings of its row is at most most[i].
static const int bound_facings[BOUNDS][3] = {{0, 1, -1}, {2, 3, -1}, {4, 5, -1}, {0, 2, 5}, {1, 3, 4}};

static void bounds_most_um(Space space, double most[BOUNDS])
{
    double w = space.width_mm * UM_PER_MM, h = space.height_mm * UM_PER_MM, c = space.corner_mm * UM_PER_MM;
    most[0] = w;
    most[1] = h;
    most[2] = w + h - 2.0 * c; // between the two cut corners
    most[3] = w + h - c;       // right and lower side against the upper left corner
    most[4] = w + h - c;       // left and upper side against the lower right corner
}

// The vector whose product with the direction is what bound i limits, with the outermost corners of now.
static Real bound_vector(const Turning *turning, int bound)
{
    Real sum = {0.0, 0.0};
    Point base = turning->hull[0]; // bounds do not depend on the place: small numbers round less
    for (int j = 0; j < 3 && bound_facings[bound][j] >= 0; j++) {
        int k = bound_facings[bound][j];
        Whole v = whole_times(edge_from(base, turning->hull[turning->at[k]]), (Whole){facing[k].x, -facing[k].y});
        sum.x += (double)v.x;
        sum.y += (double)v.y;
    }
    return sum;
}

static Real unit(double x, double y)
{
    double length = sqrt(x * x + y * y);
    return (Real){x / length, y / length};
}

static bool within_bounds(const Real vectors[BOUNDS], const double most[BOUNDS], Real way)
{
    for (int i = 0; i < BOUNDS; i++)
        if (vectors[i].x * way.x + vectors[i].y * way.y > most[i] + FIT_SLACK_UM) return false;
    return true;
}

bool hull_fits_at(const Point *hull, int count, Space space, Fit fit)
{
    if (count <= 0) return true;
    double reach[SUPPORTS] = {0};
    for (int i = 0; i < count; i++) {
        double x = (double)hull[i].x - hull[0].x, y = (double)hull[i].y - hull[0].y;
        double tx = x * fit.cos - y * fit.sin, ty = x * fit.sin + y * fit.cos;
        for (int k = 0; k < SUPPORTS; k++) {
            double here = tx * (double)facing[k].x + ty * (double)facing[k].y;
            if (here > reach[k]) reach[k] = here;
        }
    }
    double most[BOUNDS];
    bounds_most_um(space, most);
    for (int i = 0; i < BOUNDS; i++) {
        double sum = 0.0;
        for (int j = 0; j < 3 && bound_facings[i][j] >= 0; j++) sum += reach[bound_facings[i][j]];
        if (sum > most[i] + 2.0 * FIT_SLACK_UM) return false; // wider than the search, which rounds in another order
    }
    return true;
}

// The direction `way` of the hull comes to lie to the right when the hull is turned by its mirror image.
static bool accept(const Point *hull, int count, Space space, Real way, Fit *out)
{
    Fit fit = {way.x, way.y == 0.0 ? 0.0 : -way.y};
    if (!hull_fits_at(hull, count, space, fit)) return false;
    *out = fit;
    return true;
}

// Tries both directions at which bound i is just met, when they lie between `from` and `to`.
static bool try_bound_ends(const Turning *turning, Space space, const Real vectors[BOUNDS], const double most[BOUNDS],
                           int bound, Real from, Real to, Fit *out)
{
    Real a = vectors[bound];
    double length2 = a.x * a.x + a.y * a.y, rest = length2 - most[bound] * most[bound];
    if (rest < 0.0 || length2 == 0.0) return false;
    double root = sqrt(rest);
    for (int sign = -1; sign <= 1; sign += 2) {
        Real way = unit(most[bound] * a.x - sign * root * a.y, most[bound] * a.y + sign * root * a.x);
        bool between = from.x * way.y - from.y * way.x >= 0.0 && way.x * to.y - way.y * to.x >= 0.0;
        if (between && within_bounds(vectors, most, way) && accept(turning->hull, turning->count, space, way, out))
            return true;
    }
    return false;
}

static bool try_between(const Turning *turning, Whole next, Space space, const double most[BOUNDS], bool ends, Fit *out)
{
    Real vectors[BOUNDS];
    for (int i = 0; i < BOUNDS; i++) vectors[i] = bound_vector(turning, i);
    Real from = unit((double)turning->now.x, (double)turning->now.y), to = unit((double)next.x, (double)next.y);
    if (!ends) return within_bounds(vectors, most, from) && accept(turning->hull, turning->count, space, from, out);
    for (int i = 0; i < BOUNDS; i++)
        if (try_bound_ends(turning, space, vectors, most, i, from, to, out)) return true;
    return false;
}

// Half a turn is enough: the space looks the same when it is turned by half a turn.
static bool search(const Point *hull, int count, Space space, bool ends, Fit *out)
{
    double most[BOUNDS];
    bounds_most_um(space, most);
    Turning turning = turning_start(hull, count);
    for (bool last = false; !last;) {
        Whole next = turning_next(&turning);
        last = next.y < 0 || (next.y == 0 && next.x < 0);
        if (last) next = (Whole){-1, 0};
        if (try_between(&turning, next, space, most, ends, out)) return true;
        if (!last) turning_go(&turning, next);
    }
    return false;
}

// ---- widths, and the question ----

// Walks all edges with the corner farthest from each (rotating calipers).
static void calipers(const Point *hull, int count, double *out_width_um, double *out_diameter_um)
{
    double width = INFINITY, diameter = 0.0;
    int far = 1;
    for (int i = 0; i < count; i++) {
        Point a = hull[i], b = hull[(i + 1) % count];
        while (point_cross(a, b, hull[(far + 1) % count]) > point_cross(a, b, hull[far])) far = (far + 1) % count;
        double edge = point_distance_mm(a, b) * UM_PER_MM;
        width = fmin(width, (double)point_cross(a, b, hull[far]) / edge);
        for (int step = 0; step < 2; step++) {
            Point p = hull[(far + step) % count]; // the next one is as far when its edge is parallel
            diameter = fmax(diameter, fmax(point_distance_mm(a, p), point_distance_mm(b, p)) * UM_PER_MM);
        }
    }
    *out_width_um = width;
    *out_diameter_um = diameter;
}

// Tells most parts that fit at no turn without a search: both extents are at least the least width, and two points of
// the space are never farther apart than its corners.
static bool too_large(const Point *hull, int count, Space space)
{
    if (count < 3) return false;
    double width, diameter, w = space.width_mm * UM_PER_MM, h = space.height_mm * UM_PER_MM;
    calipers(hull, count, &width, &diameter);
    return width > fmin(w, h) + 2.0 * FIT_SLACK_UM || diameter > sqrt(w * w + h * h) + 4.0 * FIT_SLACK_UM;
}

bool hull_fits(const Point *hull, int count, Space space, Fit *out)
{
    *out = (Fit){1.0, 0.0};
    if (hull_fits_at(hull, count, space, *out)) return true;
    if (space.upright) return false;
    *out = (Fit){0.0, 1.0};
    if (hull_fits_at(hull, count, space, *out)) return true;
    *out = (Fit){1.0, 0.0};
    if (count < 2 || too_large(hull, count, space)) return false;
    return search(hull, count, space, false, out) || search(hull, count, space, true, out);
}

double hull_width_mm(const Point *hull, int count)
{
    if (count < 3) return 0.0;
    double width, diameter;
    calipers(hull, count, &width, &diameter);
    return width / UM_PER_MM;
}

double hull_diameter_mm(const Point *hull, int count)
{
    if (count < 2) return 0.0;
    if (count == 2) return point_distance_mm(hull[0], hull[1]);
    double width, diameter;
    calipers(hull, count, &width, &diameter);
    return diameter / UM_PER_MM;
}
