// Sheets to print: where names and check squares stand, what the files are. Outside programs measure the pages in tests/e2e.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "kit/notes.h"
#include "kit/print_places.h"
#include "kit/print_sheet.h"
#include "support/small_kit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct Made {
    Arena keep;
    Work work;
    SmallKit kit;
    Draft draft;
    Error err;
} Made;

static Made *prepare(void)
{
    Made *made = calloc(1, sizeof *made);
    assert_non_null(made);
    made->keep = arena_make(0);
    made->work = (Work){.scratch = arena_make(0)};
    assert_true(small_kit_make(&made->kit, &made->keep));
    return made;
}

static void finish(Made *made)
{
    assert_true(draft_make(&made->kit.input, &made->keep, &made->work, &made->draft, &made->err));
    for (int s = 0; s < made->draft.sheet_count; s++) assert_true(notes_add(&made->draft, s, &made->keep, &made->work, &made->err));
}

static void drop(Made *made)
{
    arena_free(&made->keep);
    arena_free(&made->work.scratch);
    free(made);
}

static PrintPlaces places_of(Made *made, int sheet)
{
    PrintPlaces places;
    if (!print_places_find(&made->draft, sheet, &made->keep, &made->work, &places, &made->err)) fail_msg("%s", made->err.text);
    return places;
}

static const DraftPiece *piece_on(const Made *made, int sheet, int index)
{
    return &made->draft.pieces[made->draft.sheets[sheet].pieces[index]];
}

// Whether the piece covers a place of its sheet.
static bool covers(const DraftPiece *piece, double x_mm, double y_mm)
{
    const double *m = piece->to_sheet;
    double u = x_mm - m[4], v = y_mm - m[5]; // a turn is undone by its transpose
    return rings_contain(&piece->source->rings, point_from_mm(m[0] * u + m[1] * v, m[2] * u + m[3] * v));
}

static bool any_covers(const Made *made, int sheet, double x_mm, double y_mm)
{
    for (int i = 0; i < made->draft.sheets[sheet].piece_count; i++)
        if (covers(piece_on(made, sheet, i), x_mm, y_mm)) return true;
    return false;
}

static int find_sheet(const Made *made, const char *id)
{
    for (int s = 0; s < made->draft.sheet_count; s++)
        if (strcmp(made->draft.sheets[s].id, id) == 0) return s;
    fail_msg("no sheet %s", id);
    return 0;
}

static void names__stand_on_the_label_that_will_be_covered(void **state)
{
    (void)state;
    Made *made = prepare();
    finish(made);
    int sheet = find_sheet(made, "white-1");
    PrintPlaces places = places_of(made, sheet);
    assert_string_equal(piece_on(made, sheet, 0)->source->id, "A1");
    assert_int_equal(places.names[0].kind, PRINT_NAME_COVERED);
    assert_false(places.names[0].has_leader);
    // the label's strokes span 95 .. 105 and 115 .. 130; A1 lies 7.95 and 7.85 further
    assert_float_equal(places.names[0].x_mm, 107.95, 1e-6);
    assert_float_equal(places.names[0].y_mm, 130.35, 1e-6);
    assert_true(places.names[0].size_mm > 3 && hypot(1.6, 0.73) * places.names[0].size_mm <= 10 + 1e-6);
    drop(made);
}

static void names__without_a_label_stand_in_the_waste_with_a_line_to_the_piece(void **state)
{
    (void)state;
    for (int with_notes = 0; with_notes < 2; with_notes++) {
        Made *made = prepare();
        for (int i = 0; i < 5 && !with_notes; i++) made->kit.a_marks[i].line = MARK_CUT;
        for (int i = 0; i < 2 && !with_notes; i++) made->kit.papers[i].line = MARK_CUT; // then nothing is noted
        finish(made);
        int sheet = find_sheet(made, "navy-1");
        PrintPlaces places = places_of(made, sheet);
        const PrintName *name = &places.names[0];
        assert_int_equal(made->draft.sheets[sheet].note_count, with_notes);
        assert_int_equal(name->kind, PRINT_NAME_BESIDE);
        double wide = PRINT_LETTER_WIDE * 2 * name->size_mm / 2, high = PRINT_LETTER_HIGH * name->size_mm / 2;
        for (int dx = -1; dx <= 1; dx++)
            for (int dy = -1; dy <= 1; dy++)
                assert_false(any_covers(made, sheet, name->x_mm + dx * (name->upright ? high : wide), name->y_mm + dy * (name->upright ? wide : high)));
        if (name->has_leader) {
            double mx = (name->from_mm[0] + name->to_mm[0]) / 2, my = (name->from_mm[1] + name->to_mm[1]) / 2;
            assert_false(any_covers(made, sheet, mx, my));
            double dx = name->to_mm[0] - name->from_mm[0], dy = name->to_mm[1] - name->from_mm[1], n = hypot(dx, dy);
            assert_true(covers(piece_on(made, sheet, 0), name->to_mm[0] + 0.1 * dx / n, name->to_mm[1] + 0.1 * dy / n));
        }
        drop(made);
    }
}

static void names__where_there_is_no_waste_stand_small_in_the_piece(void **state)
{
    (void)state;
    Made *made = prepare();
    static const NestPlace B1 = {0, {1, 0, 0, 1, -33.65, -83.65}}; // a square of 120 mm fills the sheet
    made->kit.places[1][0] = B1;
    made->kit.papers[1].paper = (Paper){.id = "small", .width_mm = 132.7, .height_mm = 132.7};
    Ring square = {(Point[]){point_from_mm(40, 90), point_from_mm(160, 90), point_from_mm(160, 210), point_from_mm(40, 210)}, 4};
    made->kit.b[0].rings = (Rings){&square, 1};
    finish(made);
    int sheet = find_sheet(made, "navy-1");
    PrintPlaces places = places_of(made, sheet);
    assert_int_equal(places.names[0].kind, PRINT_NAME_INSIDE);
    assert_true(covers(piece_on(made, sheet, 0), places.names[0].x_mm, places.names[0].y_mm));
    assert_true(places.names[0].size_mm <= 3.0);
    assert_false(places.has_squares);
    drop(made);
}

static void names__in_a_piece_keep_off_its_narrow_holes(void **state)
{
    (void)state;
    Made *made = prepare();
    static const NestPlace B1 = {0, {1, 0, 0, 1, -33.65, -83.65}};
    made->kit.places[1][0] = B1;
    made->kit.papers[1].paper = (Paper){.id = "small", .width_mm = 132.7, .height_mm = 132.7};
    Ring rings[12]; // a square with upright slots of 2 mm: 10 mm from one to the next, but 16 beyond the last
    Point points[12][4];
    rings[0] = (Ring){(Point[]){point_from_mm(40, 90), point_from_mm(160, 90), point_from_mm(160, 210), point_from_mm(40, 210)}, 4};
    for (int i = 1; i < 11; i++) {
        double x = 40 + 10 * i;
        const Point slot[4] = {point_from_mm(x, 91), point_from_mm(x, 209), point_from_mm(x + 2, 209), point_from_mm(x + 2, 91)};
        memcpy(points[i], slot, sizeof slot);
        rings[i] = (Ring){points[i], 4};
    }
    made->kit.b[0].rings = (Rings){rings, 11};
    finish(made);
    PrintPlaces places = places_of(made, find_sheet(made, "navy-1"));
    const PrintName *name = &places.names[0];
    assert_int_equal(name->kind, PRINT_NAME_INSIDE);
    double left = 142 - 33.65, right = 160 - 33.65, half = PRINT_LETTER_WIDE * 2 * name->size_mm / 2;
    assert_true(name->x_mm - half > left && name->x_mm + half < right);
    drop(made);
}

static void squares__lie_on_no_piece_and_no_name(void **state)
{
    (void)state;
    Made *made = prepare();
    finish(made);
    int with = 0;
    for (int s = 0; s < made->draft.sheet_count; s++) {
        PrintPlaces places = places_of(made, s);
        const double *box = made->draft.sheets[s].box_mm, *at = places.squares_mm;
        if (!places.has_squares) continue;
        with++;
        assert_true(at[0] >= box[0] && at[1] >= box[1] && at[0] + PRINT_SQUARE_MM <= box[0] + box[2] && at[1] + PRINT_SQUARE_MM <= box[1] + box[3]);
        for (double x = 0; x <= PRINT_SQUARE_MM; x += 0.5)
            for (double y = 0; y <= PRINT_SQUARE_MM; y += 0.5) assert_false(any_covers(made, s, at[0] + x, at[1] + y));
        for (int i = 0; i < made->draft.sheets[s].piece_count; i++) {
            const PrintName *name = &places.names[i];
            assert_false(name->x_mm > at[0] && name->x_mm < at[0] + PRINT_SQUARE_MM && name->y_mm > at[1] && name->y_mm < at[1] + PRINT_SQUARE_MM);
        }
    }
    assert_true(with > 0);
    drop(made);
}

static void print_name__paper_of_a_roll_has_none(void **state)
{
    (void)state;
    Made *made = prepare();
    char name[240];
    assert_true(print_name(&made->kit.input, 0, name));
    assert_string_equal(name, "sheets/ring-11.81in-white-print-letter.pdf");
    made->kit.papers[0].paper.height_mm = 10000;
    assert_false(print_name(&made->kit.input, 0, name));
    FileSet files;
    made->kit.papers[0].paper.height_mm = 5001;
    assert_true(kit_make(&made->kit.input, &made->keep, &made->work, &files, &made->err));
    assert_null(file_find(&files, "sheets/ring-11.81in-white-print-letter.pdf"));
    assert_non_null(file_find(&files, "sheets/ring-11.81in-navy-print-letter.pdf"));
    const FileBytes *json = file_find(&files, "kit.json");
    assert_null(memmem(json->bytes, json->size_bytes, "white-print", 11));
    drop(made);
}

static void print_paper__is_a_pdf_and_the_same_twice(void **state)
{
    (void)state;
    Made *made = prepare();
    finish(made);
    FileBytes one, two;
    assert_true(print_paper(&made->draft, 0, &made->keep, &made->work, &one, &made->err));
    assert_true(print_paper(&made->draft, 0, &made->keep, &made->work, &two, &made->err));
    assert_memory_equal(one.bytes, "%PDF-1.5", 8);
    assert_int_equal(one.size_bytes, two.size_bytes);
    assert_memory_equal(one.bytes, two.bytes, one.size_bytes);
    drop(made);
}

static void little_memory__is_said(void **state)
{
    (void)state;
    int refused = 0;
    Made *made = prepare();
    finish(made);
    for (int64_t after = 0; after < 60; after++)
        for (int which = 0; which < 2; which++) {
            FileBytes file;
            Arena keep = arena_make(0);
            Work work = {.scratch = arena_make(0)};
            if (which) keep.fail_after = after;
            else work.scratch.fail_after = after;
            if (!print_paper(&made->draft, 1, &keep, &work, &file, &made->err)) {
                assert_int_equal(made->err.kind, ERROR_SYSTEM);
                refused++;
            }
            arena_free(&keep);
            arena_free(&work.scratch);
        }
    assert_true(refused > 10);
    drop(made);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names__stand_on_the_label_that_will_be_covered),
        cmocka_unit_test(names__without_a_label_stand_in_the_waste_with_a_line_to_the_piece),
        cmocka_unit_test(names__where_there_is_no_waste_stand_small_in_the_piece),
        cmocka_unit_test(names__in_a_piece_keep_off_its_narrow_holes),
        cmocka_unit_test(squares__lie_on_no_piece_and_no_name),
        cmocka_unit_test(print_name__paper_of_a_roll_has_none),
        cmocka_unit_test(print_paper__is_a_pdf_and_the_same_twice),
        cmocka_unit_test(little_memory__is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
