// test_view_marks.c - what a layer's marks see of their seams, and what makes their key another one.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "job/view.h"

#include <stdio.h>

// Two pieces beside each other and a seam of two links: along one chain, then back along another.
typedef struct Seamed {
    Arena keep;
    Stack stack;
    Layer layer;
    LayerPieces pieces;
    Piece two[2];
    Seam seam;
    Link links[2];
    Chain chains[2];
    Point first[3], second[2];
    Ring squares[2];
    Point corners[2][4];
} Seamed;

static void make(Seamed *s)
{
    *s = (Seamed){.keep = arena_make(0), .first = {{10, 0}, {10, 4}, {11, 6}}, .second = {{10, 10}, {11, 6}}};
    s->chains[0] = (Chain){.points = s->first, .point_count = 3, .origin = -1};
    s->chains[1] = (Chain){.points = s->second, .point_count = 2, .origin = -1};
    s->links[0] = (Link){0, 0, 2};
    s->links[1] = (Link){1, 1, 0};
    s->seam = (Seam){.id = "A-s1", .pieces = {0, 1}, .links = s->links, .link_count = 2};
    for (int i = 0; i < 2; i++) {
        const Point square[4] = {{10 * i, 0}, {10 * i + 10, 0}, {10 * i + 10, 10}, {10 * i, 10}};
        for (int k = 0; k < 4; k++) s->corners[i][k] = square[k];
        s->squares[i] = (Ring){s->corners[i], 4};
        s->two[i] = (Piece){.id = {'A', (char)('1' + i)}, .rings = {&s->squares[i], 1}};
    }
    s->pieces = (LayerPieces){.chains = {s->chains, 2, 2}, .pieces = s->two, .piece_count = 2, .seams = &s->seam, .seam_count = 1};
    s->stack = (Stack){.layers = &s->layer, .layer_count = 1, .width_mm = 1, .height_mm = 1};
}

static MarkView view_of(Seamed *s)
{
    MarkView view;
    Error err = {0};
    if (!view_for_marks(&s->stack, &s->pieces, 0, &s->keep, &view, &err)) fail_msg("%s", err.text);
    return view;
}

static Key key_of(Seamed *s)
{
    MarkView view = view_of(s);
    MarkOptions options = mark_defaults(MARK_SCORE);
    return view_marks_key(&view, 0, &options);
}

static void view_for_marks__has_seams_as_flat_lines(void **state)
{
    (void)state;
    Seamed s;
    make(&s);
    MarkView view = view_of(&s);
    const LayerPieces *seen = &view.pieces[0];
    assert_int_equal(seen->seam_count, 1);
    assert_int_equal(seen->seams[0].link_count, 1);
    const Point expected[4] = {{10, 0}, {10, 4}, {11, 6}, {10, 10}};
    assert_int_equal(link_point_count(&seen->seams[0].links[0]), 4);
    for (int i = 0; i < 4; i++) assert_true(point_equal(link_point(&seen->chains, &seen->seams[0].links[0], i), expected[i]));
    arena_free(&s.keep);
}

static void view_marks_key__hangs_on_where_seams_run_and_what_they_join(void **state)
{
    (void)state;
    Seamed s;
    make(&s);
    Key key = key_of(&s);
    snprintf(s.seam.id, sizeof s.seam.id, "A-s2"); // letters go by the order, not by this name
    s.seam.length_mm = 7.0;
    assert_true(key_equal(key, key_of(&s)));
    s.first[1].x++;
    assert_false(key_equal(key, key_of(&s)));
    s.first[1].x--;
    s.seam.pieces[0] = 1, s.seam.pieces[1] = 0;
    assert_false(key_equal(key, key_of(&s)));
    s.seam.pieces[0] = 0, s.seam.pieces[1] = 1;
    s.pieces.seam_count = 0;
    assert_false(key_equal(key, key_of(&s)));
    arena_free(&s.keep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(view_for_marks__has_seams_as_flat_lines),
        cmocka_unit_test(view_marks_key__hangs_on_where_seams_run_and_what_they_join),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
