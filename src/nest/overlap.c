// overlap.c - cast_overlap of solid.h: do two casts meet, and how much?
// Method:  boxes, then discs, then edges, in runs whose boxes touch, then one point of each in the other's material; what
//          meets is measured by its discs alone: sum of g(r1 + r2 - distance) * min(r1, r2) over all pairs, its root times both
//          weights. g is the depth, and below a small one a hyperbola that stays positive: outlines that cross where no discs do
//          still tell a way out.
// Source:  J. Gardeyn, G. Vanden Berghe, T. Wauters, "An open-source heuristic to reboot 2D nesting research" (2025); form of g from
//          memory.
#include "nest/solid.h"

#include "nest/lanes.h"

#include <math.h>

#define LANES 4                 // sums of discs come together in a fixed order: the same on every machine
#define SMALL_DEPTH 0.01f       // of the diameter: where g changes over
#define MOST_NEAR 256           // runs of one cast in the other's box; more are looked at in turns

static bool discs_meet(const Discs *a, float dx, float dy, const Discs *b)
{
    for (int i = 0; i < SOLID_DISCS; i++) {
        float x = a->x[i] + dx, y = a->y[i] + dy, r = a->r[i];
        if (r <= 0.0f) return false;
        // floats: what just touches is for the edges
        if (lanes_disc_meets(x, y, r, b->x, b->y, b->r, SOLID_DISCS, 0.9999f)) return true;
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

static bool boxes_touch(const RunBox *a, const RunBox *b)
{
    return a->x0 <= b->x1 && b->x0 <= a->x1 && a->y0 <= b->y1 && b->y0 <= a->y1;
}

static bool runs_cross(const Cast *a, int run_a, double dx, double dy, const Cast *b, int run_b)
{
    const Solid *of_a = a->solid, *of_b = b->solid;
    int end_a = run_a + CAST_RUN < of_a->corner_count ? run_a + CAST_RUN : of_a->corner_count;
    int end_b = run_b + CAST_RUN < of_b->corner_count ? run_b + CAST_RUN : of_b->corner_count;
    for (int i = run_a; i < end_a; i++) {
        Dot p = a->inset[i], q = a->inset[of_a->next[i]];
        Line line = {{p.x + dx, p.y + dy}, {q.x + dx, q.y + dy}};
        for (int k = run_b; k < end_b; k++) {
            Line other = {b->corners[k], b->corners[of_b->next[k]]};
            if (lines_cross(&line, &other)) return true;
        }
    }
    return false;
}

// Only what lies in both boxes can cross.
static bool edges_cross(const Cast *a, double dx, double dy, const Cast *b)
{
    RunBox box_a = {a->x0 + dx, a->y0 + dy, a->x1 + dx, a->y1 + dy}, box_b = {b->x0, b->y0, b->x1, b->y1};
    int near_b[MOST_NEAR];
    for (int first = 0; first < b->run_count;) {
        int count = 0;
        for (; first < b->run_count && count < MOST_NEAR; first++)
            if (boxes_touch(&b->runs[first], &box_a)) near_b[count++] = first;
        for (int i = 0; count > 0 && i < a->run_count; i++) {
            const RunBox *r = &a->runs[i];
            RunBox run = {r->x0 + dx, r->y0 + dy, r->x1 + dx, r->y1 + dy};
            if (!boxes_touch(&run, &box_b)) continue;
            for (int k = 0; k < count; k++)
                if (boxes_touch(&run, &b->runs[near_b[k]]) && runs_cross(a, i * CAST_RUN, dx, dy, b, near_b[k] * CAST_RUN)) return true;
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
    if (a->x0 + dx >= b->x1 || b->x0 >= a->x1 + dx || a->y0 + dy >= b->y1 || b->y0 >= a->y1 + dy) return 0;
    float fx = (float)dx, fy = (float)dy;
    if (!discs_meet(&a->discs, fx, fy, &b->discs) && !edges_cross(a, dx, dy, b) && !one_in_other(a, dx, dy, b)) return 0;
    double larger = fmax(a->solid->diameter_mm, b->solid->diameter_mm);
    float sum = depth_sum(&a->discs, fx, fy, &b->discs, SMALL_DEPTH * (float)larger);
    return sqrt((double)sum) * a->solid->weight * b->solid->weight;
}
