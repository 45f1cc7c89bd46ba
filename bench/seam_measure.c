// seam_measure.c - lengths, pieces, joints and corners; see seam_measure.h. Seams along seams: seam_along.c, necks: seam_necks.c,
// tilted ones: seam_tilt.c.
#include "seam_measure.h"

#include "seam_along.h"
#include "seam_detail.h"
#include "seam_necks.h"
#include "seam_tilt.h"

#include "seam/hiding.h"

#include <math.h>
#include <stdlib.h>

#define HIDDEN_BY_MM 3.0
#define INCH_MM 25.4
#define STRAIGHT_COS 0.99619470 // of 5 degrees: less is no corner that anybody sees
#define HIDDEN_FROM_MM 0.5      // a shorter hidden stretch does not part a seam in sight

void seam_score_add(SeamScore *to, const SeamScore *from)
{
    to->visible_mm += from->visible_mm, to->total_mm += from->total_mm;
    to->above_mm += from->above_mm, to->along_mm += from->along_mm;
    to->pieces += from->pieces, to->seams += from->seams, to->short_seams += from->short_seams;
    to->joints += from->joints, to->fours += from->fours, to->near_joints += from->near_joints;
    to->stretches += from->stretches, to->bent += from->bent, to->corners += from->corners;
    if (from->most_corners > to->most_corners) to->most_corners = from->most_corners;
    to->thin += from->thin, to->necks += from->necks;
    to->tilted += from->tilted, to->tilted_mm += from->tilted_mm;
    to->details += from->details, to->detail_mm += from->detail_mm;
    to->seconds += from->seconds;
}

typedef struct Measuring {
    const LayerPieces *pieces; // of the layer in hand
    Hiding hiding;
    Arena *scratch;
    SeamScore *score;
} Measuring;

static void count_lengths(const Measuring *m)
{
    const LayerPieces *pieces = m->pieces;
    for (int i = 0; i < pieces->seam_count; i++) {
        m->score->visible_mm += pieces->seams[i].visible_mm;
        m->score->total_mm += pieces->seams[i].length_mm;
        m->score->short_seams += pieces->seams[i].length_mm < INCH_MM;
    }
    m->score->pieces += pieces->piece_count;
    m->score->seams += pieces->seam_count;
}

// ---- joints ----

static bool is_in_sight(const Measuring *m, Point p)
{
    const Cover *cover = &m->hiding.index;
    return cover->edge_count == 0 || !cover_contains(cover, p) || cover_distance_mm(cover, p, HIDDEN_BY_MM) < HIDDEN_BY_MM;
}

static int by_place(const void *a, const void *b)
{
    return point_compare(*(const Point *)a, *(const Point *)b);
}

static bool count_joints(const Measuring *m, Error *err)
{
    const LayerPieces *pieces = m->pieces;
    int count = 0, joint_count = 0;
    Point *ends = arena_new(m->scratch, Point, 2 * (size_t)pieces->seam_count), *joints = ends;
    if (!ends) return error_memory(err);
    for (int i = 0; i < pieces->seam_count; i++) {
        const Seam *seam = &pieces->seams[i];
        ends[count++] = link_start(&pieces->chains, &seam->links[0]);
        ends[count++] = link_end(&pieces->chains, &seam->links[seam->link_count - 1]);
    }
    if (count > 0) qsort(ends, (size_t)count, sizeof *ends, by_place);
    for (int i = 0, next; i < count; i = next) {
        Point here = ends[i];
        for (next = i; next < count && point_equal(ends[next], here);) next++;
        if (next - i < 3 || !is_in_sight(m, here)) continue;
        m->score->fours += next - i > 3;
        joints[joint_count++] = here; // never beyond what has been read
    }
    m->score->joints += joint_count;
    for (int i = 0; i < joint_count; i++)
        for (int k = 0; k < i; k++) m->score->near_joints += point_distance_mm(joints[i], joints[k]) < INCH_MM;
    return true;
}

// ---- corners ----

static bool is_corner(Point a, Point b, Point c)
{
    double ux = (double)b.x - a.x, uy = (double)b.y - a.y, vx = (double)c.x - b.x, vy = (double)c.y - b.y;
    return ux * vx + uy * vy < STRAIGHT_COS * sqrt((ux * ux + uy * uy) * (vx * vx + vy * vy));
}

static void end_stretch(SeamScore *score, double *length_mm, int *corners)
{
    if (*length_mm > HIDDEN_FROM_MM) {
        score->stretches++;
        score->corners += *corners;
        score->bent += *corners > 1;
        if (*corners > score->most_corners) score->most_corners = *corners;
    }
    *length_mm = 0.0;
    *corners = 0;
}

static bool count_corners(const Measuring *m, const Point *points, int count, Error *err)
{
    double seen_mm = 0.0;
    int corners = 0;
    for (int i = 0; i + 1 < count; i++) {
        Stretches hidden;
        double at_mm = 0.0, length_mm = point_distance_mm(points[i], points[i + 1]);
        if (i > 0 && seen_mm > 0.0) corners += is_corner(points[i - 1], points[i], points[i + 1]);
        if (!hiding_stretches(&m->hiding, points[i], points[i + 1], m->scratch, &hidden)) return error_memory(err);
        for (size_t k = 0; k < hidden.count; k++) {
            double from = hidden.items[k].lo, to = hidden.items[k].hi;
            if (to - from < HIDDEN_FROM_MM) continue;
            seen_mm += from - at_mm;
            end_stretch(m->score, &seen_mm, &corners);
            at_mm = to;
        }
        seen_mm += length_mm - at_mm;
    }
    end_stretch(m->score, &seen_mm, &corners);
    return true;
}

static bool count_all_corners(const Measuring *m, Error *err)
{
    const LayerPieces *pieces = m->pieces;
    for (int s = 0; s < pieces->seam_count; s++) {
        const Seam *seam = &pieces->seams[s];
        int count = 0, most = 1;
        for (int k = 0; k < seam->link_count; k++) most += link_point_count(&seam->links[k]);
        Point *points = arena_new(m->scratch, Point, most);
        if (!points) return error_memory(err);
        for (int k = 0; k < seam->link_count; k++)
            for (int n = k ? 1 : 0; n < link_point_count(&seam->links[k]); n++)
                points[count++] = link_point(&pieces->chains, &seam->links[k], n);
        if (!count_corners(m, points, count, err)) return false;
    }
    return true;
}

static bool measure_layer(const Stack *stack, const LayerPieces *pieces, const Rings *details, bool with_necks, Work *work, SeamScore *out,
                          Error *err)
{
    Measuring m = {.pieces = pieces, .scratch = &work->scratch, .score = out};
    const Layer *layer = &stack->layers[pieces->layer];
    count_lengths(&m);
    return hiding_make(&layer->cover, HIDDEN_BY_MM, m.scratch, &m.hiding, err) && count_joints(&m, err) &&
           count_all_corners(&m, err) && count_thin(pieces, m.scratch, &out->thin, err) &&
           count_tilted(&layer->rings, &m.hiding, pieces, m.scratch, &out->tilted, &out->tilted_mm, err) &&
           count_detail(details, &m.hiding, pieces, m.scratch, &out->details, &out->detail_mm, err) &&
           (!with_necks || count_necks(&layer->rings, pieces, work, &out->necks, err));
}

bool seam_measure(const Stack *stack, const LayerPieces *pieces, bool with_necks, Work *work, SeamScore *out, Error *err)
{
    Rings details;
    *out = (SeamScore){0};
    Arena keep = arena_make(0);
    bool fine = details_find(stack, &keep, work, &details, err);
    ArenaMark mark = arena_mark(&work->scratch);
    for (int layer = 0; fine && layer < stack->layer_count; layer++) {
        fine = measure_layer(stack, &pieces[layer], &details, with_necks, work, out, err);
        arena_rewind(&work->scratch, mark);
    }
    fine = fine && seams_along(stack, pieces, &work->scratch, &out->above_mm, &out->along_mm, err);
    arena_rewind(&work->scratch, mark);
    arena_free(&keep);
    return fine;
}
