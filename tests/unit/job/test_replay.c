// test_replay.c - edits become options: the last word counts, places become millimetres, what has no target is told.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "job/replay.h"
#include "shape/overlay.h"

#include <math.h>
#include <string.h>

#define NAVY {0x1d, 0x2f, 0x5a}
#define RED {0xc8, 0x1e, 0x28}

// A figure of 100 x 200 px at 2 mm a pixel with a border of 10 mm: left and top at 10 mm, 400 mm tall.
typedef struct Fixture {
    Settings settings;
    Separation separation;
    Outlines outlines;
    Stack stack;
    SeparationColour colours[2];
    Layer layers[2];
    EditList edits;
    Replay replay;
    Arena keep;
    Work work;
    Error err;
} Fixture;

static void begin(Fixture *f)
{
    *f = (Fixture){.settings = settings_defaults(), .keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    f->colours[0] = (SeparationColour){.colour = NAVY, .name = "navy"};
    f->colours[1] = (SeparationColour){.colour = RED, .name = "red"};
    f->settings.height_mm = 420.0;
    f->settings.border_mm = 10.0;
    assert_true(settings_add_paper(&f->settings, "letter", &f->err));
    f->separation = (Separation){.wish_box_px = {50, 20, 150, 220}, .box_px = {50, 20, 150, 220}};
    f->outlines = (Outlines){.mm_per_px = 2.0, .origin_px = {50, 20}, .offset_mm = 10.0, .width_mm = 200.0, .height_mm = 400.0,
                             .colours = f->colours, .colour_count = 2};
    f->layers[1].colour = 1;
    f->stack = (Stack){.layers = f->layers, .layer_count = 2, .colours = f->colours, .colour_count = 2};
    assert_true(overlay_create(NULL, &f->work.overlay, &f->err));
}

static void add(Fixture *f, Edit edit)
{
    assert_true(edits_add(&f->edits, &edit, &f->keep, &f->err));
}

static SeamWishes *replayed(Fixture *f)
{
    Paper *papers;
    SeamWishes *wishes;
    assert_true(replay_start(&f->settings, &f->edits, &f->keep, &f->replay, &f->err));
    assert_true(replay_colours(&f->separation, &f->outlines, &f->keep, &f->replay, &f->err));
    assert_true(replay_papers(&f->stack, &f->keep, &f->replay, &papers, &f->err));
    assert_true(replay_seams(&f->stack, &f->keep, &f->work, &f->replay, &wishes, &f->err));
    return wishes;
}

static void end(Fixture *f)
{
    overlay_destroy(f->work.overlay);
    arena_free(&f->work.scratch);
    arena_free(&f->keep);
}

static const Finding *finding(const Fixture *f, size_t i)
{
    assert_true(i < f->replay.findings.count);
    return &f->replay.findings.items[i];
}

static void replay__of_two_edits_of_one_size_the_later_counts(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    add(&f, (Edit){.kind = EDIT_BORDER, .mm = 5.0});
    add(&f, (Edit){.kind = EDIT_UNDERLAP, .mm = 7.0});
    add(&f, (Edit){.kind = EDIT_SMALLEST, .mm = 6.0});
    add(&f, (Edit){.kind = EDIT_SMALLEST, .hole_mm = 2.0});
    add(&f, (Edit){.kind = EDIT_STACK, .way = STACK_INLAY});
    add(&f, (Edit){.kind = EDIT_LINES, .lines = LINES_BOTH});
    add(&f, (Edit){.kind = EDIT_LINES, .lines = LINES_TOP});
    add(&f, (Edit){.kind = EDIT_BORDER, .mm = 20.0});
    replayed(&f);
    assert_true(f.replay.border_mm == 20.0 && f.replay.stack.border_mm == 20.0);
    assert_true(f.replay.separation.figure_height_mm == 380.0);
    assert_true(f.replay.stack.underlap_mm == 7.0);
    assert_true(f.replay.separation.smallest_part_mm == 6.0 && f.replay.separation.smallest_hole_mm == 2.0);
    assert_int_equal(f.replay.stack.way, STACK_INLAY);
    assert_int_equal(f.replay.stack.lines, LINES_TOP);
    assert_int_equal(f.replay.findings.count, 0);
    end(&f);
}

static void replay__colours_are_met_by_nearness(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    add(&f, (Edit){.kind = EDIT_BASE, .colour = {0x1e, 0x30, 0x5b}});
    add(&f, (Edit){.kind = EDIT_OVER, .colour = RED, .other = NAVY});
    add(&f, (Edit){.kind = EDIT_BASE, .colour = {0, 255, 0}});
    replayed(&f);
    assert_int_equal(f.replay.stack.base_colour, 0);
    assert_int_equal(f.replay.stack.order_count, 1);
    assert_int_equal(f.replay.stack.orders[0].over, 1);
    assert_string_equal(finding(&f, 0)->kind, "edit-without-target");
    assert_string_equal(finding(&f, 0)->text, "#00ff00 as the base: the picture has no such colour");
    end(&f);
}

static void replay__a_matched_colour_is_met_by_the_pictures_value_too(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    ColourMatch matches[] = {{{0x4a, 0x86, 0xc5}, 0}, {{0xf0, 0x50, 0x60}, 1}, {{0xc8, 0x1e, 0x29}, 0}};
    f.separation.matches = matches, f.separation.match_count = 3;
    NamedColour papers[] = {{NAVY, "navy"}, {RED, "red"}};
    add(&f, (Edit){.kind = EDIT_NAME, .colour = {0x4a, 0x86, 0xc6}, .text = "sky"}); // navy, in the picture
    add(&f, (Edit){.kind = EDIT_BASE, .colour = RED}); // the paper, though a colour of the picture that became navy is near too
    add(&f, (Edit){.kind = EDIT_MATCH, .papers = papers, .paper_count = 1});
    add(&f, (Edit){.kind = EDIT_MATCH, .papers = papers, .paper_count = 2}); // the last list counts
    replayed(&f);
    assert_string_equal(f.replay.colours[0].name, "sky");
    assert_int_equal(f.replay.stack.base_colour, 1);
    assert_int_equal(f.replay.separation.wishes.paper_count, 2);
    assert_int_equal(f.replay.findings.count, 0);
    end(&f);
}

static void replay__names_stay_unique_and_whole(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    add(&f, (Edit){.kind = EDIT_NAME, .colour = NAVY, .text = "red"});
    replayed(&f);
    assert_string_equal(f.replay.colours[0].name, "red-2");
    assert_string_equal(f.colours[0].name, "navy"); // what came in stays
    const char *longest = "\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6"; // 30 bytes
    add(&f, (Edit){.kind = EDIT_NAME, .colour = NAVY, .text = longest});
    add(&f, (Edit){.kind = EDIT_NAME, .colour = RED, .text = longest});
    replayed(&f);
    assert_string_equal(f.replay.colours[0].name, longest);
    const char *other = f.replay.colours[1].name;
    assert_true(text_is_utf8(other, strlen(other)));
    assert_string_equal(other + strlen(other) - 2, "-2");
    add(&f, (Edit){.kind = EDIT_NAME, .colour = RED, .text = "a\nb"});
    replayed(&f);
    assert_string_equal(finding(&f, 0)->kind, "edit-not-kept");
    end(&f);
}

static void replay__a_colours_own_paper_is_stronger_than_its_letters(void **state)
{
    (void)state;
    Fixture f;
    Paper *papers;
    begin(&f);
    assert_true(settings_add_paper(&f.settings, "B=a4", &f.err));
    add(&f, (Edit){.kind = EDIT_SHEET, .colour = RED, .text = "11x24"});
    add(&f, (Edit){.kind = EDIT_SHEET, .colour = {0, 255, 0}, .text = "a3"});
    replayed(&f);
    assert_true(replay_papers(&f.stack, &f.keep, &f.replay, &papers, &f.err));
    assert_string_equal(papers[0].id, "letter");
    assert_true(fabs(papers[1].height_mm - 24 * 25.4) < 1e-9);
    assert_string_equal(finding(&f, 0)->kind, "edit-without-target");
    end(&f);
}

static void replay__offcuts_are_of_the_colours_paper_and_the_last_word_on_a_size_counts(void **state)
{
    (void)state;
    Fixture f;
    Paper *papers;
    Offcut *offcuts;
    int count;
    begin(&f);
    assert_true(settings_add_paper(&f.settings, "B=letter,250gsm,grained,25 for 8.99", &f.err));
    add(&f, (Edit){.kind = EDIT_OFFCUT, .colour = RED, .text = "6x9", .count = 2});
    add(&f, (Edit){.kind = EDIT_OFFCUT, .colour = RED, .text = "5x7,250gsm", .count = 1});
    add(&f, (Edit){.kind = EDIT_OFFCUT, .colour = RED, .text = "6x9", .count = 3});
    add(&f, (Edit){.kind = EDIT_OFFCUT, .colour = RED, .text = "5x5", .count = 1});
    add(&f, (Edit){.kind = EDIT_OFFCUT, .colour = RED, .text = "5x5", .count = 0});
    add(&f, (Edit){.kind = EDIT_OFFCUT, .colour = RED, .text = "5x6,120gsm", .count = 1});
    add(&f, (Edit){.kind = EDIT_OFFCUT, .colour = {0, 255, 0}, .text = "6x9", .count = 1});
    replayed(&f);
    assert_true(replay_papers(&f.stack, &f.keep, &f.replay, &papers, &f.err));
    assert_true(replay_offcuts(&f.stack, papers, &f.keep, &f.replay, &offcuts, &count, &f.err));
    assert_int_equal(count, 2);
    assert_string_equal(offcuts[0].paper.id, "6x9in");
    assert_int_equal(offcuts[0].count, 3);
    assert_string_equal(offcuts[1].paper.id, "5x7in");
    for (int i = 0; i < 2; i++) {
        assert_true(offcuts[i].paper.is_offcut && offcuts[i].paper.gsm == 250.0 && offcuts[i].paper.direction == PAPER_GRAINED);
        assert_true(offcuts[i].paper.pack_count == 0 && offcuts[i].paper.pack_price == 0.0);
    }
    assert_int_equal(f.replay.findings.count, 2);
    assert_string_equal(finding(&f, 0)->kind, "edit-not-kept");
    assert_string_equal(finding(&f, 1)->kind, "edit-without-target");
    end(&f);
}

static void replay__places_become_millimetres_of_the_figure(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    FigurePoint run[2] = {{0.0, 0.5}, {0.5, 0.25}};
    add(&f, (Edit){.kind = EDIT_SEAM, .colour = RED, .points = run, .point_count = 2});
    SeamWishes *wishes = replayed(&f);
    assert_int_equal(wishes[0].fixed_count, 0);
    assert_int_equal(wishes[1].fixed_count, 1);
    const Point *points = wishes[1].fixed[0].points;
    assert_true(points[0].x == 10000 && points[0].y == 210000 && points[1].x == 210000 && points[1].y == 110000);
    f.separation.box_px[1] = 60; // another edit made the top ground: a place means the same as before
    f.outlines.origin_px[1] = 60;
    f.outlines.mm_per_px = 2.5;
    wishes = replayed(&f);
    points = wishes[1].fixed[0].points;
    assert_true(points[0].y == (int32_t)((10.0 + (20 + 100 - 60) * 2.5) * 1000));
    end(&f);
}

static void replay__a_moved_seam_takes_the_place_of_the_fixed_one(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    FigurePoint here[2] = {{0.0, 0.5}, {0.5, 0.5}}, there[2] = {{0.0, 0.6}, {0.5, 0.6}}, back[2] = {{0.0, 0.501}, {0.5, 0.501}};
    add(&f, (Edit){.kind = EDIT_SEAM, .colour = NAVY, .points = here, .point_count = 2});
    add(&f, (Edit){.kind = EDIT_SEAM_MOVED, .colour = NAVY, .from = here, .from_count = 2, .points = there, .point_count = 2});
    SeamWishes *wishes = replayed(&f);
    assert_int_equal(wishes[0].fixed_count, 1);
    assert_int_equal(wishes[0].fixed[0].points[0].y, 250000);
    assert_int_equal(wishes[0].forbidden_count, 1); // and nothing runs where it was
    assert_int_equal(f.replay.findings.count, 0);
    f.edits.count = 1;
    add(&f, (Edit){.kind = EDIT_SEAM_MOVED, .colour = NAVY, .from = here, .from_count = 2, .points = back, .point_count = 2});
    wishes = replayed(&f);
    assert_int_equal(wishes[0].fixed_count, 1);
    assert_int_equal(wishes[0].forbidden_count, 0); // a small move must not forbid itself
    end(&f);
}

static void replay__a_seam_moved_from_where_no_paper_is_has_no_target(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    static Point corners[4] = {{10000, 10000}, {210000, 10000}, {210000, 410000}, {10000, 410000}};
    f.layers[0].rings = (Rings){&(Ring){corners, 4}, 1};
    FigurePoint beside[2] = {{3.0, 0.5}, {3.5, 0.5}}, there[2] = {{0.0, 0.6}, {0.5, 0.6}};
    add(&f, (Edit){.kind = EDIT_SEAM_MOVED, .colour = NAVY, .from = beside, .from_count = 2, .points = there, .point_count = 2});
    SeamWishes *wishes = replayed(&f);
    assert_string_equal(finding(&f, 0)->kind, "edit-without-target");
    assert_non_null(strstr(finding(&f, 0)->text, "this colour has no paper"));
    assert_int_equal(wishes[0].fixed_count, 1); // what is wanted is clear all the same
    f.edits.items[0].from[1] = (FigurePoint){0.1, 0.5};
    replayed(&f);
    assert_int_equal(f.replay.findings.count, 0);
    end(&f);
}

static void replay__what_a_later_edit_contradicts_is_told(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    FigurePoint here[2] = {{0.0, 0.5}, {0.5, 0.5}};
    add(&f, (Edit){.kind = EDIT_SEAM, .colour = NAVY, .points = here, .point_count = 2});
    add(&f, (Edit){.kind = EDIT_SEAM_FORBIDDEN, .colour = NAVY, .points = here, .point_count = 2});
    SeamWishes *wishes = replayed(&f);
    assert_int_equal(wishes[0].fixed_count, 0);
    assert_int_equal(wishes[0].forbidden_count, 1);
    assert_string_equal(finding(&f, 0)->kind, "edit-not-kept");
    assert_string_equal(finding(&f, 0)->text,
                        "the fixed seam of navy from 0 %, 50 % to 50 %, 50 %: a later edit forbids a seam there");
    assert_true(finding(&f, 0)->x_mm == 10.0 && finding(&f, 0)->y_mm == 210.0);
    add(&f, (Edit){.kind = EDIT_SEAM, .colour = NAVY, .points = here, .point_count = 2});
    wishes = replayed(&f);
    assert_int_equal(wishes[0].fixed_count, 1);
    assert_int_equal(wishes[0].forbidden_count, 0);
    assert_int_equal(f.replay.findings.count, 2);
    end(&f);
}

static void replay__overlapping_areas_are_clear_where_they_overlap(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    FigurePoint a[4] = {{0.1, 0.1}, {0.3, 0.1}, {0.3, 0.3}, {0.1, 0.3}}, b[4] = {{0.2, 0.4}, {0.4, 0.4}, {0.4, 0.2}, {0.2, 0.2}};
    FigurePoint crossing[4] = {{0.1, 0.1}, {0.3, 0.3}, {0.3, 0.1}, {0.1, 0.3}}, line[3] = {{0.1, 0.1}, {0.2, 0.2}, {0.3, 0.3}};
    add(&f, (Edit){.kind = EDIT_KEEP_CLEAR, .points = a, .point_count = 4});
    add(&f, (Edit){.kind = EDIT_KEEP_CLEAR, .points = b, .point_count = 4});
    add(&f, (Edit){.kind = EDIT_KEEP_CLEAR, .points = crossing, .point_count = 4});
    add(&f, (Edit){.kind = EDIT_KEEP_CLEAR, .points = line, .point_count = 3});
    SeamWishes *wishes = replayed(&f);
    assert_non_null(wishes[0].keep_clear);
    assert_ptr_equal(wishes[0].keep_clear, wishes[1].keep_clear);
    assert_true(rings_contain(wishes[0].keep_clear, point_from_mm(110.0, 110.0)));
    assert_true(rings_contain(wishes[0].keep_clear, point_from_mm(60.0, 60.0)));
    assert_false(rings_contain(wishes[0].keep_clear, point_from_mm(60.0, 140.0)));
    assert_int_equal(f.replay.findings.count, 2);
    end(&f);
}

static Ring square_ring(Fixture *f, double from_mm, double to_mm, bool hole)
{
    Point *points = arena_new(&f->keep, Point, 4);
    assert_non_null(points);
    const double at[4][2] = {{from_mm, from_mm}, {to_mm, from_mm}, {to_mm, to_mm}, {from_mm, to_mm}};
    for (int i = 0; i < 4; i++) points[hole ? 3 - i : i] = point_from_mm(at[i][0], at[i][1]);
    return (Ring){points, 4};
}

// The base is a frame round a hole, and beside it an island of its own; in the frame something lies on it.
static void replay__a_place_keeps_all_that_shows_of_its_colour_clear(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    Ring base[] = {square_ring(&f, 10.0, 110.0, false), square_ring(&f, 80.0, 100.0, true), square_ring(&f, 150.0, 190.0, false)},
         cover = square_ring(&f, 30.0, 60.0, false);
    f.layers[0].rings = (Rings){base, 3};
    f.layers[0].cover = (Rings){&cover, 1};
    add(&f, (Edit){.kind = EDIT_KEEP_CLEAR, .at = {0.025, 0.025}});   // 20 mm right and down
    add(&f, (Edit){.kind = EDIT_KEEP_CLEAR, .at = {0.3, 0.5}});       // beside everything
    const Rings *clear = replayed(&f)[1].keep_clear;
    assert_non_null(clear);
    assert_true(rings_contain(clear, point_from_mm(105.0, 20.0)));
    assert_false(rings_contain(clear, point_from_mm(45.0, 45.0)));
    assert_false(rings_contain(clear, point_from_mm(90.0, 90.0)));
    assert_false(rings_contain(clear, point_from_mm(170.0, 170.0)));
    assert_int_equal(f.replay.findings.count, 1);
    assert_string_equal(finding(&f, 0)->text, "the area to keep clear at 30 %, 50 %: there is no paper");
    end(&f);
}

static void replay__edits_that_point_nowhere_are_told_and_harm_nothing(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    FigurePoint far[2] = {{-1000.0, -1000.0}, {1000.0, 1000.0}}, same[2] = {{0.5, 0.5}, {0.5, 0.5}};
    add(&f, (Edit){.kind = EDIT_SEAM, .colour = {0, 255, 0}, .points = far, .point_count = 2});
    add(&f, (Edit){.kind = EDIT_SEAM_FORBIDDEN, .colour = NAVY, .points = same, .point_count = 2});
    add(&f, (Edit){.kind = EDIT_FROZEN, .colour = NAVY, .text = "A1", .path = "no path"});
    add(&f, (Edit){.kind = EDIT_SEAM, .colour = NAVY, .points = far, .point_count = 2}); // the room's to judge
    SeamWishes *wishes = replayed(&f);
    assert_int_equal(f.replay.findings.count, 3);
    assert_true(finding(&f, 0)->x_mm >= 0.0 && finding(&f, 0)->y_mm >= 0.0);
    assert_int_equal(wishes[0].fixed_count, 1);
    assert_int_equal(wishes[0].forbidden_count + wishes[0].frozen_count, 0);
    end(&f);
}

static Paper *papers_of(Fixture *f)
{
    Paper *papers;
    assert_true(replay_start(&f->settings, &f->edits, &f->keep, &f->replay, &f->err));
    assert_true(replay_colours(&f->separation, &f->outlines, &f->keep, &f->replay, &f->err));
    assert_true(replay_papers(&f->stack, &f->keep, &f->replay, &papers, &f->err));
    return papers;
}

static Rings square(Fixture *f, double x_mm, double side_mm)
{
    Rings rings = {arena_new(&f->keep, Ring, 1), 1};
    rings.items[0] = (Ring){arena_new(&f->keep, Point, 4), 4};
    const double corners[4][2] = {{0, 0}, {1, 0}, {1, 1}, {0, 1}};
    for (int i = 0; i < 4; i++) rings.items[0].points[i] = point_from_mm(x_mm + corners[i][0] * side_mm, corners[i][1] * side_mm);
    return rings;
}

static bool forms_of(Fixture *f, LayerForm **forms)
{
    f->replay = (Replay){0};
    replayed(f);
    return replay_forms(&f->stack, &f->keep, &f->work, &f->replay, forms, &f->err);
}

// Red lies on navy over 100 mm; nothing lies on red.
static void replay_forms__laps_are_for_layers_that_something_covers(void **state)
{
    (void)state;
    Fixture f;
    LayerForm *forms;
    begin(&f);
    f.layers[0].rings = square(&f, 0, 200);
    f.layers[1].rings = f.layers[0].cover = square(&f, 50, 100);
    assert_true(forms_of(&f, &forms));
    assert_true(forms[0].form == SEAM_BUTT && forms[1].form == SEAM_BUTT && !forms[1].bare);
    assert_true(settings_add_seams(&f.settings, "lap", &f.err));
    assert_true(forms_of(&f, &forms));
    assert_true(forms[0].form == SEAM_LAP && !forms[0].bare);
    assert_true(forms[1].form == SEAM_BUTT && forms[1].bare);
    f.layers[0].cover = square(&f, 200, 100); // what only touches it covers nothing
    assert_true(forms_of(&f, &forms));
    assert_true(forms[0].form == SEAM_BUTT && forms[0].bare);
    assert_true(settings_add_seams(&f.settings, "A=lap", &f.err));
    assert_false(forms_of(&f, &forms));
    assert_int_equal(f.err.kind, ERROR_JOB);
    assert_non_null(strstr(f.err.text, "nothing covers layer A (navy)"));
    f.settings.seam_count = 0;
    assert_true(settings_add_seams(&f.settings, "C=lap", &f.err));
    assert_false(forms_of(&f, &forms));
    assert_non_null(strstr(f.err.text, "A to B"));
    end(&f);
}

static void replay_forms__the_last_edit_is_stronger_than_the_settings(void **state)
{
    (void)state;
    Fixture f;
    LayerForm *forms;
    begin(&f);
    f.layers[0].rings = square(&f, 0, 200);
    f.layers[1].rings = f.layers[0].cover = square(&f, 50, 100);
    add(&f, (Edit){.kind = EDIT_SEAM_FORM, .colour = NAVY, .form = SEAM_BUTT});
    add(&f, (Edit){.kind = EDIT_SEAM_FORM, .colour = NAVY, .form = SEAM_LAP});
    add(&f, (Edit){.kind = EDIT_SEAM_FORM, .colour = RED, .form = SEAM_LAP});
    add(&f, (Edit){.kind = EDIT_SEAM_FORM, .colour = {0, 255, 0}, .form = SEAM_LAP});
    assert_true(forms_of(&f, &forms));
    assert_true(forms[0].form == SEAM_LAP && forms[1].form == SEAM_BUTT && !forms[1].bare);
    assert_int_equal(f.replay.findings.count, 2);
    assert_string_equal(finding(&f, 0)->kind, "edit-without-target");
    assert_string_equal(finding(&f, 1)->kind, "edit-not-kept");
    assert_non_null(strstr(finding(&f, 1)->text, "lap seams of red: nothing covers this layer"));
    end(&f);
}

static void replay__every_paper_is_taken_by_the_cutter(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    f.settings.has_cutter = cutter_parse("12x12,pen,loss 5mm 6mm 7mm 8mm", &f.settings.cutter, &f.err);
    add(&f, (Edit){.kind = EDIT_SHEET, .colour = RED, .text = "6x9,grained"});
    add(&f, (Edit){.kind = EDIT_SHEET, .colour = NAVY, .text = "11x24"}); // does not lie on the mat: letter stays
    Paper *papers = papers_of(&f);
    const double loss[4] = {5, 6, 7, 8};
    for (int layer = 0; layer < 2; layer++)
        for (int i = 0; i < 4; i++) assert_true(papers[layer].has_loss && papers[layer].loss_mm[i] == loss[i]);
    assert_string_equal(papers[0].id, "letter");
    assert_int_equal(papers[1].direction, PAPER_GRAINED);
    assert_int_equal(f.replay.findings.count, 1);
    assert_string_equal(finding(&f, 0)->kind, "edit-not-kept");
    assert_non_null(strstr(finding(&f, 0)->text, "11x12in"));
    assert_int_equal(f.replay.tools.count, 1);
    assert_int_equal(f.replay.tools.lines[0], MARK_PEN);
    end(&f);
}

static void replay__layers_without_marks_are_told_once_a_paper(void **state)
{
    (void)state;
    Fixture f;
    begin(&f);
    assert_true(settings_add_paper(&f.settings, "letter,no-score", &f.err));
    papers_of(&f);
    assert_int_equal(f.replay.findings.count, 1);
    assert_string_equal(finding(&f, 0)->kind, "layer-unmarked");
    assert_non_null(strstr(finding(&f, 0)->text, "layers A and B"));
    assert_true(settings_add_paper(&f.settings, "B=letter,no-score,no-pen", &f.err));
    papers_of(&f);
    assert_int_equal(f.replay.findings.count, 2);
    assert_non_null(strstr(finding(&f, 0)->text, "layer A have no marks"));
    assert_non_null(strstr(finding(&f, 0)->text, "--marks score,pen would mark them"));
    assert_non_null(strstr(finding(&f, 1)->text, "neither score nor pen"));
    end(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(replay__of_two_edits_of_one_size_the_later_counts),
        cmocka_unit_test(replay__colours_are_met_by_nearness),
        cmocka_unit_test(replay__a_matched_colour_is_met_by_the_pictures_value_too),
        cmocka_unit_test(replay__names_stay_unique_and_whole),
        cmocka_unit_test(replay__a_colours_own_paper_is_stronger_than_its_letters),
        cmocka_unit_test(replay__offcuts_are_of_the_colours_paper_and_the_last_word_on_a_size_counts),
        cmocka_unit_test(replay__places_become_millimetres_of_the_figure),
        cmocka_unit_test(replay__a_moved_seam_takes_the_place_of_the_fixed_one),
        cmocka_unit_test(replay__a_seam_moved_from_where_no_paper_is_has_no_target),
        cmocka_unit_test(replay__what_a_later_edit_contradicts_is_told),
        cmocka_unit_test(replay__overlapping_areas_are_clear_where_they_overlap),
        cmocka_unit_test(replay_forms__laps_are_for_layers_that_something_covers),
        cmocka_unit_test(replay_forms__the_last_edit_is_stronger_than_the_settings),
        cmocka_unit_test(replay__every_paper_is_taken_by_the_cutter),
        cmocka_unit_test(replay__layers_without_marks_are_told_once_a_paper),
        cmocka_unit_test(replay__a_place_keeps_all_that_shows_of_its_colour_clear),
        cmocka_unit_test(replay__edits_that_point_nowhere_are_told_and_harm_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
