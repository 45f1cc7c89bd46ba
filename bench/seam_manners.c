// seam_manners.c - see seam_manners.h.
#include "seam_manners.h"

#include "seam/hiding.h"
#include "seam/stretch.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define STACKED_MM 12.7
#define STACKED_TURN 0.3639702343 // the tangent of 20 degrees
#define SQUARE_SIN 0.0871557427   // the sine of 5 degrees
#define AXIS_UM 20                // a line that is off its axis by less runs along it
#define CORNER_MM 2.0             // how far from a point its turning is looked at
#define CORNER_COS 0.906307787    // a corner turns by more than 25 degrees
#define NEAR_CORNER_MM 1.0        // an end lies in a corner
#define JOINT_MM 25.4

static Point seam_point(const LayerPieces *pieces, const Seam *seam, int i)
{
    return link_point(&pieces->chains, &seam->links[0], i);
}

static double dot(double ax, double ay, double bx, double by)
{
    return (ax * bx + ay * by) / (sqrt(ax * ax + ay * ay) * sqrt(bx * bx + by * by));
}

// ---- above one another ----

// Adds the stretches of a-b that run beside a seam.
static bool add_beside(const LayerPieces *lower, Point a, Point b, Arena *scratch, Stretches *out)
{
    double length = point_distance_mm(a, b), dx = (b.x - a.x) / 1e3 / length, dy = (b.y - a.y) / 1e3 / length;
    for (int s = 0; s < lower->seam_count; s++) {
        for (int i = 0; i + 1 < link_point_count(&lower->seams[s].links[0]); i++) {
            double along[2], across[2];
            for (int e = 0; e < 2; e++) {
                Point p = seam_point(lower, &lower->seams[s], i + e);
                double x = (p.x - a.x) / 1e3, y = (p.y - a.y) / 1e3;
                along[e] = x * dx + y * dy;
                across[e] = y * dx - x * dy;
            }
            if (fabs(across[1] - across[0]) >= STACKED_TURN * fabs(along[1] - along[0])) continue;
            Stretch beside = capsule_stretch(along[0], across[0], along[1], across[1], STACKED_MM);
            beside.lo = fmax(beside.lo, 0.0);
            beside.hi = fmin(beside.hi, length);
            if (beside.lo < beside.hi && !stretches_add(out, beside, scratch)) return false;
        }
    }
    return true;
}

static bool stacked_length(const LayerPieces *upper, const LayerPieces *lower, int lower_count, Arena *scratch,
                           double *sum_mm)
{
    for (int s = 0; s < upper->seam_count; s++) {
        for (int i = 0; i + 1 < link_point_count(&upper->seams[s].links[0]); i++) {
            Point a = seam_point(upper, &upper->seams[s], i), b = seam_point(upper, &upper->seams[s], i + 1);
            ArenaMark mark = arena_mark(scratch);
            Stretches all = {0};
            for (int l = 0; l < lower_count; l++)
                if (!add_beside(&lower[l], a, b, scratch, &all)) return false;
            all.count = stretches_tidy(all.items, all.count);
            for (size_t k = 0; k < all.count; k++) *sum_mm += all.items[k].hi - all.items[k].lo;
            arena_rewind(scratch, mark);
        }
    }
    return true;
}

// ---- one layer ----

typedef struct End {
    Point at, inward; // the seam goes on from `at` to `inward`
    int seam;
    bool visible, on_outline;
} End;

// The outline's edge that a point lies on (distance under 20 um), and its ring; false when it is a joint of seams.
static bool find_edge(const Rings *rings, Point p, int *out_ring, int *out_edge)
{
    double best = 0.02;
    for (int r = 0; r < rings->count; r++) {
        const Ring *ring = &rings->items[r];
        for (int i = 0; i < ring->count; i++) {
            double away = point_segment_distance_mm(p, ring->points[i], ring->points[(i + 1) % ring->count]);
            if (away >= best) continue;
            best = away;
            *out_ring = r;
            *out_edge = i;
        }
    }
    return best < 0.02;
}

// The point `way_mm` along the ring from point i, forwards or back.
static Point along_ring(const Ring *ring, int i, int step, double way_mm)
{
    Point p = ring->points[i];
    for (int guard = ring->count; guard > 0; guard--) {
        int k = (i + step + ring->count) % ring->count;
        double length = point_distance_mm(p, ring->points[k]);
        if (length >= way_mm && length > 0.0) {
            Point q = ring->points[k];
            double t = way_mm / length;
            return (Point){p.x + (int32_t)((q.x - p.x) * t), p.y + (int32_t)((q.y - p.y) * t)};
        }
        way_mm -= length;
        p = ring->points[i = k];
    }
    return p;
}

static bool is_concave_corner(const Ring *ring, int i)
{
    Point p = ring->points[i], q = along_ring(ring, i, -1, CORNER_MM), r = along_ring(ring, i, 1, CORNER_MM);
    return point_cross(q, p, r) < 0 && dot(p.x - q.x, p.y - q.y, r.x - p.x, r.y - p.y) < CORNER_COS;
}

static bool is_tidy(const Rings *rings, const End *end)
{
    int r = 0, e = 0;
    if (!find_edge(rings, end->at, &r, &e)) return true;
    const Ring *ring = &rings->items[r];
    Point a = ring->points[e], b = ring->points[(e + 1) % ring->count];
    double along = dot(b.x - a.x, b.y - a.y, end->inward.x - end->at.x, end->inward.y - end->at.y);
    if (fabs(along) <= SQUARE_SIN) return true;
    for (int i = 0; i < ring->count; i++)
        if (point_distance_mm(ring->points[i], end->at) <= NEAR_CORNER_MM && is_concave_corner(ring, i)) return true;
    return false;
}

static bool is_visible(const Hiding *hiding, Point a, Point b, Arena *scratch)
{
    double length = point_distance_mm(a, b), near = fmin(1.0, 6.0 / length);
    Point close = {a.x + (int32_t)((b.x - a.x) * near), a.y + (int32_t)((b.y - a.y) * near)};
    return hiding_length_mm(hiding, a, close, scratch) < 0.5 * point_distance_mm(a, close);
}

static void judge_seam(const LayerPieces *pieces, const Rings *rings, const Hiding *hiding, int index, Arena *scratch,
                       End *ends, Manners *m)
{
    const Seam *seam = &pieces->seams[index];
    int count = link_point_count(&seam->links[0]), bends = 0;
    for (int i = 0; i < 2; i++) {
        End *end = &ends[2 * index + i];
        int r, e;
        *end = (End){seam_point(pieces, seam, i ? count - 1 : 0), seam_point(pieces, seam, i ? count - 2 : 1), index,
                     false, false};
        end->visible = is_visible(hiding, end->at, end->inward, scratch);
        end->on_outline = find_edge(rings, end->at, &r, &e);
        if (!end->visible || !end->on_outline) continue;
        m->ends++;
        m->untidy_ends += !is_tidy(rings, end);
    }
    for (int i = 1; i + 1 < count; i++) {
        Point p = seam_point(pieces, seam, i);
        bends += is_visible(hiding, p, seam_point(pieces, seam, i - 1), scratch) &&
                 is_visible(hiding, p, seam_point(pieces, seam, i + 1), scratch);
    }
    m->bends += bends;
    m->bent_twice += bends > 1;
    m->visible_mm += seam->visible_mm;
    bool square = count == 2 && ends[2 * index].on_outline && ends[2 * index + 1].on_outline &&
                  is_tidy(rings, &ends[2 * index]) && is_tidy(rings, &ends[2 * index + 1]);
    for (int i = 0; i + 1 < count && !square; i++) {
        Point a = seam_point(pieces, seam, i), b = seam_point(pieces, seam, i + 1);
        if (abs(a.x - b.x) <= AXIS_UM || abs(a.y - b.y) <= AXIS_UM) continue;
        m->odd_mm += point_distance_mm(a, b) - hiding_length_mm(hiding, a, b, scratch);
    }
}

// Ends near one another that lie on a third seam, or on the two sides of one.
static void judge_joints(const LayerPieces *pieces, const End *ends, Manners *m)
{
    for (int i = 0; i < 2 * pieces->seam_count; i++) {
        int meet = 0;
        for (int k = 0; k < 2 * pieces->seam_count; k++) meet += ends[k].visible && point_equal(ends[k].at, ends[i].at);
        bool first = true;
        for (int k = 0; k < i; k++) first &= !point_equal(ends[k].at, ends[i].at);
        m->four_meet += first && meet >= 4;
        if (!first || !ends[i].visible || ends[i].on_outline || meet < 3) continue;
        for (int k = i + 1; k < 2 * pieces->seam_count; k++) {
            bool counted = point_equal(ends[k].at, ends[i].at) || ends[k].on_outline || !ends[k].visible;
            for (int n = 0; n < k && !counted; n++) counted = point_equal(ends[n].at, ends[k].at);
            if (!counted && point_distance_mm(ends[k].at, ends[i].at) < JOINT_MM) m->close_joints++;
        }
    }
}

static bool judge_layer(const Stack *stack, const LayerPieces *pieces, const SeamOptions *options, Arena *scratch,
                        Manners *m, Error *err)
{
    const Layer *layer = &stack->layers[pieces->layer];
    Hiding hiding;
    ArenaMark mark = arena_mark(scratch);
    End *ends = arena_new(scratch, End, 2 * pieces->seam_count);
    if (!ends) return error_memory(err);
    if (!hiding_make(&layer->cover, options->hidden_by_mm, scratch, &hiding, err)) return false;
    for (int i = 0; i < pieces->seam_count; i++) judge_seam(pieces, &layer->rings, &hiding, i, scratch, ends, m);
    judge_joints(pieces, ends, m);
    arena_rewind(scratch, mark);
    return true;
}

bool manners_add(const Stack *stack, const LayerPieces *pieces, const SeamOptions *options, Arena *scratch,
                 Manners *totals, Error *err)
{
    for (int i = 0; i < stack->layer_count; i++) {
        if (!judge_layer(stack, &pieces[i], options, scratch, totals, err)) return false;
        for (int s = 0; i > 0 && s < pieces[i].seam_count; s++) totals->upper_mm += pieces[i].seams[s].length_mm;
        if (!stacked_length(&pieces[i], pieces, i, scratch, &totals->stacked_mm)) return error_memory(err);
        if (i > 0 && !stacked_length(&pieces[i], &pieces[i - 1], 1, scratch, &totals->next_mm)) return error_memory(err);
    }
    return true;
}

static double percent(double part, double whole)
{
    return whole > 0.0 ? 100.0 * part / whole : 0.0;
}

void manners_print(const char *name, const Manners *m)
{
    printf("%s: above a lower seam %.1f %% of upper seams (of the next layer %.1f %%); oddly %.1f %% of what is seen; "
           "ends neither square nor in a corner %d of %d; corners %d (seams with more than one %d); four meet %d; "
           "joints under an inch apart %d\n",
           name, percent(m->stacked_mm, m->upper_mm), percent(m->next_mm, m->upper_mm), percent(m->odd_mm, m->visible_mm),
           m->untidy_ends, m->ends, m->bends, m->bent_twice, m->four_meet, m->close_joints);
}
