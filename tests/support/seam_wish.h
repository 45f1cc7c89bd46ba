// seam_wish.h - wishes for a seam case, and what became of them.
#ifndef PM_TESTS_SUPPORT_SEAM_WISH_H
#define PM_TESTS_SUPPORT_SEAM_WISH_H

#include "support/seam_case.h"

#include <stdio.h>
#include <stdlib.h>

enum { SEAM_WISH_ROOM = 16 };

static inline SeamLine seam_wish_line_in(SeamCase *c, const double (*at)[2], int count)
{
    Point *points = arena_new(&c->keep, Point, count + 1);
    for (int i = 0; i < count; i++) points[i] = point_from_mm(at[i][0] * 25.4, at[i][1] * 25.4);
    return (SeamLine){points, count};
}

static inline void seam_wish_add(SeamCase *c, const SeamLine **list, int *count, SeamLine line)
{
    SeamLine *lines = (SeamLine *)*list;
    if (!lines) lines = arena_new(&c->keep, SeamLine, SEAM_WISH_ROOM);
    lines[(*count)++] = line;
    *list = lines;
}

#define SEAM_WISH_COUNT(at) ((int)(sizeof(at) / sizeof *(at)))
#define SEAM_WISH_FIXED(c, at)                                                                                         \
    seam_wish_add((c), &(c)->options.wishes.fixed, &(c)->options.wishes.fixed_count,                                   \
                  seam_wish_line_in((c), (at), SEAM_WISH_COUNT(at)))
#define SEAM_WISH_FORBIDDEN(c, at)                                                                                     \
    seam_wish_add((c), &(c)->options.wishes.forbidden, &(c)->options.wishes.forbidden_count,                           \
                  seam_wish_line_in((c), (at), SEAM_WISH_COUNT(at)))
#define SEAM_WISH_KEEP_CLEAR(c, at) seam_wish_keep_clear((c), (at), SEAM_WISH_COUNT(at))

static inline void seam_wish_keep_clear(SeamCase *c, const double (*at)[2], int count)
{
    Rings *rings = arena_new(&c->keep, Rings, 1);
    *rings = (Rings){arena_new(&c->keep, Ring, 1), 1};
    rings->items[0] = seam_case_ring_in(c, at, count, false);
    c->options.wishes.keep_clear = rings;
}

static inline int seam_wish_count_curve(const Path *path, Curve curve)
{
    int count = 0;
    for (int i = 0; i < path->curve_count; i++) {
        const Curve *c = &path->curves[i];
        count += point_equal(c->p0, curve.p0) && point_equal(c->p1, curve.p1) && point_equal(c->p2, curve.p2) &&
                 point_equal(c->p3, curve.p3);
    }
    return count;
}

// Every curve of a seam is written once in each of its pieces, in opposite directions.
static inline void seam_wish_check_written(SeamCase *c)
{
    Path *paths = arena_new(&c->keep, Path, c->pieces.piece_count);
    for (int i = 0; i < c->pieces.piece_count; i++)
        assert_true(area_path(&c->pieces.chains, &c->pieces.pieces[i].face, &c->keep, &paths[i], &c->err));
    for (int s = 0; s < c->pieces.seam_count; s++) {
        const Seam *seam = &c->pieces.seams[s];
        int count = link_curve_count(&c->pieces.chains, &seam->links[0]);
        Curve *curves = arena_new(&c->keep, Curve, count);
        link_curves(&c->pieces.chains, &seam->links[0], curves);
        for (int i = 0; i < count; i++) {
            const Path *a = &paths[seam->pieces[0]], *b = &paths[seam->pieces[1]];
            int forth = seam_wish_count_curve(a, curves[i]),
                back = seam_wish_count_curve(a, curve_reversed(&curves[i]));
            assert_int_equal(forth + back, 1);
            assert_int_equal(seam_wish_count_curve(b, curves[i]), back);
            assert_int_equal(seam_wish_count_curve(b, curve_reversed(&curves[i])), forth);
        }
    }
}

static inline void seam_wish_freeze(SeamCase *c, const LayerPieces *pieces, int piece)
{
    FrozenPiece *frozen = (FrozenPiece *)c->options.wishes.frozen;
    Path *path = arena_new(&c->keep, Path, 1);
    if (!frozen) frozen = arena_new(&c->keep, FrozenPiece, pieces->piece_count);
    assert_true(area_path(&pieces->chains, &pieces->pieces[piece].face, &c->keep, path, &c->err));
    frozen[c->options.wishes.frozen_count++] = (FrozenPiece){.id = pieces->pieces[piece].id, .outline = path};
    c->options.wishes.frozen = frozen;
}

// The piece is among the others, written curve for curve as it was.
static inline void seam_wish_check_unaltered(SeamCase *c, const LayerPieces *was, int piece)
{
    Path a, b;
    int found = 0;
    assert_true(area_path(&was->chains, &was->pieces[piece].face, &c->keep, &a, &c->err));
    for (int i = 0; i < c->pieces.piece_count; i++) {
        if (strcmp(c->pieces.pieces[i].id, was->pieces[piece].id) != 0) continue;
        found++;
        assert_true(area_path(&c->pieces.chains, &c->pieces.pieces[i].face, &c->keep, &b, &c->err));
        assert_int_equal(a.part_count, b.part_count);
        assert_int_equal(a.curve_count, b.curve_count);
        assert_memory_equal(a.first, b.first, (size_t)(a.part_count + 1) * sizeof *a.first);
        for (int k = 0; k < a.curve_count; k++) {
            assert_true(point_equal(a.curves[k].p0, b.curves[k].p0) && point_equal(a.curves[k].p1, b.curves[k].p1));
            assert_true(point_equal(a.curves[k].p2, b.curves[k].p2) && point_equal(a.curves[k].p3, b.curves[k].p3));
        }
    }
    assert_int_equal(found, 1);
}

static inline double seam_wish_seam_distance_mm(const SeamCase *c, Point p)
{
    double best = 1e9;
    for (int s = 0; s < c->pieces.seam_count; s++) {
        const Link *link = &c->pieces.seams[s].links[0];
        for (int i = 0; i + 1 < link_point_count(link); i++)
            best = fmin(best, point_segment_distance_mm(p, link_point(&c->pieces.chains, link, i),
                                                        link_point(&c->pieces.chains, link, i + 1)));
    }
    return best;
}

// How far a point of fixed seam `index` that lies inside the layer is from the nearest seam, at most; the outer half
// millimetre of the layer is not looked at, as edges of the layer cover it, nor are stretches that are shorter than
// 0.3 mm between other seams.
static inline double seam_wish_covered_mm(const SeamCase *c, int index)
{
    const SeamLine *line = &c->options.wishes.fixed[index];
    double worst = 0.0;
    for (int k = 0; k + 1 < line->count; k++) {
        Point a = line->points[k], b = line->points[k + 1];
        double before = 0.0;
        for (int i = 0; i <= 400; i++) {
            Point p = {a.x + (int32_t)(((int64_t)b.x - a.x) * i / 400),
                       a.y + (int32_t)(((int64_t)b.y - a.y) * i / 400)};
            if (!rings_contain(&c->layer.rings, p)) continue;
            double edge = 1e9;
            for (int r = 0; r < c->layer.rings.count; r++)
                for (int e = 0; e < c->layer.rings.items[r].count; e++) {
                    const Ring *ring = &c->layer.rings.items[r];
                    edge =
                        fmin(edge, point_segment_distance_mm(p, ring->points[e], ring->points[(e + 1) % ring->count]));
                }
            double away = seam_wish_seam_distance_mm(c, p);
            if (edge > 0.5 && (away > 0.15 || before > 0.01)) worst = fmax(worst, away);
            before = edge > 0.5 ? away : 0.0;
        }
    }
    return worst;
}

// Length of seams inside a box given in inches, by samples.
static inline double seam_wish_seen_in_box_mm(const SeamCase *c, double x0, double y0, double x1, double y1)
{
    double sum = 0.0;
    for (int s = 0; s < c->pieces.seam_count; s++) {
        const Link *link = &c->pieces.seams[s].links[0];
        for (int i = 0; i + 1 < link_point_count(link); i++) {
            Point a = link_point(&c->pieces.chains, link, i), b = link_point(&c->pieces.chains, link, i + 1);
            for (int k = 0; k < 1000; k++) {
                double t = (k + 0.5) / 1000, x = (a.x + t * (b.x - a.x)) / 25400.0,
                       y = (a.y + t * (b.y - a.y)) / 25400.0;
                if (x > x0 && x < x1 && y > y0 && y < y1) sum += point_distance_mm(a, b) / 1000;
            }
        }
    }
    return sum;
}

static inline void seam_wish_check_finding(const SeamCase *c, size_t index, const char *kind, const char *begins)
{
    assert_true(index < c->pieces.findings.count);
    const Finding *finding = &c->pieces.findings.items[index];
    if (strcmp(finding->kind, kind) != 0 || strncmp(finding->text, begins, strlen(begins)) != 0)
        print_error("%s: %s\n", finding->kind, finding->text);
    assert_string_equal(finding->kind, kind);
    assert_int_equal(strncmp(finding->text, begins, strlen(begins)), 0);
}

#endif
