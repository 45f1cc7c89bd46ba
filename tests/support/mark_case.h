// mark_case.h - a stack of square cells with pieces cut by a plain grid, and the laws that every mark keeps.
// Needs cmocka.h before it.
#ifndef PM_TESTS_SUPPORT_MARK_CASE_H
#define PM_TESTS_SUPPORT_MARK_CASE_H

#include "mark/mark.h"
#include "shape/cover.h"
#include "support/grid_map.h"
#include "support/paper_case.h"

#include <stdio.h>

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

static inline void must_be_in_sight(PaperCase *test, const Path *path, const Rings *cover)
{
    Cover hides;
    if (cover->count == 0) return;
    must(test, cover_make(cover, &test->keep, &hides, &test->err));
    for (int i = 0; i < path->curve_count; i++)
        assert_true(cover_length_mm(&hides, path->curves[i].p0, path->curves[i].p3, &test->keep) < 0.003);
}

// Every mark lies well inside the face of its piece and well inside what hides the layer,
// in order of piece and kind; what is drawn is not hidden at all.
static inline void marks_keep_the_laws(PaperCase *test, const Stack *stack, const LayerPieces *pieces,
                                       const LayerMarks *marks, const MarkOptions *options)
{
    int labels = 0;
    for (int i = 0; i < marks->mark_count; i++) {
        const Mark *mark = &marks->marks[i];
        assert_true(mark->path.open && mark->path.part_count > 0);
        if (i > 0) {
            const Mark *before = &marks->marks[i - 1];
            assert_true(before->piece < mark->piece || (before->piece == mark->piece && before->kind < mark->kind));
        }
        labels += mark->kind == MARK_LABEL;
        if (mark->kind == MARK_LABEL) assert_string_equal(mark->text, pieces->pieces[mark->piece].id);
        must_be_whole_inside(test, &mark->path, &pieces->pieces[mark->piece].rings,
                             mark->kind == MARK_LABEL ? 1.0 : 0.5);
        if (mark->kind == MARK_DRAWN) {
            assert_int_equal(mark->line, MARK_PEN);
            must_be_in_sight(test, &mark->path, &stack->layers[marks->layer].cover);
            continue;
        }
        must_be_whole_inside(test, &mark->path, &stack->layers[marks->layer].cover, options->hide_mm);
    }
    assert_int_equal(labels + marks->unlabelled_count, pieces->piece_count);
}

#endif
