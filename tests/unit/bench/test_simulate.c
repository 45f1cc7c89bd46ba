// test_simulate.c - the simulated maker against cases worked out on paper.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "simulate/laps.h"
#include "simulate/tries.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define KERF_MM 0.2

typedef struct Made { // a kit made by hand, and what is looked at in it
    Arena arena;
    Work work;
    ReadKit kit;
    ReadLayer layers[4];
    ReadPiece pieces[8];
    ReadMark marks[8];
    ReadSeam seams[4];
    ReadSheet sheets[2];
    Bodies bodies;
    Watch watch;
    Placed placed;
} Made;

static ReadPath path_of(Made *made, const char *data)
{
    ReadPath path;
    const char *problem;
    Error err;
    assert_true(read_path(data, strlen(data), READ_ENDS_ANY, &made->arena, &path, &problem, &err));
    assert_null(problem);
    return path;
}

static int setup(void **state)
{
    Made *made = test_calloc(1, sizeof *made);
    made->arena = arena_make(0);
    made->work.scratch = arena_make(0);
    made->kit = (ReadKit){.name = "made", .height_mm = 200, .layers = made->layers, .pieces = made->pieces,
                          .seams = made->seams, .sheets = made->sheets, .sheet_count = 2};
    for (int i = 0; i < 4; i++) made->layers[i].order = i;
    *state = made;
    return 0;
}

static int teardown(void **state)
{
    Made *made = *state;
    arena_free(&made->arena);
    arena_free(&made->work.scratch);
    test_free(made);
    return 0;
}

static ReadPiece *add_piece(Made *made, int layer, const char *outline)
{
    ReadPiece *piece = &made->pieces[made->kit.piece_count++];
    *piece = (ReadPiece){.layer = layer, .to_sheet = {0, 1, -1, 0, 0, 0}}; // it lies on its sheet a quarter turned
    piece->outline = piece->face = path_of(made, outline);
    if (layer >= made->kit.layer_count) made->kit.layer_count = layer + 1;
    return piece;
}

static void add_line(Made *made, ReadPiece *piece, ReadMark *mark, const char *path)
{
    *mark = (ReadMark){.kind = "placement", .line = READ_SCORE, .path = path_of(made, path)};
    piece->marks = mark;
    piece->mark_count = 1;
}

static void add_seam(Made *made, int layer, int a, int b, const char *path)
{
    made->seams[made->kit.seam_count++] =
        (ReadSeam){.layer = layer, .pieces = {a, b}, .path = path_of(made, path)};
}

static void look(Made *made, Joining joining)
{
    Error err;
    WatchOptions options = watch_defaults(&made->kit);
    assert_true(bodies_make(&made->kit, joining, &made->arena, &made->work, &made->bodies, &err));
    assert_true(watch_make(&made->bodies, &options, &made->arena, &made->work, &made->watch, &err));
    assert_true(placed_make(&made->bodies, &made->arena, &made->placed, &err));
}

static Motion shift(double x, double y)
{
    return motion_about((Spot){0, 0}, (Spot){x, y}, 0.0);
}

// Places of a class that fail as things are placed now; *all = how many there are.
static int failing(Made *made, WatchClass class, double kerf_mm, int *all)
{
    int failed = 0;
    *all = 0;
    placed_measure(&made->bodies, &made->placed);
    for (size_t u = 0; u < made->watch.unit_count; u++) {
        const WatchUnit *unit = &made->watch.units[u];
        if (unit->class != class) continue;
        for (int i = unit->first; i < unit->first + unit->count; i++, ++*all) {
            double shown, needed;
            failed += place_fails(&made->bodies, &made->watch, class, &made->watch.points[i], &made->placed, kerf_mm,
                                  &shown, &needed);
        }
    }
    return failed;
}

// A square of 40 mm on a square of 100 mm, its line 1.5 mm inside: four sides of 37 mm.
static void square_on_square(Made *made)
{
    ReadPiece *base = add_piece(made, 0, "M 0 0 L 100 0 L 100 100 L 0 100 L 0 0 Z");
    add_piece(made, 1, "M 30 30 L 70 30 L 70 70 L 30 70 L 30 30 Z");
    add_line(made, base, &made->marks[0], "M 31.5 31.5 L 68.5 31.5 L 68.5 68.5 L 31.5 68.5 L 31.5 31.5");
    look(made, PIECES_JOINED);
}

static void line__shows_when_the_shift_passes_inset_less_half_a_kerf(void **state)
{
    Made *made = *state;
    int all;
    square_on_square(made);
    assert_int_equal(made->bodies.count, 2);
    made->placed.bodies[1] = shift(1.39, 0);
    assert_int_equal(failing(made, WATCH_LINE, KERF_MM, &all), 0);
    assert_int_equal(all, 4 * 37);
    made->placed.bodies[1] = shift(1.41, 0);
    assert_int_equal(failing(made, WATCH_LINE, KERF_MM, &all), 37); // the left side, all of it
    made->placed.bodies[1] = shift(1.41, -1.41);
    assert_int_equal(failing(made, WATCH_LINE, KERF_MM, &all), 2 * 37);
    made->placed.bodies[1] = shift(1.41, 0);
    assert_int_equal(failing(made, WATCH_LINE, 0.0, &all), 0); // a blade without width
}

// The sheet lies a quarter turned: its (0, -0.3) is the piece's (-0.3, 0).
// The same line as if drawn 2.5 mm inside: it holds out 1 mm longer.
static void line__can_be_looked_at_with_another_inset(void **state)
{
    Made *made = *state;
    Error err;
    int all;
    square_on_square(made);
    WatchOptions options = watch_defaults(&made->kit);
    options.other_inset_mm = 2.5;
    assert_true(watch_make(&made->bodies, &options, &made->arena, &made->work, &made->watch, &err));
    made->placed.bodies[1] = shift(2.39, 0);
    assert_int_equal(failing(made, WATCH_LINE, KERF_MM, &all), 0);
    assert_int_equal(all, 4 * 35); // the corners' last millimetres are not there
    made->placed.bodies[1] = shift(2.41, 0);
    assert_int_equal(failing(made, WATCH_LINE, KERF_MM, &all), 35);
}

static void line__moves_with_the_tool_of_its_sheet(void **state)
{
    Made *made = *state;
    int all;
    square_on_square(made);
    made->placed.tools[0] = (Spot){0, -0.3};
    made->placed.bodies[1] = shift(1.09, 0);
    assert_int_equal(failing(made, WATCH_LINE, KERF_MM, &all), 0);
    made->placed.bodies[1] = shift(1.11, 0);
    assert_int_equal(failing(made, WATCH_LINE, KERF_MM, &all), 37);
    made->placed.bodies[1] = shift(1.41, 0);
    made->placed.tools[0] = (Spot){0, 0.3};
    assert_int_equal(failing(made, WATCH_LINE, KERF_MM, &all), 0);
}

// Turned by t about the middle, the point (18.5, y) of the right side lies c 18.5 + s y from it in the square's own
// directions (or with - s y); it shows from 19.9 on. All four sides are alike.
static void line__shows_near_corners_when_the_cover_is_turned(void **state)
{
    Made *made = *state;
    int all, expected = 0;
    square_on_square(made);
    double t = 0.1, c = 1.0 / sqrt(1.0 + t * t), s = t * c;
    for (int i = 0; i < 37; i++) expected += c * 18.5 + s * (i - 18.0) > 19.9;
    assert_true(expected > 2);
    made->placed.bodies[1] = motion_about((Spot){50, 50}, (Spot){0, 0}, t);
    assert_int_equal(failing(made, WATCH_LINE, KERF_MM, &all), 4 * expected);
}

static void line__is_hidden_by_any_cover(void **state)
{
    Made *made = *state;
    int all;
    add_piece(made, 2, "M 28 28 L 50 28 L 50 72 L 28 72 L 28 28 Z"); // over the left side
    square_on_square(made);
    for (int i = 0; i < made->bodies.count; i++)
        if (made->bodies.items[i].order == 1) made->placed.bodies[i] = shift(1.45, 0);
    assert_int_equal(failing(made, WATCH_LINE, KERF_MM, &all), 0);
    made->placed.bodies[2] = shift(3.6, 0);
    assert_int_equal(failing(made, WATCH_LINE, KERF_MM, &all), 37);
}

// B is seen from x = 20 to 80 and reaches 6 mm under C, from 80 to 120; there it keeps 0.4 mm from C's other edges.
static void underlapped(Made *made)
{
    add_piece(made, 0, "M 0 0 L 200 0 L 200 200 L 0 200 L 0 0 Z");
    add_piece(made, 1, "M 20 20 L 80 20 L 80 20.4 L 86 20.4 L 86 79.6 L 80 79.6 L 80 80 L 20 80 L 20 20 Z");
    add_piece(made, 2, "M 80 20 L 120 20 L 120 80 L 80 80 L 80 20 Z");
    look(made, PIECES_JOINED);
}

// Both edges lose half a kerf: a gap opens at 6 - 0.2 mm.
static void underlap__opens_when_the_shift_passes_its_depth_less_a_kerf(void **state)
{
    Made *made = *state;
    int all;
    underlapped(made);
    made->placed.bodies[2] = shift(5.79, 0);
    assert_int_equal(failing(made, WATCH_UNDERLAP, KERF_MM, &all), 0);
    assert_int_equal(all, 48); // y = 26.5 to 73.5: nearer to the ends C's other edges are the nearest
    made->placed.bodies[2] = shift(5.81, 0);
    assert_int_equal(failing(made, WATCH_UNDERLAP, KERF_MM, &all), 48);
    made->placed.bodies[2] = shift(-5.81, 0);
    assert_int_equal(failing(made, WATCH_UNDERLAP, KERF_MM, &all), 0);
    made->placed.bodies[1] = made->placed.bodies[2] = shift(9, 9); // together
    assert_int_equal(failing(made, WATCH_UNDERLAP, KERF_MM, &all), 0);
}

// Both edges move the same way: the lower one looks out at 0.4 mm, whatever the blade takes.
static void underlap__looks_out_on_the_far_side(void **state)
{
    Made *made = *state;
    int all;
    underlapped(made);
    made->placed.bodies[2] = shift(0, 0.39);
    assert_int_equal(failing(made, WATCH_UNDERLAP_RIM, KERF_MM, &all), 0);
    made->placed.bodies[2] = shift(0, 0.41);
    assert_int_equal(failing(made, WATCH_UNDERLAP_RIM, KERF_MM, &all), 6); // what reaches under: 5 places of its upper edge, and the first beside the corner
}

// Two layers that meet at x = 80 with nothing beneath but the base: 60 mm that open like a seam.
static void layers__edge_to_edge_open_like_a_seam(void **state)
{
    Made *made = *state;
    int all;
    add_piece(made, 0, "M 0 0 L 200 0 L 200 200 L 0 200 L 0 0 Z");
    add_piece(made, 1, "M 20 20 L 80 20 L 80 80 L 20 80 L 20 20 Z");
    add_piece(made, 2, "M 80 20 L 120 20 L 120 80 L 80 80 L 80 20 Z");
    look(made, PIECES_JOINED);
    made->placed.bodies[2] = shift(0.09, 1);
    assert_int_equal(failing(made, WATCH_EDGE_TO_EDGE, KERF_MM, &all), 0);
    assert_int_equal(all, 60);
    made->placed.bodies[2] = shift(0.11, 1);
    assert_int_equal(failing(made, WATCH_EDGE_TO_EDGE, KERF_MM, &all), 60);
    made->placed.bodies[2] = shift(-0.5, 0);
    assert_int_equal(failing(made, WATCH_EDGE_TO_EDGE, KERF_MM, &all), 0);
}

static void seam__in_sight_opens_between_loose_pieces_only(void **state)
{
    Made *made = *state;
    int all;
    add_piece(made, 0, "M 0 0 L 50 0 L 50 80 L 0 80 L 0 0 Z");
    add_piece(made, 0, "M 50 0 L 100 0 L 100 80 L 50 80 L 50 0 Z");
    add_seam(made, 0, 0, 1, "M 50 0 L 50 80");
    look(made, PIECES_LOOSE);
    assert_int_equal(made->bodies.count, 2);
    made->placed.bodies[1] = shift(0.09, 5);
    assert_int_equal(failing(made, WATCH_SEAM_OPEN, KERF_MM, &all), 0);
    assert_int_equal(all, 80);
    made->placed.bodies[1] = shift(0.11, 5);
    assert_int_equal(failing(made, WATCH_SEAM_OPEN, KERF_MM, &all), 80);
    made->placed.bodies[0] = shift(0.11, 0);
    assert_int_equal(failing(made, WATCH_SEAM_OPEN, KERF_MM, &all), 0);
    look(made, PIECES_JOINED);
    assert_int_equal(made->bodies.count, 1);
    assert_int_equal(made->bodies.items[0].edges.count, 6); // the seam is no edge any more
    made->placed.bodies[0] = shift(1, 1);
    assert_int_equal(failing(made, WATCH_SEAM_OPEN, KERF_MM, &all), 0);
    assert_int_equal(all, 80);
}

// Two halves of 50 mm; the first reaches 12 mm under the second between y = 3 and 77, and stays 3 mm from its sides.
static void laps__cover_the_joint_and_stay_below(void **state)
{
    Made *made = *state;
    Error err;
    LapTallies laps;
    static const struct { double hand, turn; bool opens, looks_out; } CASES[] = {{0, 0, false, false}, {2.5, 0, false, false}, {13, 0, true, true}};
    ReadPiece *first = add_piece(made, 0, "M 0 0 L 50 0 L 50 3 L 62 3 L 62 77 L 50 77 L 50 80 L 0 80 L 0 0 Z");
    first->face = path_of(made, "M 0 0 L 50 0 L 50 80 L 0 80 L 0 0 Z");
    first->has_own_face = true;
    add_piece(made, 0, "M 50 0 L 100 0 L 100 80 L 50 80 L 50 0 Z");
    add_seam(made, 0, 0, 1, "M 50 0 L 50 80");
    made->seams[0].form = "lap";
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        MakerErrors errors = {LAW_SIZE, 0.0, CASES[i].hand, CASES[i].turn, KERF_MM};
        assert_true(laps_run(&made->kit, &errors, 40, 1, &made->arena, &made->work, &laps, &err));
        assert_int_equal(laps.uncovered.places, 40 * 74);
        assert_int_equal(laps.bare.places, 40 * 6);
        assert_true(laps.looks_out.places > 40 * 90);
        assert_true((laps.uncovered.failed_places > 0) == CASES[i].opens);
        assert_true((laps.looks_out.failed_places > 0) == CASES[i].looks_out);
        assert_true((laps.bare.failed_places > 0) == (CASES[i].hand > 0));
    }
}

// A seam at x = 50, covered from 44 to 60: 6 mm; at the ends of the cover (y = 10, 70) the margin of 3 mm is left out.
static void seam__hidden_comes_into_sight_behind_its_cover(void **state)
{
    Made *made = *state;
    int all;
    add_piece(made, 0, "M 0 0 L 50 0 L 50 80 L 0 80 L 0 0 Z");
    add_piece(made, 0, "M 50 0 L 100 0 L 100 80 L 50 80 L 50 0 Z");
    add_piece(made, 1, "M 44 10 L 60 10 L 60 70 L 44 70 L 44 10 Z");
    add_seam(made, 0, 0, 1, "M 50 0 L 50 80");
    look(made, PIECES_JOINED);
    made->placed.bodies[1] = shift(5.89, 0);
    assert_int_equal(failing(made, WATCH_SEAM_HIDDEN, KERF_MM, &all), 0);
    assert_int_equal(all, 54);
    made->placed.bodies[1] = shift(5.91, 0);
    assert_int_equal(failing(made, WATCH_SEAM_HIDDEN, KERF_MM, &all), 54);
}

static void bodies__are_placed_on_what_carries_them(void **state)
{
    Made *made = *state;
    Rng rng = rng_make(5);
    MakerErrors errors = {LAW_SIZE, 0.3, 1.0, 0.0, KERF_MM};
    add_piece(made, 0, "M 0 0 L 200 0 L 200 200 L 0 200 L 0 0 Z");
    add_piece(made, 1, "M 20 20 L 120 20 L 120 120 L 20 120 L 20 20 Z");
    add_piece(made, 2, "M 30 30 L 60 30 L 60 60 L 30 60 L 30 30 Z");   // on the second
    add_piece(made, 2, "M 110 70 L 190 70 L 190 90 L 110 90 L 110 70 Z"); // mostly on the first
    look(made, PIECES_JOINED);
    assert_int_equal(made->bodies.items[1].carrier, 0);
    assert_int_equal(made->bodies.items[2].carrier, 1);
    assert_int_equal(made->bodies.items[3].carrier, 0);
    placed_draw(&made->bodies, &errors, &rng, &made->placed);
    Spot p = {45, 45}, on_base = motion_apply(made->placed.bodies[1], p);
    assert_float_equal(measure_gap(motion_apply(made->placed.bodies[0], p), p), 0.0, 1e-12);
    assert_float_equal(measure_gap(on_base, p), 1.0, 1e-12);
    assert_float_equal(measure_gap(motion_apply(made->placed.bodies[2], p), on_base), 1.0, 1e-12);
    assert_float_equal(hypot(made->placed.tools[0].x, made->placed.tools[0].y), 0.3, 1e-12);
}

// 1 + 0.3 + 0.1 < 1.5: no direction of the three together shows the line; 1.2 of the hand can.
static void tries__follow_the_sum_of_the_errors_and_their_seed(void **state)
{
    Made *made = *state;
    Error err;
    MakerErrors errors = {LAW_SIZE, 0.3, 1.0, 0.0, KERF_MM};
    Tally *a = test_calloc(WATCH_CLASSES, sizeof *a), *b = test_calloc(WATCH_CLASSES, sizeof *b);
    square_on_square(made);
    assert_true(tries_run(&made->bodies, &made->watch, &errors, 300, 1, &made->work, a, &err));
    assert_int_equal(a[WATCH_LINE].failed_places, 0);
    assert_int_equal(a[WATCH_LINE].places, 300 * 4 * 37);
    double need = histogram_percentile(&a[WATCH_LINE].needed_by_unit, 1.0);
    assert_true(need > 1.3 && need <= 1.4 + TALLY_BIN_MM);
    errors.hand_mm = 1.2;
    assert_true(tries_run(&made->bodies, &made->watch, &errors, 300, 1, &made->work, a, &err));
    assert_true(a[WATCH_LINE].failed_units > 0 && a[WATCH_LINE].failed_units < 300);
    assert_true(a[WATCH_LINE].worst_mm > 0.0 && a[WATCH_LINE].worst_mm <= 0.1 + 1e-9);
    assert_true(tries_run(&made->bodies, &made->watch, &errors, 300, 1, &made->work, b, &err));
    assert_memory_equal(a, b, WATCH_CLASSES * sizeof *a);
    assert_true(tries_run(&made->bodies, &made->watch, &errors, 300, 2, &made->work, b, &err));
    assert_true(memcmp(a, b, WATCH_CLASSES * sizeof *a) != 0);
    test_free(a);
    test_free(b);
}

static void motion__turns_about_its_centre_and_back(void **state)
{
    (void)state;
    Motion m = motion_about((Spot){10, 20}, (Spot){1, -2}, 0.75); // cosine 4/5, sine 3/5
    Spot p = motion_apply(m, (Spot){15, 20});
    assert_float_equal(p.x, 15.0, 1e-12); // 10 + 4 + 1
    assert_float_equal(p.y, 21.0, 1e-12); // 20 + 3 - 2
    Spot back = motion_undo(m, p);
    assert_float_equal(back.x, 15.0, 1e-12);
    assert_float_equal(back.y, 20.0, 1e-12);
    Spot twice = motion_apply(motion_after(m, m), (Spot){15, 20}), step = motion_apply(m, p);
    assert_float_equal(twice.x, step.x, 1e-12);
    assert_float_equal(twice.y, step.y, 1e-12);
}

static void maker__keeps_the_size_or_the_bound(void **state)
{
    (void)state;
    enum { COUNT = 20000 };
    Rng rng = rng_make(3);
    int inside = 0, quadrant[4] = {0};
    for (int i = 0; i < COUNT; i++) {
        Spot s = maker_shift(LAW_SIZE, 2.0, &rng);
        assert_float_equal(hypot(s.x, s.y), 2.0, 1e-12);
        quadrant[(s.x > 0.0) + 2 * (s.y > 0.0)]++;
        inside += fabs(maker_shift(LAW_NORMAL, 2.0, &rng).x) < 2.0;
    }
    for (int i = 0; i < 4; i++) assert_true(abs(quadrant[i] - COUNT / 4) < 300); // 5 deviations of a binomial count
    assert_true(inside > 0.945 * COUNT && inside < 0.955 * COUNT);
    MakerErrors errors = {LAW_SIZE, 0.3, 1.0, 1.0, KERF_MM};
    for (int i = 0; i < 100; i++) { // a far end 250 mm away: 1 mm by the shift, 1 mm by the turn
        Motion m = maker_placing(&errors, (Spot){0, 0}, 250.0, &rng);
        double moved = measure_gap(motion_apply(m, (Spot){250, 0}), (Spot){250, 0});
        assert_true(moved <= 2.0 + 1e-3);
        assert_float_equal(fabs(m.s), 1.0 / 250.0, 1e-6);
    }
}

static void histogram__gives_upper_ends_of_bins(void **state)
{
    (void)state;
    Histogram *h = test_calloc(1, sizeof *h);
    assert_float_equal(histogram_percentile(h, 0.99), 0.0, 0.0);
    for (int i = 0; i < 100; i++) histogram_add(h, 0.05 * i + 0.001);
    assert_float_equal(histogram_percentile(h, 0.99), 4.91, 1e-9); // the 99th of 100 is 4.901
    assert_float_equal(histogram_percentile(h, 1.0), 4.96, 1e-9);
    histogram_add(h, -3.0);
    assert_float_equal(histogram_percentile(h, 0.001), 0.01, 1e-9);
    histogram_add(h, 1e9);
    assert_float_equal(histogram_percentile(h, 1.0), 10.0, 1e-9);
    test_free(h);
}

static void tally__counts_places_units_and_tries(void **state)
{
    (void)state;
    Tally *t = test_calloc(1, sizeof *t);
    for (int i = 0; i < 4; i++) {
        tally_place(t, i == 2, 0.5);
        tally_place(t, i >= 2, 0.25);
        tally_need(t, i);
        tally_need(t, -i);
        tally_end_unit(t);
        tally_place(t, false, 9.0);
        tally_end_unit(t);
        tally_end_try(t);
    }
    tally_end_try(t); // a try without a place of this class is none
    assert_int_equal(t->places, 12);
    assert_int_equal(t->failed_places, 3);
    assert_int_equal(t->units, 8);
    assert_int_equal(t->failed_units, 2);
    assert_int_equal(t->tries, 4);
    assert_int_equal(t->failed_tries, 2);
    assert_float_equal(t->worst_mm, 0.5, 0.0);
    assert_int_equal(t->needed_by_place.count, 8);
    assert_int_equal(t->needed_by_unit.count, 4);
    assert_float_equal(histogram_percentile(&t->needed_by_unit, 1.0), 3.01, 1e-9);
    assert_float_equal(tally_share(1, 4), 0.25, 0.0);
    assert_float_equal(tally_share(0, 0), 0.0, 0.0);
    test_free(t);
}

#define WITH_KIT(name) cmocka_unit_test_setup_teardown(name, setup, teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_KIT(line__shows_when_the_shift_passes_inset_less_half_a_kerf),
        WITH_KIT(line__can_be_looked_at_with_another_inset),
        WITH_KIT(line__moves_with_the_tool_of_its_sheet),
        WITH_KIT(line__shows_near_corners_when_the_cover_is_turned),
        WITH_KIT(line__is_hidden_by_any_cover),
        WITH_KIT(underlap__opens_when_the_shift_passes_its_depth_less_a_kerf),
        WITH_KIT(underlap__looks_out_on_the_far_side),
        WITH_KIT(layers__edge_to_edge_open_like_a_seam),
        WITH_KIT(seam__in_sight_opens_between_loose_pieces_only),
        WITH_KIT(laps__cover_the_joint_and_stay_below),
        WITH_KIT(seam__hidden_comes_into_sight_behind_its_cover),
        WITH_KIT(bodies__are_placed_on_what_carries_them),
        WITH_KIT(tries__follow_the_sum_of_the_errors_and_their_seed),
        cmocka_unit_test(motion__turns_about_its_centre_and_back),
        cmocka_unit_test(maker__keeps_the_size_or_the_bound),
        cmocka_unit_test(histogram__gives_upper_ends_of_bins),
        cmocka_unit_test(tally__counts_places_units_and_tries),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
