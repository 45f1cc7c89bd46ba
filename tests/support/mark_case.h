// mark_case.h - a stack of square cells with pieces cut by a plain grid, and the laws that every mark keeps.
// Needs cmocka.h before it.
#ifndef PM_TESTS_SUPPORT_MARK_CASE_H
#define PM_TESTS_SUPPORT_MARK_CASE_H

#include "mark/mark.h"
#include "mark/match.h"
#include "shape/cover.h"
#include "support/grid_map.h"
#include "support/paper_case.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

// One straight seam for each edge that two pieces share, as the grid leaves them: with `pieces` and `links`.
static inline void seams_by_edges(PaperCase *test, LayerPieces *out)
{
    out->seams = arena_new(&test->keep, Seam, 4096);
    for (int a = 0; a < out->piece_count; a++)
        for (int b = a + 1; b < out->piece_count; b++) {
            const Rings *one = &out->pieces[a].rings, *two = &out->pieces[b].rings;
            if (!box_overlap(rings_box(one), rings_box(two))) continue;
            Cover other;
            must(test, cover_make(two, &test->keep, &other, &test->err));
            for (int r = 0; r < one->count; r++)
                for (int i = 0; i < one->items[r].count; i++) {
                    Point p = one->items[r].points[i], q = one->items[r].points[(i + 1) % one->items[r].count];
                    Point middle = {(int32_t)(((int64_t)p.x + q.x) / 2), (int32_t)(((int64_t)p.y + q.y) / 2)};
                    if ((p.x != q.x && p.y != q.y) || cover_distance_mm(&other, p, 1.0) > 0.0 ||
                        cover_distance_mm(&other, q, 1.0) > 0.0 || cover_distance_mm(&other, middle, 1.0) > 0.0)
                        continue;
                    Chain chain;
                    const Point points[2] = {p, q};
                    int index;
                    must(test, chain_from_points(points, 2, false, &test->keep, &chain, &test->err));
                    must(test, chains_add(&out->chains, &chain, &test->keep, &index, &test->err));
                    assert_true(out->seam_count < 4096);
                    Link *link = arena_new(&test->keep, Link, 1);
                    *link = (Link){index, 0, 1};
                    out->seams[out->seam_count++] = (Seam){.pieces = {a, b}, .links = link, .link_count = 1,
                                                           .length_mm = point_distance_mm(p, q)};
                }
        }
}

// Cuts a layer in tiles of tile_mm; a piece is a polygon of a tile. Only `id`, `rings` and `area_mm2` are filled.
static inline LayerPieces pieces_by_grid(PaperCase *test, const Stack *stack, int layer, double tile_mm)
{
    LayerPieces out = {.layer = layer};
    const Rings *rings = &stack->layers[layer].rings;
    int columns = (int)(stack->width_mm / tile_mm) + 1, rows = (int)(stack->height_mm / tile_mm) + 1,
        step = (int)(tile_mm * UM_PER_MM);
    out.pieces = arena_new(&test->keep, Piece, columns * rows * (rings->count + 1));
    for (int i = 0; i < columns * rows; i++) {
        int x = i % columns * step, y = i / columns * step;
        Point corners[4] = {{x, y}, {x + step, y}, {x + step, y + step}, {x, y + step}};
        Ring tile = {corners, 4};
        Rings tiles = {&tile, 1}, cut;
        must(test, overlay_rings(rings, &tiles, OVERLAY_INTERSECTION, &test->keep, &test->work, &cut, &test->err));
        if (cut.count == 0) continue;
        Piece *piece = &out.pieces[out.piece_count++];
        *piece = (Piece){.rings = cut, .area_mm2 = rings_area_mm2(&cut)};
        snprintf(piece->id, sizeof piece->id, "%c%d", 'A' + layer, out.piece_count);
    }
    seams_by_edges(test, &out);
    return out;
}

static inline void must_be_whole_inside(PaperCase *test, const Path *path, const Rings *where, double least_mm)
{
    Cover cover;
    must(test, cover_make(where, &test->keep, &cover, &test->err));
    for (int i = 0; i < path->curve_count; i++) {
        Point a = path->curves[i].p0, b = path->curves[i].p3;
        assert_true(path->curves[i].is_line);
        assert_true(cover_contains(&cover, a) && cover_contains(&cover, b));
        assert_true(cover_distance_mm(&cover, a, least_mm) >= least_mm - 0.002);
        double length = point_distance_mm(a, b);
        assert_true(cover_length_mm(&cover, a, b, &test->keep) >= length - 0.002);
        Point middle = {(int32_t)(((int64_t)a.x + b.x) / 2), (int32_t)(((int64_t)a.y + b.y) / 2)};
        assert_true(cover_distance_mm(&cover, middle, least_mm) >= least_mm - 0.03);
    }
}

// The half of a tick begins beside the cut edge of its piece, where other marks keep half a millimetre away.
static inline void tick_keeps_the_laws(PaperCase *test, const Path *path, const Rings *face, const Rings *cover, double hide_mm)
{
    Cover on, hides;
    Curve tick = path->curves[0];
    assert_int_equal(path->first[1], 1);
    assert_true(tick.is_line);
    must(test, cover_make(face, &test->keep, &on, &test->err));
    must(test, cover_make(cover, &test->keep, &hides, &test->err));
    double length = point_distance_mm(tick.p0, tick.p3);
    assert_true(length > 2.39 && length < 3.91);
    assert_true(fabs(cover_distance_mm(&on, tick.p0, 1.0) - MATCH_OFF_MM) < 0.003);
    assert_true(cover_distance_mm(&on, tick.p3, 0.5) >= 0.498);
    assert_true(cover_length_mm(&on, tick.p0, tick.p3, &test->keep) >= length - 0.003);
    assert_true(cover_length_mm(&hides, tick.p0, tick.p3, &test->keep) >= length - 0.003);
    assert_true(cover_distance_mm(&hides, tick.p0, hide_mm) >= hide_mm - 0.002);
    assert_true(cover_distance_mm(&hides, tick.p3, hide_mm) >= hide_mm - 0.002);
}

static inline double curve_gap_mm(const Curve *a, const Curve *b)
{
    if (segments_touch(a->p0, a->p3, b->p0, b->p3)) return 0.0;
    double gap = point_segment_distance_mm(a->p0, b->p0, b->p3);
    gap = fmin(gap, point_segment_distance_mm(a->p3, b->p0, b->p3));
    gap = fmin(gap, point_segment_distance_mm(b->p0, a->p0, a->p3));
    return fmin(gap, point_segment_distance_mm(b->p3, a->p0, a->p3));
}

// What is written keeps apart from lines and from other things that are written on the same piece.
static inline void written_keeps_apart(const LayerMarks *marks)
{
    for (int i = 0; i < marks->mark_count; i++)
        for (int k = 0; k < i; k++) {
            const Mark *a = &marks->marks[i], *b = &marks->marks[k];
            bool both_lines = a->kind == MARK_PLACEMENT && b->kind == MARK_PLACEMENT;
            if (a->piece != b->piece || both_lines || a->kind == MARK_DRAWN || b->kind == MARK_DRAWN) continue;
            double least = a->kind == MARK_MATCH ? 1.49 : 0.99;
            for (int m = 0; m < a->path.curve_count; m++)
                for (int n = 0; n < b->path.curve_count; n++)
                    assert_true(curve_gap_mm(&a->path.curves[m], &b->path.curves[n]) >= least);
        }
}

static inline bool letters_agree(const Path *a, const Path *b)
{
    if (a->curve_count != b->curve_count || a->part_count != b->part_count) return false;
    for (int i = 1; i < a->curve_count; i++) {
        Curve one = a->curves[i], two = b->curves[i];
        if (abs((one.p3.x - one.p0.x) - (two.p3.x - two.p0.x)) > 2 || abs((one.p3.y - one.p0.y) - (two.p3.y - two.p0.y)) > 2)
            return false;
    }
    return true;
}

// Every half tick has its other half on the other piece of the seam: straight across the seam, with the same
// letters.
static inline void halves_meet(const LayerPieces *pieces, const LayerMarks *marks)
{
    for (int i = 0; i < marks->mark_count; i++) {
        const Mark *a = &marks->marks[i];
        if (a->kind != MARK_MATCH) continue;
        int others = 0;
        const Seam *seam = &pieces->seams[a->seam];
        int other = seam->pieces[0] == a->piece ? seam->pieces[1] : seam->pieces[0];
        assert_true(seam->pieces[0] == a->piece || seam->pieces[1] == a->piece);
        assert_string_equal(a->text, marks->seam_letters[a->seam]);
        for (int k = 0; k < marks->mark_count; k++) {
            const Mark *b = &marks->marks[k];
            if (b->kind != MARK_MATCH || b->piece != other || b->seam != a->seam) continue;
            Point p = a->path.curves[0].p0, q = a->path.curves[0].p3, r = b->path.curves[0].p3;
            if (fabs(point_distance_mm(p, b->path.curves[0].p0) - 2.0 * MATCH_OFF_MM) > 0.003) continue;
            others++;
            assert_true(point_segment_distance_mm(p, q, r) < 0.002); // straight on
            assert_true(letters_agree(&a->path, &b->path));
        }
        assert_int_equal(others, 1);
    }
}

static inline void letters_are_unique(const LayerPieces *pieces, const LayerMarks *marks)
{
    assert_int_equal(marks->seam_count, pieces->seam_count);
    for (int i = 0; i < marks->seam_count; i++)
        for (int k = 0; k < i; k++) assert_string_not_equal(marks->seam_letters[i], marks->seam_letters[k]);
}

static inline void must_be_in_sight(PaperCase *test, const Path *path, const Rings *cover)
{
    Cover hides;
    if (cover->count == 0) return;
    must(test, cover_make(cover, &test->keep, &hides, &test->err));
    for (int i = 0; i < path->curve_count; i++)
        assert_true(cover_length_mm(&hides, path->curves[i].p0, path->curves[i].p3, &test->keep) < 0.003);
}

// A match mark apart from its tick, as if it were one of the others.
static inline Path letters_of(const Path *path)
{
    return (Path){path->curves + 1, path->curve_count - 1, NULL, path->part_count - 1, true};
}

// Every mark lies well inside the face of its piece and well inside what hides the layer,
// in order of piece, kind and seam; what is drawn is not hidden at all.
static inline void marks_keep_the_laws(PaperCase *test, const Stack *stack, const LayerPieces *pieces,
                                       const LayerMarks *marks, const MarkOptions *options)
{
    int labels = 0;
    for (int i = 0; i < marks->mark_count; i++) {
        const Mark *mark = &marks->marks[i];
        const Rings *face = &pieces->pieces[mark->piece].rings, *cover = &stack->layers[marks->layer].cover;
        Path path = mark->path;
        assert_true(mark->path.open && mark->path.part_count > 0);
        if (i > 0) {
            const Mark *before = &marks->marks[i - 1];
            bool same = before->piece == mark->piece && before->kind == MARK_MATCH && mark->kind == MARK_MATCH;
            assert_true(before->piece < mark->piece || (before->piece == mark->piece && before->kind < mark->kind) ||
                        (same && before->seam <= mark->seam));
        }
        labels += mark->kind == MARK_LABEL;
        if (mark->kind == MARK_LABEL) assert_string_equal(mark->text, pieces->pieces[mark->piece].id);
        if (mark->kind == MARK_MATCH) {
            tick_keeps_the_laws(test, &path, face, cover, options->hide_mm);
            path = letters_of(&path);
        }
        must_be_whole_inside(test, &path, face, 0.5);
        if (mark->kind == MARK_DRAWN) {
            assert_int_equal(mark->line, MARK_PEN);
            must_be_in_sight(test, &mark->path, cover);
            continue;
        }
        must_be_whole_inside(test, &path, cover, options->hide_mm);
    }
    assert_int_equal(labels + marks->unlabelled_count, pieces->piece_count);
    written_keeps_apart(marks);
    halves_meet(pieces, marks);
    letters_are_unique(pieces, marks);
}

#endif
