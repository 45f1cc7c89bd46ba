// The guide of a kit made by hand: its steps, measures and minutes, and the file itself.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/kit_case.h"

#include "kit/guide.h"
#include "kit/guide_checks.h"
#include "kit/guide_groups.h"
#include "kit/guide_laps.h"
#include "kit/guide_map.h"
#include "kit/guide_sheet.h"
#include "kit/guide_steps.h"
#include "kit/guide_strips.h"
#include "kit/notes.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static Made *make(void)
{
    Made *made = prepare();
    assert_true(draft_make(&made->kit.input, &made->keep, &made->work, &made->draft, &made->err));
    for (int sheet = 0; sheet < made->draft.sheet_count; sheet++)
        assert_true(notes_add(&made->draft, sheet, &made->keep, &made->work, &made->err));
    draft_total(&made->draft);
    assert_true(guide_below(&made->draft, &made->keep, &made->work, &made->below, &made->err));
    return made;
}

static GuideSteps steps_of(Made *made, int layer)
{
    GuideSteps steps;
    if (!guide_steps(&made->draft, layer, made->below, &made->keep, &made->work, &steps, &made->err)) fail_msg("%s", made->err.text);
    return steps;
}

static void steps__the_base_is_joined_and_turned(void **state)
{
    (void)state;
    Made *made = make();
    GuideSteps steps = steps_of(made, 0);
    assert_int_equal(steps.count, 2);
    assert_int_equal(steps.items[0].kind, GUIDE_STEP_JOIN);
    assert_string_equal(steps.items[0].title, "Join A1 and A2");
    assert_int_equal(steps.items[0].line_count, 1);
    assert_string_equal(steps.items[0].lines[0], "A1 to A2 (A): 7 7/8 in (200 mm)");
    assert_int_equal(steps.items[0].joins_whole, 0);
    assert_int_equal(steps.items[1].kind, GUIDE_STEP_TURN);
    assert_string_equal(steps.items[1].title, "Turn A1 and A2 face up");
    assert_int_equal(steps.items[1].joins_whole, -1);
    drop(made);
}

static Made *make_lapped(void)
{
    Made *made = prepare();
    made->kit.seam.form = SEAM_LAP;
    made->kit.seam.lap_of = 1; // A2's lap lies under A1
    made->kit.a[1].has_laps = true;
    made->kit.a[1].outline = made->kit.a[1].face; // its shape is of no account to words
    made->kit.a[1].cut = made->kit.a[1].rings;
    assert_true(draft_make(&made->kit.input, &made->keep, &made->work, &made->draft, &made->err));
    assert_true(guide_below(&made->draft, &made->keep, &made->work, &made->below, &made->err));
    return made;
}

static void steps__pieces_with_laps_are_glued_face_up_and_not_turned(void **state)
{
    (void)state;
    Made *made = make_lapped();
    GuideSteps steps = steps_of(made, 0);
    assert_int_equal(steps.count, 2);
    assert_string_equal(steps.items[0].words, "Lay them face up. Glue all over the lap, the neighbour on it, edge to edge; press:");
    const char *line = steps.items[0].lines[0]; // by which of the two, equally large, comes first
    assert_true(strstr(line, "A1 on the lap of A2 (A): 7 7/8 in (200 mm)") == line || strstr(line, "A2, its lap glued under A1 (A): 7 7/8") == line);
    assert_false(steps.items[0].taped);
    assert_int_equal(steps.items[1].kind, GUIDE_STEP_TURN);
    assert_string_equal(steps.items[1].title, "Press A1 and A2 until the glue is dry");
    drop(made);
}

static void say_join__laps_come_first_and_tape_after(void **state)
{
    (void)state;
    static const struct { GuideForms forms; const char *pieces, *words; } CASES[] = {
        {{false, true}, "them", "Lay them face up, edge to edge; low-tack tape across the front; turn all over in one go; tape behind"},
        {{false, true}, "both", "Lay both face up, edge to edge; low-tack tape across the front; turn the whole over; tape behind"},
        {{true, true}, "them", "Lay them face up. The laps first: glue all over the lap, the neighbour on it, edge to edge; press. Then low-tack "
                               "tape across the other seams; turn all over in one go; tape behind"},
        {{true, false}, "both", "Lay both face up. Glue all over the lap, the neighbour on it, edge to edge; press"},
    };
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        Arena keep = arena_make(0);
        Text text = text_make(&keep);
        guide_say_join(&text, CASES[i].forms, CASES[i].pieces, "tape behind");
        assert_string_equal(text.bytes, CASES[i].words);
        arena_free(&keep);
    }
}

static void steps__a_piece_is_glued_on_those_that_lie_below_it(void **state)
{
    (void)state;
    Made *made = make();
    GuideSteps steps = steps_of(made, 1);
    assert_int_equal(made->below[2].count, 2);
    assert_int_equal(made->below[0].count, 0);
    assert_int_equal(steps.count, 1);
    assert_int_equal(steps.items[0].kind, GUIDE_STEP_GLUE);
    assert_string_equal(steps.items[0].title, "Glue B1 in place");
    assert_true(strcmp(steps.items[0].words, "B1 on A1 and A2.") == 0 || strcmp(steps.items[0].words, "B1 on A2 and A1.") == 0);
    drop(made);
}

static void steps__pieces_of_the_base_that_no_seam_joins_are_laid_in_place(void **state)
{
    (void)state;
    Made *made = prepare();
    made->kit.pieces[0].seam_count = 0;
    assert_true(draft_make(&made->kit.input, &made->keep, &made->work, &made->draft, &made->err));
    assert_true(guide_below(&made->draft, &made->keep, &made->work, &made->below, &made->err));
    GuideSteps steps = steps_of(made, 0);
    assert_int_equal(steps.count, 1);
    assert_int_equal(steps.items[0].kind, GUIDE_STEP_LAY);
    assert_string_equal(steps.items[0].title, "Lay in place, face up: A1 and A2");
    assert_int_equal(steps.items[0].line_count, 2); // where each lies, as a tape measure says it
    assert_string_equal(steps.items[0].lines[0], "A1: 0 in (0 mm) from the left,\n0 in (0 mm) from the top");
    assert_string_equal(steps.items[0].lines[1], "A2: 0 in (0 mm) from the left,\n5 7/8 in (150 mm) from the top");
    assert_non_null(strstr(steps.items[0].words, "A later layer joins these to the rest. ")); // B1 lies over both
    assert_null(strstr(steps.items[0].words, "board"));
    drop(made);
}

static void steps__what_no_paper_joins_to_the_rest_is_said(void **state)
{
    (void)state;
    Made *made = prepare();
    made->kit.pieces[0].seam_count = 0;
    assert_true(draft_make(&made->kit.input, &made->keep, &made->work, &made->draft, &made->err));
    assert_true(guide_below(&made->draft, &made->keep, &made->work, &made->below, &made->err));
    made->below[2].count = 1; // B1 lies on one of them alone
    const char *held = made->below[2].pieces[0] == 0 ? "A1" : "A2", *loose = held[1] == '1' ? "A2" : "A1";
    GuideSteps steps = steps_of(made, 0);
    char expected[80];
    snprintf(expected, sizeof expected, "A later layer joins some to the rest, but not %s. No paper joins those", loose);
    assert_non_null(strstr(steps.items[0].words, expected));
    drop(made);
}

static void letters__are_told_only_where_a_match_mark_stands_on_the_paper(void **state)
{
    (void)state;
    Made *made = make();
    assert_string_equal(draft_seam_letter_on_paper(&made->draft, 0), "A");
    made->kit.marks[0].mark_count = 3; // without the two halves of the tick
    assert_null(draft_seam_letter_on_paper(&made->draft, 0));
    assert_string_equal(draft_seam_letter(&made->draft, 0), "A");
    assert_string_equal(steps_of(made, 0).items[0].lines[0], "A1 to A2: 7 7/8 in (200 mm)");
    drop(made);
}

// One strip by hand behind the seam of the base: a step of its own between joining and turning.
static void strips__are_glued_when_the_base_is_joined(void **state)
{
    (void)state;
    Made *made = make();
    double longest_mm;
    assert_float_equal(guide_strips_mm(&made->draft, &longest_mm), 0, 1e-9);
    Point corners[4] = {{10000, 10000}, {160000, 10000}, {160000, 42000}, {10000, 42000}};
    Ring ring = {corners, 4};
    BackingStrip strip = {.seam = 0, .length_mm = 150, .width_mm = 32};
    Piece piece = {.rings = {&ring, 1}, .cut = {&ring, 1}};
    int by_hand = -1;
    NestPlace place = {0};
    KitStrips strips = {.backing = {.strips = &strip, .count = 1}, .papers = &by_hand, .places = &place, .pieces = &piece};
    made->kit.input.strips = &strips;
    assert_true(draft_make(&made->kit.input, &made->keep, &made->work, &made->draft, &made->err));
    assert_int_equal(made->draft.all_strip_count, 1);
    assert_int_equal(made->draft.strip_count, 0);
    assert_string_equal(made->draft.strips[0].cut->id, "A-A");
    assert_float_equal(guide_strips_mm(&made->draft, &longest_mm), 150, 1e-9);
    Text text = text_make(&made->keep);
    guide_strips_say(&text, &made->draft);
    assert_string_equal(text.bytes, "1 by hand from scrap");
    GuideSteps steps = steps_of(made, 0);
    assert_int_equal(steps.items[0].kind, GUIDE_STEP_JOIN);
    assert_int_equal(steps.items[1].kind, GUIDE_STEP_STRIPS);
    assert_string_equal(steps.items[1].title, "Glue 1 strip behind A1 and A2");
    assert_int_equal(steps.items[2].kind, GUIDE_STEP_TURN);
    drop(made);
}

static void minutes__of_all_steps_and_of_all_sheets_are_the_totals(void **state)
{
    (void)state;
    Made *made = make();
    double assembly = 0, cutting = 0;
    for (int l = 0; l < 2; l++) {
        GuideSteps steps = steps_of(made, l);
        for (int i = 0; i < steps.count; i++) assembly += steps.items[i].minutes;
    }
    for (int s = 0; s < made->draft.sheet_count; s++) cutting += sheet_minutes(&made->draft, s);
    assert_float_equal(assembly, made->draft.totals.assembly_minutes, 1e-9);
    assert_float_equal(cutting, made->draft.totals.cutting_minutes, 1e-9);
    drop(made);
}

static void checks__go_across_up_and_along_both_diagonals(void **state)
{
    (void)state;
    Made *made = make();
    GuideChecks checks;
    assert_true(guide_checks(&made->draft, &made->work, &checks, &made->err));
    assert_int_equal(checks.group, 0);
    assert_int_equal(checks.dot_count, 4); // the corners serve for several measures
    const double expected[4] = {200, 300, 360.555, 360.555};
    for (int i = 0; i < 4; i++) assert_float_equal(checks.items[i].mm, expected[i], 1e-3);
    drop(made);
}

static void tape_length__is_said_in_sixteenths_of_an_inch(void **state)
{
    (void)state;
    static const struct { double mm; const char *words; } CASES[] = {
        {25.4, "1 in (25 mm)"},          {38.1, "1 1/2 in (38 mm)"},  {0, "0 in (0 mm)"},
        {3.2, "1/8 in (3 mm)"},          {25.39, "1 in (25 mm)"},     {1167.1, "45 15/16 in (1167 mm)"},
        {15.875, "5/8 in (16 mm)"},
    };
    Arena arena = arena_make(0);
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        Text text = text_make(&arena);
        guide_tape_length(&text, CASES[i].mm);
        assert_string_equal(text.bytes, CASES[i].words);
    }
    arena_free(&arena);
}

static Ring square(Arena *keep, double x, double y, double side, bool hole)
{
    Ring ring = {arena_new(keep, Point, 4), 4};
    assert_non_null(ring.points);
    const double corners[4][2] = {{x, y}, {x + side, y}, {x + side, y + side}, {x, y + side}};
    for (int i = 0; i < 4; i++) {
        const double *c = corners[hole ? 3 - i : i];
        ring.points[i] = point_from_mm(c[0], c[1]);
    }
    return ring;
}

static void hosts__a_piece_in_a_hole_of_another_is_found_and_one_beside_it_is_not(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    Error err = {0};
    Ring rings[4] = {square(&keep, 0, 0, 100, false), square(&keep, 20, 20, 60, true), square(&keep, 40, 40, 20, false),
                     square(&keep, 101, 0, 20, false)};
    Piece pieces[3] = {{.rings = {rings, 2}}, {.rings = {rings + 2, 1}}, {.rings = {rings + 3, 1}}};
    DraftPiece items[3] = {{.source = &pieces[0]}, {.source = &pieces[1]}, {.source = &pieces[2]}};
    SheetDraft sheet = {.draft = {.pieces = items, .piece_count = 3}};
    int *host;
    assert_true(sheet_hosts(&sheet, &keep, &host, &err));
    assert_int_equal(host[0], -1);
    assert_int_equal(host[1], 0);
    assert_int_equal(host[2], -1);
    arena_free(&keep);
}

static void close_ups__have_each_piece_once_and_can_be_drawn(void **state)
{
    (void)state;
    Made *made = make();
    Canvas canvas;
    FileBytes file = {0};
    Frame frame = {20, 20, 150, 200};
    assert_true(canvas_create("close-ups", KIT_PAGE_LETTER, &made->keep, &canvas, &made->err));
    canvas_page(&canvas, "close-ups", NULL, 0);
    int grid, filled = 0;
    assert_true(map_layer_grid(&made->draft, 0, false, frame, &made->keep, &made->work, &grid, &made->err));
    assert_int_equal(grid, 1); // two names fit
    for (int cell = 0; cell < 4; cell++) {
        MapView view;
        MapPart part = {.layer = 0, .grid = 2, .cell = cell};
        bool is_empty = map_part_is_empty(&made->draft, &part);
        assert_true(map_layer(&canvas, &made->draft, &part, frame, &made->keep, &made->work, &view, &made->err));
        assert_true(is_empty == (view.scale == 0));
        filled += !is_empty;
        if (is_empty) continue;
        assert_true(view.frame.w <= frame.w && view.frame.h <= frame.h + 1e-9);
        assert_float_equal(view.frame.w / view.scale, 200, 1e-6); // each piece is as wide as the base
    }
    assert_int_equal(filled, 2);
    assert_true(canvas_finish(&canvas, &file, &made->err));
    canvas_destroy(&canvas);
    drop(made);
}

static void map_from_behind__is_mirrored(void **state)
{
    (void)state;
    Made *made = make();
    Canvas canvas;
    MapView front, behind;
    Frame frame = {20, 20, 150, 200};
    assert_true(canvas_create("mirrored", KIT_PAGE_A4, &made->keep, &canvas, &made->err));
    canvas_page(&canvas, "mirrored", NULL, 0);
    MapPart part = {.layer = 0, .grid = 1};
    assert_true(map_layer(&canvas, &made->draft, &part, frame, &made->keep, &made->work, &front, &made->err));
    part.from_behind = true;
    assert_true(map_layer(&canvas, &made->draft, &part, frame, &made->keep, &made->work, &behind, &made->err));
    assert_float_equal(front.matrix[0], -behind.matrix[0], 1e-9);
    assert_float_equal(front.matrix[3], behind.matrix[3], 1e-9);
    // the left edge from the front is the right edge from behind
    assert_float_equal(front.matrix[4], front.frame.x, 1e-6);
    assert_float_equal(behind.matrix[4], behind.frame.x + behind.frame.w, 1e-6);
    canvas_destroy(&canvas);
    drop(made);
}

static void file__is_a_pdf_in_english_whose_table_is_where_it_says(void **state)
{
    (void)state;
    Made *made = make();
    FileBytes file = {0};
    if (!guide_pdf(&made->draft, &made->keep, &made->work, &file, &made->err)) fail_msg("%s", made->err.text);
    assert_string_equal(file.name, "guide.pdf");
    assert_memory_equal(file.bytes, "%PDF-1.5", 8);
    assert_non_null(memmem(file.bytes, file.size_bytes, "/Lang (en)", 10));
    const char *start = memmem(file.bytes + file.size_bytes - 64, 64, "startxref\n", 10);
    assert_non_null(start);
    long place = strtol(start + 10, NULL, 10);
    assert_in_range(place, 1, (long)file.size_bytes - 10);
    assert_memory_equal(file.bytes + place, "xref\n", 5);
    drop(made);
}

static void twice__gives_the_same_bytes(void **state)
{
    (void)state;
    Made *one = make(), *two = make();
    FileBytes a = {0}, b = {0};
    assert_true(guide_pdf(&one->draft, &one->keep, &one->work, &a, &one->err));
    assert_true(guide_pdf(&two->draft, &two->keep, &two->work, &b, &two->err));
    assert_int_equal(a.size_bytes, b.size_bytes);
    assert_memory_equal(a.bytes, b.bytes, a.size_bytes);
    drop(one);
    drop(two);
}

static void little_memory__is_said_and_nothing_is_left_behind(void **state)
{
    (void)state;
    int refused = 0;
    for (int64_t after = 0; after < 3000; after = after < 20 ? after + 1 : after * 4 / 3) {
        for (int which = 0; which < 2; which++) {
            Made *made = make();
            FileBytes file = {0};
            if (which) made->keep.fail_after = after;
            else made->work.scratch.fail_after = after;
            if (!guide_pdf(&made->draft, &made->keep, &made->work, &file, &made->err)) {
                assert_int_equal(made->err.kind, ERROR_SYSTEM);
                refused++;
            }
            drop(made);
        }
    }
    assert_true(refused > 30);
}

static void cancelled__stops(void **state)
{
    (void)state;
    Made *made = make();
    atomic_bool cancel = true;
    made->work.cancel = &cancel;
    FileBytes file = {0};
    assert_false(guide_pdf(&made->draft, &made->keep, &made->work, &file, &made->err));
    assert_int_equal(made->err.kind, ERROR_CANCELLED);
    drop(made);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steps__the_base_is_joined_and_turned),
        cmocka_unit_test(steps__pieces_with_laps_are_glued_face_up_and_not_turned),
        cmocka_unit_test(say_join__laps_come_first_and_tape_after),
        cmocka_unit_test(steps__a_piece_is_glued_on_those_that_lie_below_it),
        cmocka_unit_test(steps__pieces_of_the_base_that_no_seam_joins_are_laid_in_place),
        cmocka_unit_test(steps__what_no_paper_joins_to_the_rest_is_said),
        cmocka_unit_test(letters__are_told_only_where_a_match_mark_stands_on_the_paper),
        cmocka_unit_test(strips__are_glued_when_the_base_is_joined),
        cmocka_unit_test(minutes__of_all_steps_and_of_all_sheets_are_the_totals),
        cmocka_unit_test(checks__go_across_up_and_along_both_diagonals),
        cmocka_unit_test(tape_length__is_said_in_sixteenths_of_an_inch),
        cmocka_unit_test(hosts__a_piece_in_a_hole_of_another_is_found_and_one_beside_it_is_not),
        cmocka_unit_test(close_ups__have_each_piece_once_and_can_be_drawn),
        cmocka_unit_test(map_from_behind__is_mirrored),
        cmocka_unit_test(file__is_a_pdf_in_english_whose_table_is_where_it_says),
        cmocka_unit_test(twice__gives_the_same_bytes),
        cmocka_unit_test(little_memory__is_said_and_nothing_is_left_behind),
        cmocka_unit_test(cancelled__stops),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
