// Nest: small cases whose answer is known.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "nest/check.h"
#include "nest/nest.h"
#include "support/nest_measure.h"
#include "support/nest_table.h"

#include <string.h>

// A box with a hole whose walls are `wall` wide.
static void add_frame(NestTable *c, double w, double h, double wall)
{
    const double xy[] = {0,    0,        w,        0,        w,    h,    0, h, -1, -1,
                         wall, wall, wall, h - wall, w - wall, h - wall, w - wall, wall, -1, -1};
    nest_table_rings(c, xy, 2, 1, 0);
}

static void run(NestTable *c)
{
    if (!nest_pieces(c->items, c->count, &c->options, &c->keep, &c->work, &c->result, &c->err)) fail_msg("%s", c->err.text);
    for (int i = 0; i < c->count; i++) {
        if (c->result.places[i].sheet == NEST_LEFT_OVER) continue;
        double out = outside_mm(&c->items[i], &c->result.places[i], &c->options);
        if (out > 1e-5) fail_msg("item %d sticks out by %.6f mm", i, out);
        for (int j = 0; j < i; j++) {
            if (c->result.places[i].sheet != c->result.places[j].sheet) continue;
            double d = distance_mm(&c->items[i], &c->result.places[i], &c->items[j], &c->result.places[j]);
            if (d < c->options.gap_mm - 1e-5) fail_msg("items %d and %d are %.6f mm apart", i, j, d);
        }
    }
}

static void none__needs_no_sheet(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    run(&c);
    assert_int_equal(c.result.sheet_count, 0);
    nest_table_free(&c);
}

static void one__lies_in_the_usable_box_unturned_or_turned_but_never_mirrored(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    const double xy[] = {0, 0, 60, 0, 60, 20, 20, 20, 20, 90, 0, 90, -1, -1};
    nest_table_rings(&c, xy, 1, 1, 0);
    run(&c);
    const double *m = c.result.places[0].to_sheet;
    assert_int_equal(c.result.sheet_count, 1);
    assert_true(fabs(m[0] * m[3] - m[1] * m[2] - 1) < 1e-8);
    assert_true(m[0] == m[3] && m[1] == -m[2]);
    nest_table_free(&c);
}

static void four_quarters__share_a_sheet(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter"); // 203.2 x 266.7 usable
    for (int i = 0; i < 4; i++) nest_table_box(&c, 98, 130);
    run(&c);
    assert_int_equal(c.result.sheet_count, 1);
    nest_table_free(&c);
}

static void boxes_over_half__take_a_sheet_each(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    for (int i = 0; i < 5; i++) nest_table_box(&c, 150, 180);
    run(&c);
    assert_int_equal(c.result.sheet_count, 5);
    bool seen[5] = {false};
    for (int i = 0; i < 5; i++) seen[c.result.places[i].sheet] = true;
    for (int i = 0; i < 5; i++) assert_true(seen[i]);
    nest_table_free(&c);
}

static void full_size__touching_the_box_is_allowed(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    const double xy[] = {3, 0, 203.2, 0, 203.2, 263.7, 200.2, 266.7, 0, 266.7, 0, 3, -1, -1}; // the whole space
    nest_table_rings(&c, xy, 1, 1, 0);
    run(&c);
    assert_int_equal(c.result.sheet_count, 1);
    nest_table_free(&c);
}

static void corner_marks__stay_clear(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    nest_table_box(&c, 202, 265); // fits only when shifted off neither corner: its diagonal room is 1.2 + 1.7 < 3
    assert_false(nest_pieces(c.items, c.count, &c.options, &c.keep, &c.work, &c.result, &c.err));
    assert_int_equal(c.err.kind, ERROR_JOB);
    assert_null(c.result.places);
    nest_table_free(&c);

    c = nest_table_make("letter");
    nest_table_box(&c, 200, 263);
    run(&c); // 3.2 + 3.7: room to clear both
    nest_table_free(&c);
}

static void too_large__names_the_paper(void **state)
{
    (void)state;
    NestTable c = nest_table_make("a4");
    nest_table_box(&c, 400, 20);
    assert_false(nest_pieces(c.items, c.count, &c.options, &c.keep, &c.work, &c.result, &c.err));
    assert_non_null(strstr(c.err.text, "a4"));
    nest_table_free(&c);
}

static void long_bar__fits_only_when_turned(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    const double xy[] = {0, 0, 310, 0, 310, 12, 0, 12, -1, -1}; // the diagonal is 335 mm
    nest_table_rings(&c, xy, 1, 1, 0);
    c.items[0].fit = (Fit){0.6, 0.8};
    run(&c);
    assert_int_equal(c.result.sheet_count, 1);
    nest_table_free(&c);
}

static void own_angle__is_always_tried(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    const double xy[] = {0, 0, 190, 0, 190, 255, 0, 255, -1, -1};
    nest_table_rings(&c, xy, 1, 0.8, 0.6); // lies turned in the picture
    c.items[0].fit = (Fit){0.8, -0.6};
    run(&c);
    assert_int_equal(c.result.sheet_count, 1);
    nest_table_free(&c);
}

static void frame__takes_a_small_piece_in_its_hole(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    add_frame(&c, 190, 255, 15);
    nest_table_box(&c, 150, 210);
    run(&c);
    assert_int_equal(c.result.sheet_count, 1);
    nest_table_free(&c);
}

static void frames__three_deep(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    nest_table_box(&c, 60, 100);
    add_frame(&c, 190, 255, 15);
    add_frame(&c, 145, 205, 15);
    run(&c);
    assert_int_equal(c.result.sheet_count, 1);
    nest_table_free(&c);
}

static void slot_aslant__takes_a_bar_that_fits_at_its_angle_alone(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    double xy[] = {0, 0, 200, 0, 200, 262, 0, 262, -1, -1, 10, 124, 10, 138, 150, 138, 150, 124, -1, -1};
    for (int k = 10; k < 18; k += 2) { // the slot of 14 x 140 turned about the middle of the plate
        double x = xy[k] - 80, y = xy[k + 1] - 131;
        xy[k] = 100 + 0.8 * x - 0.6 * y;
        xy[k + 1] = 131 + 0.6 * x + 0.8 * y;
    }
    nest_table_rings(&c, xy, 2, 1, 0);
    nest_table_box(&c, 125, 7.4);
    run(&c);
    assert_int_equal(c.result.sheet_count, 1);
    nest_table_free(&c);
}

static void hole_too_small__means_another_sheet(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    add_frame(&c, 190, 255, 15);
    nest_table_box(&c, 155.5, 220); // hole of 160 x 225, 3 mm on each side asked
    run(&c);
    assert_int_equal(c.result.sheet_count, 2);
    nest_table_free(&c);
}

static void ring_and_disc__share_a_sheet(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    double xy[2 * 62];
    static const double COS[15] = {1, 0.9135454576, 0.6691306064, 0.3090169944, -0.1045284633, -0.5, -0.8090169944, -0.9781476007,
                                   -0.9781476007, -0.8090169944, -0.5, -0.1045284633, 0.3090169944, 0.6691306064, 0.9135454576};
    static const double SIN[15] = {0, 0.4067366431, 0.7431448255, 0.9510565163, 0.9945218954, 0.8660254038, 0.5877852523, 0.2079116908,
                                   -0.2079116908, -0.5877852523, -0.8660254038, -0.9945218954, -0.9510565163, -0.7431448255, -0.4067366431};
    int n = 0;
    for (int i = 0; i < 15; i++) xy[n++] = 100 * COS[i], xy[n++] = 100 * SIN[i];
    xy[n++] = -1, xy[n++] = -1;
    for (int i = 14; i >= 0; i--) xy[n++] = 80 * COS[i], xy[n++] = 80 * SIN[i];
    xy[n++] = -1, xy[n++] = -1;
    nest_table_rings(&c, xy, 2, 1, 0);
    n = 0;
    for (int i = 0; i < 15; i++) xy[n++] = 70 * COS[i], xy[n++] = 70 * SIN[i];
    xy[n++] = -1, xy[n++] = -1;
    nest_table_rings(&c, xy, 1, 1, 0);
    run(&c);
    assert_int_equal(c.result.sheet_count, 1);
    nest_table_free(&c);
}

static void quarters_only__turns_no_other_way(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    c.options.turn = NEST_TURN_QUARTERS;
    for (int i = 0; i < 6; i++) {
        const double xy[] = {0, 0, 90, 0, 90, 30, 0, 30, -1, -1};
        nest_table_rings(&c, xy, 1, 0.96, 0.28);
    }
    run(&c);
    for (int i = 0; i < c.count; i++) {
        const double *m = c.result.places[i].to_sheet;
        assert_true((m[0] == 0 && fabs(m[1]) == 1) || (fabs(m[0]) == 1 && m[1] == 0));
    }
    nest_table_free(&c);
}

static void twice__gives_the_same_bytes(void **state)
{
    (void)state;
    NestPlace first[20];
    for (int round = 0; round < 2; round++) {
        NestTable c = nest_table_make("12x12");
        for (int i = 0; i < 20; i++) nest_table_box(&c, 30 + 7 * (i % 5), 40 + 11 * (i % 7));
        run(&c);
        if (round == 0) memcpy(first, c.result.places, sizeof first);
        else assert_memory_equal(first, c.result.places, sizeof first);
        nest_table_free(&c);
    }
}

static void last_sheet__is_the_one_used_least(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    nest_table_box(&c, 60, 30);
    nest_table_box(&c, 190, 255);
    nest_table_box(&c, 190, 255);
    run(&c);
    assert_int_equal(c.result.sheet_count, 3);
    assert_int_equal(c.result.places[0].sheet, 2);
    assert_int_equal(c.result.places[1].sheet, 0);
    nest_table_free(&c);
}

static void cancelled__stops_with_nothing(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    atomic_bool stop = true;
    c.work.cancel = &stop;
    nest_table_box(&c, 60, 30);
    assert_false(nest_pieces(c.items, c.count, &c.options, &c.keep, &c.work, &c.result, &c.err));
    assert_int_equal(c.err.kind, ERROR_CANCELLED);
    nest_table_free(&c);
}

static void little_memory__is_said_at_every_step(void **state)
{
    (void)state;
    int refused = 0;
    for (int64_t after = 0; after < 4000; after = after < 40 ? after + 1 : after * 5 / 4) {
        NestTable c = nest_table_make("letter");
        for (int i = 0; i < 3; i++) nest_table_box(&c, 60, 30 + i);
        c.options.orders = 2;
        c.work.scratch.fail_after = after;
        if (!nest_pieces(c.items, c.count, &c.options, &c.keep, &c.work, &c.result, &c.err)) {
            assert_int_equal(c.err.kind, ERROR_SYSTEM);
            refused++;
        }
        nest_table_free(&c);
    }
    assert_true(refused > 40);
}

static void check__sees_overlap_nearness_and_leaving(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    nest_table_box(&c, 50, 50);
    nest_table_box(&c, 50, 50);
    add_frame(&c, 90, 90, 10);
    NestPlace places[3];
    const double shift[][3] = {{100, 52.9, 0}, {100, 53, 1}, {99, 20, 0}, {100, 0, 0}, {250, 60, 0}}; // x, then apart in y
    bool bad[3];
    for (size_t i = 0; i < sizeof shift / sizeof shift[0]; i++) {
        const double at[6] = {1, 0, 0, 1, -1000 + 100, -1000 + 60};
        for (int k = 0; k < 3; k++) memcpy(places[k].to_sheet, at, sizeof at), places[k].sheet = k == 2;
        places[1].to_sheet[4] = -1000 + shift[i][0];
        places[1].to_sheet[5] = -1000 + 60 + shift[i][1];
        assert_true(nest_check(c.items, 3, &c.options, places, &c.work, bad, &c.err));
        assert_false(bad[0]);
        assert_int_equal(bad[1], shift[i][2] == 0);
        assert_false(bad[2]);
    }
    // a box inside the frame's hole is fine, a box inside another box is not
    for (int k = 0; k < 3; k++) {
        const double at[6] = {1, 0, 0, 1, -1000 + 50 + 20 * (k < 2), -1000 + 50 + 20 * (k < 2)};
        memcpy(places[k].to_sheet, at, sizeof at);
        places[k].sheet = k == 1;
    }
    assert_true(nest_check(c.items, 3, &c.options, places, &c.work, bad, &c.err));
    assert_false(bad[2]);
    places[1].sheet = 0;
    assert_true(nest_check(c.items, 3, &c.options, places, &c.work, bad, &c.err));
    assert_true(bad[1]);
    nest_table_free(&c);
}

static void without_a_gap__touching_is_fine_and_any_overlap_is_seen(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    nest_table_box(&c, 50, 50);
    nest_table_box(&c, 50, 50);
    c.options.gap_mm = 0;
    const double shift[][3] = {{50, 0, 0}, {49.99, 0, 1}, {0, 0, 1}, {25, 0, 1}, {50, 20, 0}, {30, 49.99, 1}, {30, 50, 0}, {10, 10, 1}};
    NestPlace places[2] = {{0, {1, 0, 0, 1, -1000 + 60, -1000 + 60}}, {0, {1, 0, 0, 1, 0, 0}}};
    bool bad[2];
    for (size_t i = 0; i < sizeof shift / sizeof shift[0]; i++) {
        places[1].to_sheet[4] = -1000 + 60 + shift[i][0];
        places[1].to_sheet[5] = -1000 + 60 + shift[i][1];
        assert_true(nest_check(c.items, 2, &c.options, places, &c.work, bad, &c.err));
        assert_int_equal(bad[1], shift[i][2] == 1);
    }
    nest_table_free(&c);
}

static void no_size__is_refused(void **state)
{
    (void)state;
    const double bad[] = {NAN, INFINITY, -1};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        for (int which = 0; which < 3; which++) {
            NestTable c = nest_table_make("letter");
            nest_table_box(&c, 60, 30);
            *(which == 0 ? &c.options.gap_mm : which == 1 ? &c.options.space.width_mm : &c.options.space.height_mm) = bad[i];
            assert_false(nest_pieces(c.items, c.count, &c.options, &c.keep, &c.work, &c.result, &c.err));
            assert_int_equal(c.err.kind, ERROR_INPUT);
            assert_null(c.result.places);
            nest_table_free(&c);
        }
}

// Each piece alone on a sheet, upright, near its corner.
static void start_with_one_a_sheet(NestTable *c, NestResult *out)
{
    *out = (NestResult){arena_new(&c->keep, NestPlace, c->count), c->count, 0};
    for (int i = 0; i < c->count; i++) {
        const double at[6] = {1, 0, 0, 1, -990 + c->options.origin_mm[0], -990 + c->options.origin_mm[1]};
        memcpy(out->places[i].to_sheet, at, sizeof at);
        out->places[i].sheet = i;
    }
}

static void improve__empties_sheets_that_are_not_needed(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    for (int i = 0; i < 4; i++) nest_table_box(&c, 90, 120);
    NestResult start, better, again;
    start_with_one_a_sheet(&c, &start);
    assert_true(nest_improve(c.items, c.count, &c.options, &start, 4000, 5, &c.keep, &c.work, &better, &c.err));
    assert_int_equal(better.sheet_count, 1);
    bool bad[4];
    assert_true(nest_check(c.items, c.count, &c.options, better.places, &c.work, bad, &c.err));
    for (int i = 0; i < 4; i++) assert_false(bad[i]);
    assert_true(nest_improve(c.items, c.count, &c.options, &start, 4000, 5, &c.keep, &c.work, &again, &c.err));
    assert_memory_equal(better.places, again.places, 4 * sizeof *again.places);
    nest_table_free(&c);
}

// The piece alone is smaller than the one whose place it can take, and that one makes its new sheet no fuller than the old one was.
static void improve__a_piece_makes_way_for_one_that_lies_alone(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter,textured");
    c.options.space = (Space){100, 100, 0, false};
    c.options.gap_mm = 0;
    const double size[4][2] = {{62, 100}, {35, 100}, {64, 90}, {37, 92}}, at[4] = {0, 62, 0, 0};
    const int sheets[4] = {0, 0, 1, 2};
    NestResult start = {arena_new(&c.keep, NestPlace, 4), 3, 0}, better;
    for (int i = 0; i < 4; i++) {
        nest_table_box(&c, size[i][0], size[i][1]);
        start.places[i] = (NestPlace){sheets[i], {1, 0, 0, 1, c.options.origin_mm[0] + at[i] - 1000, c.options.origin_mm[1] - 1000}};
    }
    assert_true(nest_improve(c.items, c.count, &c.options, &start, 4000, 5, &c.keep, &c.work, &better, &c.err));
    assert_int_equal(better.sheet_count, 2);
    assert_int_equal(better.places[0].sheet, better.places[3].sheet);
    assert_int_equal(better.places[1].sheet, better.places[2].sheet);
    bool bad[4];
    assert_true(nest_check(c.items, c.count, &c.options, better.places, &c.work, bad, &c.err));
    for (int i = 0; i < 4; i++) assert_false(bad[i]);
    nest_table_free(&c);
}

static void improve__leaves_what_cannot_share(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    for (int i = 0; i < 3; i++) nest_table_box(&c, 150, 180);
    NestResult start, better;
    start_with_one_a_sheet(&c, &start);
    assert_true(nest_improve(c.items, c.count, &c.options, &start, 500, 5, &c.keep, &c.work, &better, &c.err));
    assert_int_equal(better.sheet_count, 3);
    nest_table_free(&c);
}

static void improve__without_moves_is_the_same(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    nest_table_box(&c, 50, 60);
    nest_table_box(&c, 50, 60);
    NestResult start, better;
    start_with_one_a_sheet(&c, &start);
    assert_true(nest_improve(c.items, c.count, &c.options, &start, 0, 5, &c.keep, &c.work, &better, &c.err));
    assert_int_equal(better.sheet_count, 2);
    assert_memory_equal(better.places, start.places, 2 * sizeof *start.places);
    nest_table_free(&c);
}

static void improve__keeps_the_direction_of_the_paper(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter,textured");
    for (int i = 0; i < 6; i++) {
        const double xy[] = {0, 0, 60 + i, 0, 0, 80, -1, -1};
        nest_table_rings(&c, xy, 1, 1, 0);
    }
    NestResult start, better;
    start_with_one_a_sheet(&c, &start);
    assert_true(nest_improve(c.items, c.count, &c.options, &start, 3000, 5, &c.keep, &c.work, &better, &c.err));
    assert_true(better.sheet_count <= 2);
    for (int i = 0; i < c.count; i++) assert_true(better.places[i].to_sheet[0] == 1 && better.places[i].to_sheet[1] == 0);
    nest_table_free(&c);
}

static void improve__uses_the_last_sheet_less(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    nest_table_box(&c, 60, 40);
    NestResult start, better;
    start_with_one_a_sheet(&c, &start);
    start.places[0].to_sheet[5] += 150;
    assert_true(nest_improve(c.items, c.count, &c.options, &start, 400, 5, &c.keep, &c.work, &better, &c.err));
    double before = 1000 * start.places[0].to_sheet[3] + start.places[0].to_sheet[5] + 40, low = 0;
    for (int i = 0; i < 4; i++) low = fmax(low, dot_at(&better.places[0], c.items[0].rings->items[0].points[i]).y);
    assert_true(low < before - 100);
    nest_table_free(&c);
}

static int left_over(const NestTable *c)
{
    int count = 0;
    for (int i = 0; i < c->count; i++) count += c->result.places[i].sheet == NEST_LEFT_OVER;
    return count;
}

static void one_sheet_there__lays_what_fits_and_tells_the_rest(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    for (int i = 0; i < 6; i++) nest_table_box(&c, 98, 130); // four fill a sheet
    c.options.most_sheets = 1;
    run(&c);
    assert_int_equal(c.result.sheet_count, 1);
    assert_int_equal(c.result.left_over, 2);
    assert_int_equal(left_over(&c), 2);
    for (int i = 0; i < c.count; i++)
        if (c.result.places[i].sheet == NEST_LEFT_OVER)
            for (int k = 0; k < 6; k++) assert_true(c.result.places[i].to_sheet[k] == 0);
    c.options.most_sheets = 2;
    run(&c);
    assert_int_equal(c.result.sheet_count, 2);
    assert_int_equal(c.result.left_over, 0);
    nest_table_free(&c);
}

static void offcut__leaves_over_what_is_larger_than_it(void **state)
{
    (void)state;
    NestTable c = nest_table_make("letter");
    nest_table_box(&c, 150, 180);
    nest_table_box(&c, 60, 40);
    nest_table_box(&c, 90, 30);
    c.options.space = (Space){100, 80, 0, false};
    c.options.most_sheets = 1;
    run(&c);
    assert_int_equal(c.result.sheet_count, 1);
    assert_int_equal(c.result.left_over, 1);
    assert_int_equal(c.result.places[0].sheet, NEST_LEFT_OVER);
    c.count = 1; // nothing fits: no sheet is begun
    run(&c);
    assert_int_equal(c.result.sheet_count, 0);
    assert_int_equal(c.result.left_over, 1);
    c.options.most_sheets = -1;
    assert_false(nest_pieces(c.items, c.count, &c.options, &c.keep, &c.work, &c.result, &c.err));
    assert_int_equal(c.err.kind, ERROR_INPUT);
    nest_table_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(none__needs_no_sheet),
        cmocka_unit_test(one__lies_in_the_usable_box_unturned_or_turned_but_never_mirrored),
        cmocka_unit_test(four_quarters__share_a_sheet),
        cmocka_unit_test(boxes_over_half__take_a_sheet_each),
        cmocka_unit_test(full_size__touching_the_box_is_allowed),
        cmocka_unit_test(corner_marks__stay_clear),
        cmocka_unit_test(too_large__names_the_paper),
        cmocka_unit_test(long_bar__fits_only_when_turned),
        cmocka_unit_test(own_angle__is_always_tried),
        cmocka_unit_test(frame__takes_a_small_piece_in_its_hole),
        cmocka_unit_test(frames__three_deep),
        cmocka_unit_test(slot_aslant__takes_a_bar_that_fits_at_its_angle_alone),
        cmocka_unit_test(hole_too_small__means_another_sheet),
        cmocka_unit_test(ring_and_disc__share_a_sheet),
        cmocka_unit_test(quarters_only__turns_no_other_way),
        cmocka_unit_test(twice__gives_the_same_bytes),
        cmocka_unit_test(last_sheet__is_the_one_used_least),
        cmocka_unit_test(cancelled__stops_with_nothing),
        cmocka_unit_test(little_memory__is_said_at_every_step),
        cmocka_unit_test(check__sees_overlap_nearness_and_leaving),
        cmocka_unit_test(without_a_gap__touching_is_fine_and_any_overlap_is_seen),
        cmocka_unit_test(no_size__is_refused),
        cmocka_unit_test(improve__empties_sheets_that_are_not_needed),
        cmocka_unit_test(improve__a_piece_makes_way_for_one_that_lies_alone),
        cmocka_unit_test(improve__leaves_what_cannot_share),
        cmocka_unit_test(improve__without_moves_is_the_same),
        cmocka_unit_test(improve__keeps_the_direction_of_the_paper),
        cmocka_unit_test(improve__uses_the_last_sheet_less),
        cmocka_unit_test(one_sheet_there__lays_what_fits_and_tells_the_rest),
        cmocka_unit_test(offcut__leaves_over_what_is_larger_than_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
