// Which parts a layer is joined in: grids of rectangles made by hand.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "kit/guide_groups.h"

#include <stdio.h>

#define SIDE_MM 100.0
#define MOST 64

typedef struct Grid {
    Arena keep;
    Work work;
    Error err;
    Piece sources[MOST];
    Ring rings[MOST];
    Point corners[MOST][4];
    DraftPiece pieces[MOST];
    Seam seam_sources[2 * MOST];
    Curve curves[2 * MOST];
    DraftSeam seams[2 * MOST];
    DraftLayer layer;
    Draft draft;
} Grid;

static void add_seam(Grid *grid, int a, int b, double x0, double y0, double x1, double y1)
{
    int s = grid->draft.seam_count++;
    grid->seam_sources[s] = (Seam){.pieces = {a, b}, .length_mm = SIDE_MM};
    grid->curves[s] = curve_line(point_from_mm(x0, y0), point_from_mm(x1, y1));
    grid->seams[s] = (DraftSeam){.source = &grid->seam_sources[s], .path = {&grid->curves[s], 1, NULL, 1, true}};
}

static void make_grid(Grid *grid, int columns, int rows)
{
    *grid = (Grid){.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    grid->layer = (DraftLayer){.id = "A", .piece_count = columns * rows};
    grid->draft = (Draft){.layers = &grid->layer, .pieces = grid->pieces, .piece_count = columns * rows, .seams = grid->seams};
    for (int i = 0; i < columns * rows; i++) {
        double x = i % columns * SIDE_MM, y = i / columns * SIDE_MM;
        const double at[4][2] = {{x, y}, {x + SIDE_MM, y}, {x + SIDE_MM, y + SIDE_MM}, {x, y + SIDE_MM}};
        for (int k = 0; k < 4; k++) grid->corners[i][k] = point_from_mm(at[k][0], at[k][1]);
        grid->rings[i] = (Ring){grid->corners[i], 4};
        grid->sources[i].rings = (Rings){&grid->rings[i], 1};
        snprintf(grid->sources[i].id, sizeof grid->sources[i].id, "A%d", i + 1);
        grid->pieces[i] = (DraftPiece){.source = &grid->sources[i], .area_mm2 = SIDE_MM * SIDE_MM};
        if (i % columns) add_seam(grid, i - 1, i, x, y, x, y + SIDE_MM);
        if (i >= columns) add_seam(grid, i - columns, i, x, y, x + SIDE_MM, y);
    }
}

static GuideGroups groups_of(Grid *grid)
{
    GuideGroups groups;
    if (!guide_groups_make(&grid->draft, 0, &grid->keep, &grid->work, &groups, &grid->err)) fail_msg("%s", grid->err.text);
    return groups;
}

static void drop(Grid *grid)
{
    arena_free(&grid->keep);
    arena_free(&grid->work.scratch);
}

static void few_pieces__are_one_part(void **state)
{
    (void)state;
    Grid grid;
    make_grid(&grid, 4, 2);
    GuideGroups groups = groups_of(&grid);
    assert_int_equal(groups.part_count, 1);
    assert_int_equal(groups.parts[0].count, 8);
    assert_int_equal(groups.parts[0].first, -1);
    drop(&grid);
}

static void pieces_without_a_seam__are_in_no_part(void **state)
{
    (void)state;
    Grid grid;
    make_grid(&grid, 3, 1);
    grid.draft.seam_count = 1; // the third stands alone
    GuideGroups groups = groups_of(&grid);
    assert_int_equal(groups.part_count, 1);
    assert_int_equal(groups.parts[0].count, 2);
    assert_int_equal(groups.group[1], 0);
    assert_int_equal(groups.group[2], 2);
    assert_int_equal(guide_group_size(&groups, 2), 1);
    drop(&grid);
}

// 7 x 6: halves and quarters, each a rectangle of the grid, and the whole at the end.
static void a_grid__is_divided_along_straight_lines(void **state)
{
    (void)state;
    Grid grid;
    make_grid(&grid, 7, 6);
    GuideGroups groups = groups_of(&grid);
    int joined = 0;
    for (int p = 0; p < groups.part_count; p++) {
        const GuidePart *part = &groups.parts[p];
        int x0 = 99, y0 = 99, x1 = -1, y1 = -1;
        for (int i = 0; i < part->count; i++) {
            int x = part->pieces[i] % 7, y = part->pieces[i] / 7;
            x0 = x < x0 ? x : x0, x1 = x > x1 ? x : x1, y0 = y < y0 ? y : y0, y1 = y > y1 ? y : y1;
        }
        assert_int_equal((x1 - x0 + 1) * (y1 - y0 + 1), part->count);
        if (part->first < 0) {
            assert_true(part->count <= GUIDE_PART_MOST);
            joined += part->count;
            continue;
        }
        assert_true(part->first < p && part->second < p);
        assert_int_equal(groups.parts[part->first].count + groups.parts[part->second].count, part->count);
    }
    assert_int_equal(joined, 42);
    assert_int_equal(groups.parts[groups.part_count - 1].count, 42);
    drop(&grid);
}

static void a_chain__is_divided_in_connected_parts(void **state)
{
    (void)state;
    Grid grid;
    make_grid(&grid, 20, 1);
    GuideGroups groups = groups_of(&grid);
    for (int p = 0; p < groups.part_count; p++)
        for (int i = 1; i < groups.parts[p].count; i++) assert_int_equal(groups.parts[p].pieces[i], groups.parts[p].pieces[i - 1] + 1);
    assert_int_equal(groups.part_count, 7); // 20 = 10 + 10 = 4 times 5
    drop(&grid);
}

static void cancelled__stops(void **state)
{
    (void)state;
    Grid grid;
    GuideGroups groups;
    atomic_bool cancel = true;
    make_grid(&grid, 7, 6);
    grid.work.cancel = &cancel;
    assert_false(guide_groups_make(&grid.draft, 0, &grid.keep, &grid.work, &groups, &grid.err));
    assert_int_equal(grid.err.kind, ERROR_CANCELLED);
    drop(&grid);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(few_pieces__are_one_part),
        cmocka_unit_test(pieces_without_a_seam__are_in_no_part),
        cmocka_unit_test(a_grid__is_divided_along_straight_lines),
        cmocka_unit_test(a_chain__is_divided_in_connected_parts),
        cmocka_unit_test(cancelled__stops),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
