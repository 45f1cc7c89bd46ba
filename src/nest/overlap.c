// overlap.c - cast_overlap of solid.h: do two casts meet, and how much?
// Method:  boxes, then discs, then edges in the window that both boxes share, then one point of each in the other's material; what
//          meets is measured by its discs alone: sum of g(r1 + r2 - distance) * min(r1, r2) over all pairs, its root times both
//          weights. g is the depth, and below a small one a hyperbola that stays positive: outlines that cross where no discs do
//          still tell a way out.
// Source:  J. Gardeyn, G. Vanden Berghe, T. Wauters, "An open-source heuristic to reboot 2D nesting research" (2025); form of g from
//          memory.
#include "nest/solid.h"

#include <math.h>
#include <string.h>

#define LANES 4                 // sums of discs come together in a fixed order: the same on every machine
#define SMALL_DEPTH 0.01f       // of the diameter: where g changes over
#define MOST_EDGES 512          // of one cast in the window; more are looked at in turns

typedef float Floats4 __attribute__((vector_size(16))); // GCC and clang: four discs at once
typedef int Bits4 __attribute__((vector_size(16)));

static Floats4 four_of(const float *from)
{
    Floats4 four;
    memcpy(&four, from, sizeof four);
    return four;
}

static bool discs_meet(const Discs *a, float dx, float dy, const Discs *b)
{
    for (int i = 0; i < SOLID_DISCS; i++) {
        float x = a->x[i] + dx, y = a->y[i] + dy, r = a->r[i];
        if (r <= 0.0f) return false;
        Bits4 meet = {0};
        for (int j = 0; j < SOLID_DISCS; j += 4) {
            Floats4 ex = four_of(&b->x[j]) - x, ey = four_of(&b->y[j]) - y, other = four_of(&b->r[j]);
            Floats4 reach = (other + r) * 0.9999f; // floats: what just touches is for the edges
            meet |= (Bits4)(ex * ex + ey * ey < reach * reach) & (Bits4)(other > 0.0f);
        }
        if (meet[0] | meet[1] | meet[2] | meet[3]) return true;
    }
    return false;
}

// Written for the compiler's vectors: no branch in the inner loop, and all discs, also those of radius 0.
static float depth_sum(const Discs *a, float dx, float dy, const Discs *b, float small)
{
    float sums[SOLID_DISCS] = {0};
    for (int i = 0; i < SOLID_DISCS && a->r[i] > 0.0f; i++) {
        float x = a->x[i] + dx, y = a->y[i] + dy, r = a->r[i];
        for (int j = 0; j < SOLID_DISCS; j++) {
            float ex = b->x[j] - x, ey = b->y[j] - y, other = b->r[j];
            float depth = r + other - sqrtf(ex * ex + ey * ey);
            float low = depth < small ? depth : small;
            float tail = small * small / (2 * small - low);
            float value = depth < small ? tail : depth;
            sums[j] += value * (r < other ? r : other);
        }
    }
    for (int k = LANES; k < SOLID_DISCS; k++) sums[k % LANES] += sums[k];
    return (sums[0] + sums[1]) + (sums[2] + sums[3]);
}

typedef struct Line {
    Dot a, b;
} Line;

typedef struct Window2 {
    double x0, y0, x1, y1;
} Window2;

static bool touches(Dot a, Dot b, const Window2 *w)
{
    return (a.x < b.x ? a.x : b.x) <= w->x1 && (a.x > b.x ? a.x : b.x) >= w->x0 && (a.y < b.y ? a.y : b.y) <= w->y1 &&
           (a.y > b.y ? a.y : b.y) >= w->y0;
}

static double side(Dot a, Dot b, Dot p)
{
    return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
}

static bool lines_cross(const Line *s, const Line *t)
{
    if ((s->a.x < s->b.x ? s->a.x : s->b.x) > (t->a.x > t->b.x ? t->a.x : t->b.x) ||
        (s->a.x > s->b.x ? s->a.x : s->b.x) < (t->a.x < t->b.x ? t->a.x : t->b.x) ||
        (s->a.y < s->b.y ? s->a.y : s->b.y) > (t->a.y > t->b.y ? t->a.y : t->b.y) ||
        (s->a.y > s->b.y ? s->a.y : s->b.y) < (t->a.y < t->b.y ? t->a.y : t->b.y))
        return false;
    return (side(s->a, s->b, t->a) > 0) != (side(s->a, s->b, t->b) > 0) &&
           (side(t->a, t->b, s->a) > 0) != (side(t->a, t->b, s->b) > 0);
}

// The next edges of b that touch the window, from edge *at on.
static int gather(const Cast *b, const Window2 *window, int *at, Line *lines)
{
    int count = 0;
    for (; *at < b->solid->corner_count && count < MOST_EDGES; (*at)++) {
        Line line = {b->corners[*at], b->corners[b->solid->next[*at]]};
        if (touches(line.a, line.b, window)) lines[count++] = line;
    }
    return count;
}

static bool edges_cross(const Cast *a, double dx, double dy, const Cast *b, const Window2 *window)
{
    Line lines[MOST_EDGES];
    for (int at = 0; at < b->solid->corner_count;) {
        int count = gather(b, window, &at, lines);
        for (int i = 0; count > 0 && i < a->solid->corner_count; i++) {
            Dot p = a->inset[i], q = a->inset[a->solid->next[i]];
            Line line = {{p.x + dx, p.y + dy}, {q.x + dx, q.y + dy}};
            if (!touches(line.a, line.b, window)) continue;
            for (int k = 0; k < count; k++)
                if (lines_cross(&line, &lines[k])) return true;
        }
    }
    return false;
}

static bool holds(const Cast *cast, Dot p)
{
    bool inside = false;
    if (p.x < cast->x0 || p.x > cast->x1 || p.y < cast->y0 || p.y > cast->y1) return false;
    for (int i = 0; i < cast->solid->corner_count; i++) {
        Dot a = cast->corners[i], b = cast->corners[cast->solid->next[i]];
        if ((a.y <= p.y) == (b.y <= p.y)) continue;
        if (p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)) inside = !inside;
    }
    return inside;
}

// The middle of the largest disc stands for the whole: it lies deep in the material.
static bool one_in_other(const Cast *a, double dx, double dy, const Cast *b)
{
    Dot mid_a = {(double)a->discs.x[0] + dx, (double)a->discs.y[0] + dy};
    Dot mid_b = {(double)b->discs.x[0] - dx, (double)b->discs.y[0] - dy};
    return holds(b, mid_a) || holds(a, mid_b);
}

double cast_overlap(const Cast *a, double dx, double dy, const Cast *b)
{
    Window2 window = {fmax(a->x0 + dx, b->x0), fmax(a->y0 + dy, b->y0), fmin(a->x1 + dx, b->x1), fmin(a->y1 + dy, b->y1)};
    if (window.x0 >= window.x1 || window.y0 >= window.y1) return 0;
    float fx = (float)dx, fy = (float)dy;
    if (!discs_meet(&a->discs, fx, fy, &b->discs) && !edges_cross(a, dx, dy, b, &window) && !one_in_other(a, dx, dy, b)) return 0;
    double larger = fmax(a->solid->diameter_mm, b->solid->diameter_mm);
    float sum = depth_sum(&a->discs, fx, fy, &b->discs, SMALL_DEPTH * (float)larger);
    return sqrt((double)sum) * a->solid->weight * b->solid->weight;
}
